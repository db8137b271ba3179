"""The echo: one line that answers every reading at once."""

from __future__ import annotations

from decimal import Decimal

from qlog.cli.strip import strip
from qlog.cli.text import verdict
from qlog.drawing.callout import Callout
from qlog.drawing.plan import Build, Part
from qlog.drawing.units import Unit
from qlog.logbook.facts import Reading
from qlog.review.judging import judge_value
from qlog.study.conformity import Judgement


def echo(build: Build, part: Part, callout: Callout, reading: Reading) -> tuple[str, bool]:
    """One line for a reading: value, verdict, place in the tolerance; and whether it is out."""
    name = f"{part.id}-{reading.piece} {reading.dimension}"
    if callout.counted:
        passed = reading.value == "go"
        return f"{name}  {verdict('pass' if passed else 'fail')}", not passed
    instrument = None if reading.instrument is None else build.instrument(reading.instrument)
    unit = Unit(reading.unit)
    judged = judge_value(build, part, callout, Decimal(reading.value), unit, instrument)
    judgement = judged.judgement
    drawn = "" if judgement.share is None else f"  {strip([judgement.share])}"
    shown = f"{reading.value} {unit.symbol}".rstrip()
    line = f"{name}  {shown}  {verdict(judgement.verdict.value)}{drawn}  {_where(judgement)}"
    return line.rstrip(), judgement.verdict.out


def _where(judgement: Judgement) -> str:
    """How far out, or how far from the middle; the limits are named when missed."""
    limits = judgement.limits
    if judgement.verdict.out:
        missed = limits.upper if judgement.verdict.value == "out high" else limits.lower
        return f"{judgement.beyond:f} beyond {missed:f}"
    if judgement.deviation_from_middle is None:
        return ""
    return f"{judgement.deviation_from_middle:+f} from the middle"
