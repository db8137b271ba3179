"""Judging: a logged value, its instrument and its limits put through the study's verdict.

Used for every echo at the bench, so nothing heavy is imported here.
"""

from __future__ import annotations

import math
from collections.abc import Collection
from decimal import Decimal
from typing import TYPE_CHECKING

from qlog.drawing.callouts.callout import Callout, Kind
from qlog.drawing.decimals import WRITTEN, decimals_of
from qlog.drawing.limits import Limits
from qlog.drawing.plan import STEEL, Build, Instrument, Part
from qlog.drawing.units import Unit, convert
from qlog.frozen import frozen, replace
from qlog.logbook.measured import Measured
from qlog.logbook.measured import measured as measured_of
from qlog.review.instrument.experience import NOTHING, InstrumentRecord, experience_with
from qlog.study.conformity.uncertainty import reading_components, reading_uncertainty, whole_dof
from qlog.study.conformity.verdict import Judgement, judge, show

if TYPE_CHECKING:
    from qlog.logbook.facts import Reading
    from qlog.logbook.store import Logbook
    from qlog.study.conformity.uncertainty import Component

#: Kinds whose lower limit of zero is where nature stops, not a limit that can be missed.
ZERO_BASED = (Kind.GEOMETRY, Kind.ROUGHNESS)


def ends_at_zero(kind: Kind, lower: Decimal | None) -> bool:
    """Whether there is but the upper limit to miss; `Ra 0.4..0.8` has two, as a length has."""
    return kind in ZERO_BASED and not lower


_LENGTHS = (Unit.MM, Unit.INCH)

#: Decimals of a size that was converted or corrected: a millimetre in inches never ends.
_PLACES = {Unit.MM: 6, Unit.INCH: 7, Unit.MICROMETRE: 3, Unit.MICROINCH: 1, Unit.DEGREE: 6}


@frozen
class Judged:
    """A reading in the unit of its limits, and what is to be said of it."""

    value: Decimal  # at 20 degrees where temperatures were given; to a few nanometres if converted
    raw: Decimal  # as read
    uncertainty: Decimal | None
    shared: Decimal | None  # the part of it that all readings of the instrument have in common
    judgement: Judgement


def judge_value(
    build: Build,
    part: Part,
    callout: Callout,
    measured: Measured,
    instrument: Instrument | None,
    *,
    shown: InstrumentRecord = NOTHING,
) -> Judged:
    """Judge a numeric reading by the build's rule.

    `shown` is what checks and studies of the instrument have shown, in the callout's unit. A
    temperature corrects only where the part's material has an expansion coefficient. Raises
    ValueError when there is no number, or its unit cannot be turned into the callout's.
    """
    read = as_read(build, part, callout.unit, measured, instrument)
    warmth = warmth_of(build, part, callout, instrument, measured.temperature)
    known = trust_of(instrument, callout.unit, shown, warmth)
    return judge_read(build, callout, measured, read, known)


@frozen
class Trust:
    """How far a reading is to be trusted: standard uncertainties in the unit of its limits."""

    uncertainty: Decimal | None  # None when nothing is known of the instrument
    shared: Decimal | None  # the part of it that all readings of the instrument have in common
    dof: float = math.inf  # degrees of freedom behind it, a whole number


def trust_of(
    instrument: Instrument | None,
    unit: Unit,
    shown: InstrumentRecord = NOTHING,
    warmth: tuple[Component, ...] = (),
) -> Trust:
    """How far a reading of the instrument in `unit` is to be trusted."""
    return Trust(
        uncertainty_of(instrument, unit, shown, warmth),
        shared_of(instrument, unit, shown, warmth),
        _dof_of(instrument, unit, shown, warmth),
    )


def warmth_of(
    build: Build,
    part: Part,
    callout: Callout,
    instrument: Instrument | None,
    temperature: Decimal | None,
) -> tuple[Component, ...]:
    """What temperature leaves uncertain in a reading of the callout's nominal size.

    With a temperature given the reading is corrected, and what the correction leaves counts.
    Without, what the room leaves whose range build.toml states. Nothing for what is no length,
    or where the expansion of the part's material is not known.
    """
    material = None if part.material is None else build.material(part.material)
    size = callout.nominal if callout.nominal is not None else callout.limits.middle
    if material is None or material.expansion is None or size is None:
        return ()
    if callout.unit not in _LENGTHS or (temperature is None and build.temperature is None):
        return ()
    from qlog.study.conformity.thermal import components, room_components

    if temperature is None:
        assert build.temperature is not None
        return room_components(
            size,
            part_expansion=material.expansion,
            instrument_expansion=_expansion(instrument),
            middle=build.temperature.middle,
            half=build.temperature.half,
        )
    return components(
        size,
        part_expansion=material.expansion,
        part_temperature=temperature,
        instrument_expansion=_expansion(instrument),
    )


#: How far readings of many are to be trusted that were taken alike: by instrument, part, dimension
#: and identity of the callout, which is kept beside so that it stays the same one.
Known = dict[tuple[str | None, str, str, int], tuple[Callout, Trust]]


def judge_entry(
    build: Build,
    logbook: Logbook,
    part: Part,
    callout: Callout,
    reading: Reading,
    known: Known | None = None,
) -> Judged:
    """Judge a numeric reading as it comes in, with what is known of its instrument.

    `known` keeps that from one reading to the next, for as long as its caller does.
    Raises ValueError as `judge_value` does.
    """
    instrument = next((i for i in build.instruments if i.id == reading.instrument), None)
    place = (reading.instrument, part.id, reading.dimension)
    key = (*place, id(callout))
    says = measured_of(reading)
    read = as_read(build, part, callout.unit, says, instrument)
    if known is None or says.temperature is not None or key not in known:
        shown = experience_with(build, logbook, *place).of(*place, callout.unit)
        warmth = warmth_of(build, part, callout, instrument, says.temperature)
        trust = trust_of(instrument, callout.unit, shown, warmth)
        if known is not None and says.temperature is None:
            known[key] = callout, trust
    else:
        trust = known[key][1]
    return judge_read(build, callout, says, read, trust)


def judge_read(
    build: Build, callout: Callout, measured: Measured, read: AsRead, known: Trust
) -> Judged:
    """Judge a number that was brought to the callout's unit, with how far it is to be trusted."""

    def judged(size: Decimal) -> Judgement:
        return judge(
            size,
            callout.limits,
            decision=build.decision,
            uncertainty=known.uncertainty,
            zero_based=callout.kind in ZERO_BASED,
            dof=known.dof,
        )

    at_20, raw = read.at_20, read.raw
    judgement, carried = judged(at_20), at_20
    computed = measured.unit is not callout.unit or at_20 is not raw
    if computed or decimals_of(raw) > WRITTEN:  # minutes of an angle, say: nobody wrote so many
        carried = tidy(at_20, callout.limits)
        if carried != at_20:  # the exact value decides, the tidy one is what is shown
            judgement = replace(judged(carried), verdict=judgement.verdict)
        raw = tidy(raw, callout.limits)
    return Judged(carried, raw, known.uncertainty, known.shared, judgement)


@frozen
class AsRead:
    """A number in the unit of its limits, exactly: as read, and at 20 degrees Celsius."""

    raw: Decimal
    at_20: Decimal  # the same object as `raw` where nothing was corrected
    expansion: Decimal | None  # of the material, 1e-6 per kelvin; None where nothing was corrected


def as_read(
    build: Build, part: Part, unit: Unit, measured: Measured, instrument: Instrument | None
) -> AsRead:
    """Bring a number to the unit asked for and, where a temperature was given, to 20 °C (ISO 1).

    A temperature corrects only a length, and only where the part's material has an expansion
    coefficient. Raises ValueError when there is no number, or its unit cannot be turned into the
    one asked for.
    """
    if measured.value is None:
        raise ValueError("a check that passed or failed has no number to judge")
    raw = convert(measured.value, measured.unit, unit)
    material = None if part.material is None else build.material(part.material)
    expansion = None if material is None else material.expansion
    if measured.temperature is None or expansion is None or unit not in _LENGTHS:
        return AsRead(raw, raw, None)
    from qlog.study.conformity.thermal import to_20

    corrected = to_20(
        raw,
        part_expansion=expansion,
        part_temperature=measured.temperature,
        instrument_expansion=_expansion(instrument),
        instrument_temperature=measured.instrument_temperature,
    )
    return AsRead(raw, corrected, expansion)


def _expansion(instrument: Instrument | None) -> Decimal:
    if instrument is None or instrument.expansion is None:
        return STEEL
    return instrument.expansion


def tidy(size: Decimal, limits: Limits) -> Decimal:
    """A converted or corrected size to a few nanometres, in the unit of the limits.

    As many more decimals are kept as it takes to stay on its side of a limit.
    """
    places = _PLACES.get(limits.unit)
    exponent = size.as_tuple().exponent
    if places is None or not isinstance(exponent, int) or exponent >= -places:
        return size
    text = show(size, limits, places)
    return Decimal(text.rstrip("0") if "." in text else text)


def coarsest_step(
    build: Build, used: Collection[str | None], planned: str | None, unit: Unit
) -> Decimal | None:
    """The coarsest display step, in `unit`, of the instruments that took some readings.

    That of the planned instrument where none of them is known; None where that is not known
    either, or where a step says nothing about this kind of quantity.
    """
    for names in (used, {planned}):
        steps = [
            known[0]
            for i in build.instruments
            if i.id in names and (known := _data(i, unit)) is not None and known[0] is not None
        ]
        if steps:
            return max(steps)
    return None


def uncertainty_of(
    instrument: Instrument | None,
    unit: Unit,
    shown: InstrumentRecord = NOTHING,
    warmth: tuple[Component, ...] = (),
) -> Decimal | None:
    """Standard uncertainty of a reading in `unit`; None when nothing is known of it."""
    known = _data(instrument, unit)
    if known is None:
        return None
    step, error = known
    return reading_uncertainty(
        step=step,
        error=error,
        repeatability=shown.repeatability,
        check_error=shown.check_error,
        temperature=warmth,
    )


def shared_of(
    instrument: Instrument | None,
    unit: Unit,
    shown: InstrumentRecord = NOTHING,
    warmth: tuple[Component, ...] = (),
) -> Decimal | None:
    """Standard uncertainty, in `unit`, of the error that all readings of an instrument share.

    Its permissible error or the largest that its checks found, and the temperature: what no
    repetition takes away. None where nothing is known of the instrument's own error.
    """
    known = _data(instrument, unit)
    if known is None or (known[1] is None and shown.check_error is None):
        return None
    return reading_uncertainty(error=known[1], check_error=shown.check_error, temperature=warmth)


def _dof_of(
    instrument: Instrument | None,
    unit: Unit,
    shown: InstrumentRecord,
    warmth: tuple[Component, ...],
) -> float:
    """Whole degrees of freedom behind the uncertainty of a reading; endless without a study."""
    if math.isinf(shown.repeatability_dof):
        return math.inf
    known = _data(instrument, unit)
    if known is None:
        return math.inf
    return whole_dof(
        reading_components(
            step=known[0],
            error=known[1],
            repeatability=shown.repeatability,
            repeatability_dof=shown.repeatability_dof,
            check_error=shown.check_error,
            temperature=warmth,
        )
    )


def _data(
    instrument: Instrument | None, unit: Unit
) -> tuple[Decimal | None, Decimal | None] | None:
    """Display step and permissible error in `unit`; None where they say nothing about it."""
    if instrument is None:
        return None
    try:
        step = None if instrument.step is None else convert(instrument.step, instrument.unit, unit)
        error = (
            None if instrument.error is None else convert(instrument.error, instrument.unit, unit)
        )
    except ValueError:  # a length instrument named for an angle: it says nothing about it
        return None
    return step, error
