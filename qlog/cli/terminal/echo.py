"""The echo: one line that answers every reading at once."""

from __future__ import annotations

from decimal import Decimal

from qlog.cli.terminal.strip import strip
from qlog.cli.terminal.text import verdict
from qlog.drawing.callouts.callout import Callout
from qlog.drawing.decimals import WRITTEN, decimals_of, places_for, shortened
from qlog.drawing.plan import Build, Part
from qlog.drawing.units import Unit
from qlog.logbook.facts import Reading
from qlog.logbook.store import Logbook
from qlog.review.instrument.judging import Judged, judge_entry
from qlog.study.conformity.verdict import Judgement, show


def echo(
    build: Build,
    logbook: Logbook,
    part: Part,
    callout: Callout,
    reading: Reading,
    *,
    named: bool = True,
    valued: bool = True,
) -> tuple[str, bool]:
    """One line for a reading: value, verdict, place in the tolerance; and whether it is out.

    Without `named` and `valued` it leaves out what the prompt above it has said already.
    """
    name = f"{part.id}-{reading.piece} {reading.dimension}  " if named else ""
    if callout.attribute:
        passed = reading.value == "go"
        return f"{name}{verdict('pass' if passed else 'fail')}", not passed
    unit = Unit(reading.unit)
    instrument = next((i for i in build.instruments if i.id == reading.instrument), None)
    warm = reading.temperature
    judged = judge_entry(build, logbook, part, callout, reading)
    judgement = judged.judgement
    drawn = "" if judgement.share is None else f"  {strip([judgement.share])}"
    step, step_unit = (None, None) if instrument is None else (instrument.step, instrument.unit)
    as_read = Decimal(reading.value)
    if decimals_of(as_read) > WRITTEN:  # minutes of angle: nobody has written so many
        as_read = shortened(as_read, places_for(callout, unit, step, step_unit) + 2)
    shown = f"{as_read:f} {unit.symbol}".rstrip()
    digits = None
    if decimals_of(judgement.value) > WRITTEN:
        digits = places_for(callout, callout.unit, step, step_unit) + 1
    if warm is not None:  # one digit more than the display has, to see the correction
        step = None if instrument is None else instrument.step
        digits = _decimals(Decimal(reading.value) if step is None else step) + 1
    value = ""
    if warm is not None:
        said = shown + _warmth(judged, callout, reading, digits or 0)
        value = said + ("  " if named else "\n  ")  # too long for one line on a terminal
    elif valued:
        value = shown + "  "
    where = _where(judgement, callout, digits)
    if judgement.rule is not judgement.rule_used:  # nothing is known to guard with
        where = f"{where}; uncertainty unknown: judged by the limits alone".removeprefix("; ")
    line = f"{name}{value}{verdict(judgement.verdict.value)}{drawn}  {where}"
    return line.rstrip(), judgement.verdict.out


def _warmth(judged: Judged, callout: Callout, reading: Reading, digits: int) -> str:
    """Both values of a reading with a temperature: as read, and at 20 °C."""
    at = f" at {reading.temperature} °C"
    if reading.instrument_temperature not in (None, reading.temperature):
        at += f" (instrument {reading.instrument_temperature} °C)"
    if judged.value == judged.raw and Decimal(reading.temperature or 20) != 20:
        return f"{at}, not corrected: no expansion is known"
    value = show(judged.value, callout.limits, digits)
    return f"{at}, {value} {callout.unit.symbol} at 20 °C"


def _where(judgement: Judgement, callout: Callout, digits: int | None) -> str:
    """How far out, or how far from the middle; the limits are named when missed."""
    limits = judgement.limits
    if judgement.verdict.out and judgement.beyond is not None:
        missed = limits.upper if judgement.verdict.value == "out high" else limits.lower
        general = f" ({callout.source})" if callout.general else ""
        return f"{_short(judgement.beyond, digits):f} beyond {missed:f}{general}"
    if judgement.deviation_from_middle is None:
        return ""
    return f"{_short(judgement.deviation_from_middle, digits):+f} from the middle"


def _decimals(value: Decimal) -> int:
    exponent = value.as_tuple().exponent
    return max(0, -exponent) if isinstance(exponent, int) else 0


def _short(value: Decimal, digits: int | None) -> Decimal:
    """A difference with so many decimals, or more where it would become nothing."""
    if digits is None or not value:
        return value
    return value.quantize(Decimal(1).scaleb(min(-digits, value.adjusted())))
