"""Readings as the page shows them: value, verdict in a word and a shape, place in the tolerance."""

from __future__ import annotations

from typing import Any

from qlog.drawing.callouts.callout import Callout
from qlog.drawing.plan import Build, Dimension, Part
from qlog.intake.bench.stream import Ask
from qlog.logbook.facts import Reading
from qlog.logbook.part_log import PartLog
from qlog.logbook.store import Logbook
from qlog.record.pages.verdict_marks import VERDICT_SHAPES
from qlog.review.instrument.derived import results_with
from qlog.review.instrument.judging import judge_entry
from qlog.review.part.trend import TrendSoFar
from qlog.study.conformity.verdict import Judgement, show
from qlog.words.catalogue import Words
from qlog.words.trend import glance_text
from qlog.words.values import limits_text, places, verdict_name, with_unit


def required_text(callout: Callout, words: Words) -> str:
    """What the drawing asks for, in limits or as a check."""
    if callout.attribute:
        return words(f"check.{callout.kind.name.lower()}")
    general = f" ({callout.source})" if callout.general else ""
    return limits_text(words, callout.limits) + general


def shown_reading(
    build: Build, logbook: Logbook, part: Part, callout: Callout, reading: Reading, words: Words
) -> dict[str, Any]:
    """One reading: what it is, how it stands, where it lies between the limits."""
    if callout.attribute:
        go = reading.value == "go"
        return {
            "value": words("value.go" if go else "value.no_go"),
            "word": words("verdict.passed" if go else "verdict.failed"),
            "shape": "good" if go else "fail",
            "out": not go,
            "share": None,
            "where": "",
        }
    if callout.raw:
        return {
            "value": with_unit(words.number(reading.value), reading.unit.replace("inch", "in")),
            "word": "", "shape": "wait", "out": False, "share": None, "where": "",
        }  # fmt: skip
    judgement = judge_entry(build, logbook, part, callout, reading).judgement
    return {
        "value": with_unit(words.number(reading.value), reading.unit.replace("inch", "in")),
        "word": verdict_name(words, judgement.verdict),
        "shape": VERDICT_SHAPES[judgement.verdict].value,
        "out": judgement.verdict.out,
        "share": None if judgement.share is None else float(judgement.share),
        "middle": not judgement.ends_at_zero,
        "where": _where(judgement, words),
    }


def _where(judgement: Judgement, words: Words) -> str:
    """How far out and over which limit; and that no uncertainty was there to guard with."""
    said = []
    limits = judgement.limits
    shown = places(limits, None)
    if judgement.verdict.out and judgement.beyond:
        missed = limits.upper if judgement.verdict.value == "out high" else limits.lower
        if missed is not None:
            said.append(
                words(
                    "phone.beyond",
                    amount=words.number(f"{judgement.beyond.normalize():f}", limits.unit.symbol),
                    limit=words.number(show(missed, limits, shown), limits.unit.symbol),
                )
            )
    if judgement.rule is not judgement.rule_used:
        said.append(words("phone.no_uncertainty"))
    return "; ".join(said)


def shown_trend(
    build: Build, logbook: Logbook, log: PartLog, op: int, dimension: Dimension, callout: Callout,
    piece: int, words: Words,
) -> str:  # fmt: skip
    """The trend so far in a sentence, as the stream says it; empty where there is none."""
    if callout.attribute:
        return ""
    glance = TrendSoFar(build, logbook).glance(log, op, dimension, piece)
    return "" if glance is None else glance_text(glance, callout.limits, words.about(log.part.id))


def shown_column(
    build: Build, logbook: Logbook, log: PartLog, op: int, dimension: Dimension, callout: Callout,
    words: Words,
) -> dict[int, dict[str, Any]]:  # fmt: skip
    """The newest reading of every piece in one dimension after one operation."""
    part = log.part
    found: dict[int, dict[str, Any]] = {}
    for piece in part.pieces:
        entry = log.reading(dimension.id, op, piece)
        if entry is None:
            continue
        try:
            found[piece] = shown_reading(build, logbook, part, callout, entry.fact, words)
        except ValueError:  # of an earlier drawing, in a unit that is none of this one
            continue
    return found


def shown_computed(
    build: Build, logbook: Logbook, part: Part, ask: Ask, words: Words
) -> list[dict[str, Any]]:
    """What is computed with the reading of a place: each with its verdict, or what it waits for."""
    found = []
    for result in results_with(build, logbook, part, ask.dimension.id, ask.piece):
        if result.judged is None:
            key = "still_to_read" if result.lacking else "contradiction"
            names = words.list(list(result.lacking))
            place = f"{part.id}-{ask.piece} {result.dimension.id}"
            text = words(f"echo.{key}", place=place, names=names)
            found.append({"text": text, "shape": "wait", "out": False})
            continue
        judgement = result.judged.judgement
        value = with_unit(words.number(result.typed), result.callout.unit.symbol)
        said = [result.dimension.name, value, verdict_name(words, judgement.verdict)]
        where = _where(judgement, words)
        text = " ".join(said) + (f"; {where}" if where else "")
        shape = VERDICT_SHAPES[judgement.verdict].value
        found.append({"text": text, "shape": shape, "out": judgement.verdict.out})
    return found
