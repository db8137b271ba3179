"""Judging: a logged value, its instrument and its limits put through the study's verdict.

Used for every echo at the bench, so nothing heavy is imported here.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from qlog.drawing.callout import Callout, Kind
from qlog.drawing.plan import Build, Instrument, Part
from qlog.drawing.units import Unit, convert
from qlog.study.conformity import Judgement, judge
from qlog.study.thermal import reading_at_20
from qlog.study.uncertainty import reading_uncertainty

#: Kinds whose lower limit of zero is where nature stops, not a limit that can be missed.
ZERO_BASED = (Kind.GEOMETRY, Kind.ROUGHNESS)


@dataclass(frozen=True, slots=True)
class Judged:
    """A reading in the unit of its limits, and what is to be said of it."""

    value: Decimal  # at 20 degrees where temperatures were given
    raw: Decimal  # as read
    uncertainty: Decimal | None
    judgement: Judgement


def uncertainty_of(
    instrument: Instrument | None, unit: Unit, repeatability: Decimal | None = None
) -> Decimal | None:
    """Standard uncertainty of a reading in `unit`; None when nothing is known of it.

    `repeatability` is a standard deviation in `unit`, from a repeatability study.
    """
    if instrument is None or instrument.error is None:
        return None
    step = None if instrument.step is None else convert(instrument.step, instrument.unit, unit)
    error = convert(instrument.error, instrument.unit, unit)
    return reading_uncertainty(step=step, error=error, repeatability=repeatability)


def judge_value(
    build: Build,
    part: Part,
    callout: Callout,
    value: Decimal,
    unit: Unit,
    instrument: Instrument | None,
    *,
    temperature: Decimal | None = None,
    instrument_temperature: Decimal | None = None,
    repeatability: Decimal | None = None,
) -> Judged:
    """Judge a numeric reading by the build's rule.

    Raises ValueError when the reading's unit cannot be turned into the callout's.
    """
    raw = convert(value, unit, callout.unit)
    at_20 = raw
    if temperature is not None:
        material = None if part.material is None else build.material(part.material)
        at_20 = reading_at_20(
            raw,
            part_temperature=temperature,
            part_expansion=None if material is None else material.expansion,
            instrument_temperature=instrument_temperature,
            instrument_expansion=None if instrument is None else instrument.expansion,
        )
    u = uncertainty_of(instrument, callout.unit, repeatability)
    judgement = judge(
        at_20,
        callout.limits,
        rule=build.rule,
        uncertainty=u,
        conformance=build.conformance,
        zero_based=callout.kind in ZERO_BASED,
    )
    return Judged(at_20, raw, u, judgement)
