"""Judging: a logged value, its instrument and its limits put through the study's verdict.

Used for every echo at the bench, so nothing heavy is imported here.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import TYPE_CHECKING

from qlog.drawing.callouts.callout import Callout, Kind
from qlog.drawing.limits import Limits
from qlog.drawing.plan import Build, Instrument, Part
from qlog.drawing.units import Unit, convert
from qlog.frozen import frozen
from qlog.logbook.measured import Measured
from qlog.review.instrument.experience import NOTHING, Shown
from qlog.study.conformity.uncertainty import reading_uncertainty
from qlog.study.conformity.verdict import Judgement, judge, show

if TYPE_CHECKING:
    from qlog.study.conformity.uncertainty import Component

#: Kinds whose lower limit of zero is where nature stops, not a limit that can be missed.
ZERO_BASED = (Kind.GEOMETRY, Kind.ROUGHNESS)

#: Expansion of an instrument of which none is given: steel gauges, 11.5e-6/K (GUM H.1).
STEEL = Decimal("11.5")

_LENGTHS = (Unit.MM, Unit.INCH)

#: Decimals of a size that was converted or corrected: a millimetre in inches never ends.
_PLACES = {Unit.MM: 6, Unit.INCH: 7, Unit.MICROMETRE: 3, Unit.MICROINCH: 1}


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
    shown: Shown = NOTHING,
) -> Judged:
    """Judge a numeric reading by the build's rule.

    `shown` is what checks and studies of the instrument have shown, in the callout's unit. A
    temperature corrects only where the part's material has an expansion coefficient. Raises
    ValueError when there is no number, or its unit cannot be turned into the callout's.
    """
    unit = callout.unit
    read = as_read(build, part, unit, measured, instrument)
    warmth: tuple[Component, ...] = ()
    if read.expansion is not None and measured.temperature is not None:
        from qlog.study.conformity.thermal import components

        warmth = components(
            read.raw,
            part_expansion=read.expansion,
            part_temperature=measured.temperature,
            instrument_expansion=_expansion(instrument),
        )
    u, shared = (f(instrument, unit, shown, warmth) for f in (uncertainty_of, shared_of))
    return judge_read(build, callout, measured, read, u, shared)


def judge_read(
    build: Build,
    callout: Callout,
    measured: Measured,
    read: AsRead,
    u: Decimal | None,
    shared: Decimal | None,
) -> Judged:
    """Judge a number that was brought to the callout's unit, with its standard uncertainty.

    `shared` is the part of `u` that all readings of the instrument have in common.
    """

    def judged(size: Decimal) -> Judgement:
        return judge(
            size,
            callout.limits,
            decision=build.decision,
            uncertainty=u,
            zero_based=callout.kind in ZERO_BASED,
        )

    at_20, raw = read.at_20, read.raw
    judgement, carried = judged(at_20), at_20
    if measured.unit is not callout.unit or at_20 is not raw:
        carried = tidy(at_20, callout.limits)
        if carried != at_20:  # the exact value decides, the tidy one is what is shown
            judgement = replace(judged(carried), verdict=judgement.verdict)
        raw = tidy(raw, callout.limits)
    return Judged(carried, raw, u, shared, judgement)


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
    ).value
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


def uncertainty_of(
    instrument: Instrument | None,
    unit: Unit,
    shown: Shown = NOTHING,
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
    shown: Shown = NOTHING,
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
