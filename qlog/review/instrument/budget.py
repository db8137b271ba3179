"""The uncertainty budget of one dimension: what a reading of it is uncertain by, and whence."""

from __future__ import annotations

from decimal import Decimal

from qlog.drawing.callouts.callout import Callout
from qlog.drawing.decision import DecisionRule
from qlog.drawing.plan import Build, Dimension, Instrument, Part, Requirement
from qlog.drawing.units import Unit, convert
from qlog.frozen import frozen
from qlog.logbook.part_log import PartLog
from qlog.logbook.store import Logbook
from qlog.problem import Problem, ToSay
from qlog.review.instrument.derived import compute, known_from
from qlog.review.instrument.experience import experience_with
from qlog.review.instrument.judging import ZERO_BASED, warmth_of
from qlog.study.conformity.uncertainty import (
    BasisNote,
    Budget,
    Distribution,
    budget,
    component,
    reading_components,
    whole_dof,
)
from qlog.study.conformity.verdict import guard_band


@frozen
class DimensionBudget:
    """A budget with what it means for the dimension; lengths in the unit of its limits."""

    part: Part
    dimension: Dimension
    requirement: Requirement
    instrument: Instrument | None  # None where it is computed
    budget: Budget
    guard: Decimal  # guard band of the guarded rule
    both: bool  # whether it stands at two limits; one may be absent, or a zero that is no limit
    usable: Decimal | None  # tolerance left between the guards; None with one limit
    share: Decimal | None  # expanded uncertainty over the tolerance
    unstated: bool  # a length whose material has an expansion, and no temperature is in it


def dimension_budget(
    build: Build,
    logbook: Logbook,
    part: Part,
    dimension: Dimension,
    instrument: Instrument,
    *,
    temperature: Decimal | None = None,
) -> DimensionBudget:
    """The budget of a reading of the finished size, by GUM combination.

    Error limit, display step, the newest repeatability study and the worst error found in the
    instrument's good checks enter; `temperature` (degrees Celsius) adds what a part away from
    20 degrees brings, without it the room's range does that build.toml states. Guard and
    degrees of freedom are those of a verdict. Raises Problem when nothing is known of the
    instrument.
    """
    requirement = dimension.requirements[-1]
    callout = requirement.callout
    unit = callout.unit
    if callout.attribute:
        raise Problem(ToSay("error.passes_fails_uncertainty", part=part.id, dimension=dimension.id))

    def here(value: Decimal | None, of: Unit) -> Decimal | None:
        return None if value is None else convert(value, of, unit)

    experience = experience_with(build, logbook, instrument.id, part.id, dimension.id)
    shown = experience.of(instrument.id, part.id, dimension.id, unit)
    material = None if part.material is None else build.material(part.material)
    if temperature is not None and material is not None and material.expansion is None:
        raise Problem(ToSay("error.material_expansion_build", material=material.id))
    warmth = warmth_of(build, part, callout, instrument, temperature)
    try:
        listed = reading_components(
            error=here(instrument.error, instrument.unit),
            step=here(instrument.step, instrument.unit),
            repeatability=shown.repeatability,
            repeatability_dof=shown.repeatability_dof,
            check_error=shown.check_error,
            temperature=warmth,
        )
    except ValueError as error:
        raise Problem(ToSay("error.of_named", name=instrument.id, error=error)) from error
    whole = budget(listed)
    guard, both, usable = _guarded(callout, whole.combined, build.decision, whole_dof(listed))
    width = callout.limits.width
    return DimensionBudget(
        part=part,
        dimension=dimension,
        requirement=requirement,
        instrument=instrument,
        budget=whole,
        guard=guard,
        both=both,
        usable=usable,
        share=None if not width else whole.expanded / width,
        unstated=not warmth
        and unit in (Unit.MM, Unit.INCH)
        and material is not None
        and material.expansion is not None,
    )


def _guarded(
    callout: Callout, u: Decimal, decision: DecisionRule, dof: float
) -> tuple[Decimal, bool, Decimal | None]:
    """The guard of a verdict, whether it stands at both limits, and what it leaves between."""
    limits, zero_based = callout.limits, callout.kind in ZERO_BASED
    guard = guard_band(u, limits, decision, zero_based=zero_based, dof=dof)
    both = limits.width is not None and not (zero_based and limits.lower == 0)
    left = None if limits.width is None else limits.width - (2 if both else 1) * guard
    return guard, both, left


def computed_budget(
    build: Build, logbook: Logbook, part: Part, dimension: Dimension
) -> DimensionBudget:
    """The budget of a computed dimension, at the readings of the last piece that has them all.

    Raises Problem while no piece has, and when nothing is known of an instrument among them.
    """
    log = PartLog.read(logbook, part)
    known = known_from(build, logbook)
    found = [c for p in log.pieces if (c := compute(build, log, dimension, p, known)) is not None]
    if not found:
        raise Problem(ToSay("error.read_what_computed", part=part.id, dimension=dimension.id))
    computed, outcome = found[-1], found[-1].outcome
    if outcome is None or outcome.uncertainty is None:
        raise Problem(ToSay("error.nothing_known_instrument", dimension=dimension.id))
    listed = [
        component(
            f"{r.name} {r.typed}", r.u, Distribution.NORMAL,
            sensitivity=Decimal(f"{r.sensitivity:.9g}"),
            note=BasisNote("carried", (Decimal(f"{r.sensitivity:.3g}"),)),
        )
        for r in computed.raws
        if r.u
    ]  # fmt: skip
    requirement = dimension.requirements[-1]
    width, u = requirement.callout.limits.width, outcome.uncertainty
    guard, both, usable = _guarded(requirement.callout, u, build.decision, outcome.dof)
    from qlog.study.batch.intervals import t_quantile

    whole = Budget(tuple(listed), u, outcome.dof, 0.95, t_quantile(0.975, outcome.dof))
    return DimensionBudget(
        part, dimension, requirement, None, whole, guard, both, usable,
        None if not width else whole.expanded / width,
        unstated=False,
    )  # fmt: skip
