"""What to make next: the limits that let a piece still to be cut fit the mates already made."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from qlog.drawing.decimals import places_of
from qlog.drawing.limits import Limits
from qlog.drawing.plan import Build, Dimension, Feature, Instrument, Part
from qlog.drawing.units import Unit, convert
from qlog.frozen import frozen, replace
from qlog.review.instrument.experience import Experience
from qlog.review.items.mating import drawing_limits, reading_of
from qlog.review.items.sizes import feature_sizes
from qlog.review.part.batch import Batch
from qlog.review.views import Standing
from qlog.study.batch.allowance import Allowance
from qlog.study.fit.aim import Aim, Need, aim, aim_at_all
from qlog.study.fit.joints import ReadWith, Side, common, pairing


@frozen
class DimensionAim:
    """The limits to aim at for one dimension; `limits` is what all its joints have in common.

    `limits` hold in the joint, `turned` at the machine: they differ where a finish is to come.
    """

    dimension: Dimension
    aims: tuple[tuple[str, Aim], ...]  # joint id
    limits: Limits | None
    turned: Limits | None = None
    allowance: Allowance | None = None  # of the finish still to come, in the unit of `limits`
    allowance_unknown: bool = False  # a finish is still to come, and nothing is known of it
    missed: Limits | None = None  # the drawing's limits before the finish, where `turned` misses
    places: int = 3  # that limits are shown with, in the unit of the dimension


def aims_for(
    build: Build,
    parts: Sequence[Batch],
    part: Part,
    piece: int,
    experience: Experience | None = None,
) -> tuple[DimensionAim, ...]:
    """What to aim at for every dimension of the piece that is in a joint.

    Free are the mates that the best pairing of the pieces already made leaves over; where it
    leaves none, all of them count, for the new piece may replace another. `experience` is what
    checks and studies showed of the instruments.
    """
    known = experience or Experience()
    found: list[DimensionAim] = []
    for dimension in part.dimensions:
        aims: list[tuple[str, Aim]] = []
        allowance: Allowance | None = None
        waits = len(dimension.requirements) > 1 and part.takes(dimension.op, piece)
        for joint in build.joints:
            own = Feature(part.id, dimension.id)
            if own not in (joint.inside, joint.outside):
                continue
            unit = joint.clearance.unit
            mine = feature_sizes(parts, own, unit)
            others = tuple(p for p in mine.pieces if p.number != piece)
            allowance = _in_unit(mine.allowance, dimension.callout.unit, unit) if waits else None
            inside_mates = own == joint.outside
            other = joint.inside if inside_mates else joint.outside
            assembled = _assembled(parts, other.part)
            mates = tuple(
                p for p in feature_sizes(parts, other, unit).pieces if p.number not in assembled
            )
            insides, outsides = (mates, others) if inside_mates else (others, mates)
            best = pairing(insides, outsides, joint.clearance, decision=build.decision)
            spare = best.spare_inside if inside_mates else best.spare_outside
            instrument = (
                None if dimension.instrument is None else build.instrument(dimension.instrument)
            )
            side = Side.INSIDE if inside_mates else Side.OUTSIDE
            need = Need(side, spare or mates, joint.clearance)
            aims.append(
                (
                    joint.id,
                    aim(
                        need,
                        drawing_limits(build, own, unit),
                        decision=build.decision,
                        reading=_with(reading_of(build, own, unit, known), allowance),
                        least_width=_step(instrument, unit),
                    ),
                )
            )
        if aims:
            limits = aim_at_all([a for _, a in aims])
            turned = limits if allowance is None else _before(limits, allowance)
            first = dimension.requirements[0].callout.limits if waits else None
            found.append(
                DimensionAim(
                    dimension,
                    tuple(aims),
                    limits,
                    turned,
                    allowance,
                    allowance_unknown=waits and allowance is None,
                    missed=first if _missed(turned, first) else None,
                    places=places_of(build, part.id, dimension.id, dimension.callout.unit),
                )
            )
    return tuple(found)


def _in_unit(allowance: Allowance | None, unit: Unit, wanted: Unit) -> Allowance | None:
    if allowance is None or unit is wanted:
        return allowance
    parts = (allowance.amount, allowance.spread, allowance.uncertainty)
    amount, spread, u = (None if v is None else convert(v, unit, wanted) for v in parts)
    assert amount is not None
    return Allowance(amount, allowance.count, spread, u)


def _with(reading: ReadWith | None, allowance: Allowance | None) -> ReadWith | None:
    """The reading's uncertainty joined with that of what the finish will do."""
    if allowance is None or allowance.uncertainty is None or reading is None:
        return reading
    if reading.uncertainty is None:
        return reading
    return replace(
        reading,
        uncertainty=allowance.predict(Decimal(0), reading.uncertainty)[1],
        dof=allowance.dof_with(reading.uncertainty, reading.dof),
    )


def _step(instrument: Instrument | None, unit: Unit) -> Decimal:
    """The narrowest window that can be worked to: one step of the display."""
    if instrument is None or instrument.step is None:
        return Decimal(0)
    try:
        return convert(instrument.step, instrument.unit, unit)
    except ValueError:  # its step says nothing about this kind of dimension
        return Decimal(0)


def _before(limits: Limits | None, allowance: Allowance) -> Limits | None:
    """Limits before the finish, for those after it."""
    if limits is None:
        return None
    lower, upper = (
        None if end is None else end + allowance.amount for end in (limits.lower, limits.upper)
    )
    return Limits(lower, upper, limits.unit)


def _missed(turned: Limits | None, drawing: Limits | None) -> bool:
    """Whether what is to be turned lies outside the drawing's limits before the finish."""
    if turned is None or drawing is None or turned.unit is not drawing.unit:
        return False
    return common([turned, drawing]) is None


def _assembled(parts: Sequence[Batch], part: str) -> set[int]:
    view = next(v for v in parts if v.part.id == part)
    return {p.number for p in view.pieces if p.standing is Standing.ASSEMBLED}
