"""The echo: one line that answers every reading at once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from decimal import Decimal
from typing import TYPE_CHECKING

from qlog.cli.terminal.say import on_screen
from qlog.cli.terminal.text import outcome, strip, verdict
from qlog.drawing.callouts.callout import Callout
from qlog.drawing.decimals import decimals_of, places_for, places_read
from qlog.drawing.plan import Build, Part
from qlog.drawing.units import Unit
from qlog.intake.bench.readings import requirement_for
from qlog.logbook.facts import Reading
from qlog.logbook.measured import GO, NO_GO
from qlog.logbook.store import Logbook
from qlog.review.instrument.judging import Judged, Known, judge_entry
from qlog.study.conformity.verdict import Judgement, show
from qlog.words.catalogue import Words, words_of
from qlog.words.values import NO_LIMITS, difference, source_text

if TYPE_CHECKING:
    from qlog.review.instrument.derived import Result


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

    Without `named` and `valued` it leaves out what the prompt above it has said already. What is
    computed with the reading stands below it, each with its verdict.
    """
    if not any(d.derived for d in part.dimensions):
        judged = _judged(build, logbook, part, callout, reading, None)
        return _one(build, part, callout, reading, judged, named=named, valued=valued)
    words = words_of(build)
    if callout.raw:
        name = f"{part.id}-{reading.piece} {reading.dimension}  " if named else ""
        line, bad = f"{name}{_amount(words, reading.value, Unit(reading.unit).symbol)}", False
    else:
        judged = _judged(build, logbook, part, callout, reading, None)
        line, bad = _one(build, part, callout, reading, judged, named=named, valued=valued)
    from qlog.review.instrument.derived import results_with

    lines = [line]
    for result in results_with(build, logbook, part, reading.dimension, reading.piece):
        said, out = _computed(result, part.id, reading.piece, words)
        lines.append(said)
        bad = bad or out
    return "\n  ".join(lines), bad


def echoes_of_out(build: Build, logbook: Logbook, readings: Iterable[Reading]) -> Iterator[str]:
    """The lines of those of many readings that are out, each as `echo` has it."""
    known: Known = {}
    computing = {p.id for p in build.parts if any(d.derived for d in p.dimensions)}
    for reading in readings:
        part = build.part(reading.part)
        dimension = part.dimension(reading.dimension)
        callout = requirement_for(part, dimension, reading.op, reading.piece)
        if part.id in computing:
            line, out = echo(build, logbook, part, callout, reading)
            if out:
                yield line
            continue
        judged = _judged(build, logbook, part, callout, reading, known)
        if reading.value == NO_GO if judged is None else judged.judgement.verdict.out:
            yield _one(build, part, callout, reading, judged, named=True, valued=True)[0]


def _judged(
    build: Build,
    logbook: Logbook,
    part: Part,
    callout: Callout,
    reading: Reading,
    known: Known | None,
) -> Judged | None:
    """A reading judged; None for a check that passed or failed."""
    if callout.attribute:
        return None
    return judge_entry(build, logbook, part, callout, reading, known)


def _computed(result: Result, part: str, piece: int, words: Words) -> tuple[str, bool]:
    """A computed dimension in one line, and whether it is out."""
    place = f"{part}-{piece} {result.dimension.id}"
    if result.judged is None:
        key = "echo.still_to_read" if result.lacking else "echo.contradiction"
        said = words(key, place=place, names=words.list(list(result.lacking)))
        return on_screen(said), False
    judgement, callout = result.judged.judgement, result.callout
    value = _amount(words, result.typed, callout.unit.symbol)
    digits = max(decimals_of(Decimal(result.typed)), places_for(callout, callout.unit))
    line = f"{place} = {value}  {answer(judgement, callout, digits, words)}"
    return line.rstrip(), judgement.verdict.out


def answer(judgement: Judgement, callout: Callout, digits: int, words: Words) -> str:
    """What is said of a value: verdict, place in the tolerance, how far from middle or limit.

    `digits` are the places with which the value is shown.
    """
    drawn = ""
    if judgement.share is not None:
        drawn = f"  {strip([judgement.share], middle=not judgement.ends_at_zero)}"
    where = [_where(judgement, callout, digits, words)]
    if judgement.rule is not judgement.rule_used:  # nothing is known to guard with
        where.append(words("echo.unknown"))
    said = "; ".join(w for w in where if w)
    return f"{verdict(judgement.verdict, words)}{drawn}  {said}".rstrip()


def _one(
    build: Build,
    part: Part,
    callout: Callout,
    reading: Reading,
    judged: Judged | None,
    *,
    named: bool,
    valued: bool,
) -> tuple[str, bool]:
    words = words_of(build)
    name = f"{part.named(reading.piece)} {reading.dimension}  " if named else ""
    if judged is None:
        passed = reading.value == GO
        return f"{name}{outcome(passed, words)}", not passed
    unit = Unit(reading.unit)
    instrument = next((i for i in build.instruments if i.id == reading.instrument), None)
    warm = reading.temperature
    judgement = judged.judgement
    step, step_unit = (None, None) if instrument is None else (instrument.step, instrument.unit)
    as_read = Decimal(reading.value)

    def places(into: Unit) -> int:
        return places_read(callout, into, as_read, unit, step, step_unit)

    limits = callout.limits if unit is callout.unit else NO_LIMITS
    shown = _amount(words, show(as_read, limits, places(unit)), unit.symbol)
    digits = places(callout.unit)
    value = ""
    if warm is not None:  # one digit more than the display has, to see the correction
        digits += 1
        said = f"{shown} {_warmth(judged, part, callout, reading, digits, words)}"
        value = said + ("  " if named else "\n  ")  # too long for one line on a terminal
    elif valued:
        value = shown + "  "
    line = f"{name}{value}{answer(judgement, callout, digits, words)}"
    return line.rstrip(), judgement.verdict.out


def _amount(words: Words, value: Decimal | str, symbol: str) -> str:
    return f"{on_screen(words.number(value, symbol))} {symbol}".rstrip()


def _warmth(
    judged: Judged, part: Part, callout: Callout, reading: Reading, digits: int, words: Words
) -> str:
    """Both values of a reading with a temperature: as read, and at 20 °C."""
    at = words("echo.at", temperature=words.number(reading.temperature or ""))
    if reading.instrument_temperature not in (None, reading.temperature):
        other = words.number(reading.instrument_temperature or "")
        at += f" {words('echo.instrument_at', temperature=other)}"
    if judged.value == judged.raw and Decimal(reading.temperature or 20) != 20:
        return f"{at}, {words('echo.uncorrected', part=part.id)}"
    value = _amount(words, show(judged.value, callout.limits, digits), callout.unit.symbol)
    return f"{at}, {words('echo.corrected', value=value)}"


def _where(judgement: Judgement, callout: Callout, digits: int, words: Words) -> str:
    """How far out, or how far from the middle or the only limit, which is named when missed."""
    limits = judgement.limits
    symbol = limits.unit.symbol
    if judgement.beyond and (judgement.verdict.out or judgement.room is not None):
        above = limits.upper is not None and judgement.value > limits.upper
        missed = limits.upper if above else limits.lower
        general = f" ({source_text(callout, words)})" if callout.general else ""
        amount = words.number(difference(judgement.beyond, digits), symbol)
        beyond = words("echo.beyond", amount=amount, limit=words.number(f"{missed:f}", symbol))
        return on_screen(f"{beyond}{general}")
    if judgement.room is not None:
        amount = words.number(difference(judgement.room, digits), symbol)
        return on_screen(words("echo.room", amount=amount))
    if judgement.deviation_from_middle is None:
        return ""
    away = difference(judgement.deviation_from_middle, digits)
    sign = "" if away < 0 else "+"
    return on_screen(words("echo.middle", amount=f"{sign}{words.number(away, symbol)}"))
