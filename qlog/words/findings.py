"""Every finding said once: what is the matter, and what to do about it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import Decimal
from functools import singledispatch
from typing import Any

from qlog.drawing.limits import Limits
from qlog.frozen import frozen
from qlog.review.findings import kinds
from qlog.review.findings.kinds import Finding
from qlog.review.homeless import Gone, Homeless
from qlog.review.instrument.judging import tidy
from qlog.review.part.batch import SeriesView
from qlog.review.views import ReadingView
from qlog.study.conformity.bias import JawsReadLow
from qlog.study.drift.trend_test import Cause, DriftStatus, SetupDrift
from qlog.words.catalogue import Words
from qlog.words.trend import machine_text, setup_text
from qlog.words.values import (
    decimals_of,
    fixed,
    limits_text,
    overall_text,
    value_text,
    verdict_name,
    verdict_word,
    with_unit,
)


@frozen
class Wording:
    """A finding in words: what is the matter, and what to do; the latter may be empty."""

    text: str
    remedy: str = ""


def kind_key(kind: type[Finding]) -> str:
    """The name of a kind in the catalogue: `NotProven` is `not_proven`."""
    return re.sub(r"(?<=[a-z])(?=[A-Z])", "_", kind.__name__).lower()


def kind_of(finding: Finding) -> type[Finding]:
    """The kind of a finding, for several told together the kind of each."""
    return type(finding.findings[0]) if isinstance(finding, kinds.Together) else type(finding)


def kind_word(finding: Finding, words: Words) -> str:
    """The kind of a finding in a few words."""
    if isinstance(finding, kinds.Out) and finding.decision == "use as is":
        return words("kind.used_as_is")
    if isinstance(finding, kinds.Out) and finding.decision == "scrap":
        return words("kind.scrapped")
    return words(f"kind.{kind_key(kind_of(finding))}")


def say(finding: Finding, words: Words) -> Wording:
    """A finding in the catalogue's language. Raises NotImplementedError for an unknown kind."""
    kind, about = kind_key(kind_of(finding)), facts_of(finding, words)
    text, remedy = f"finding.{kind}", f"remedy.{kind}"
    match finding:
        case kinds.Together():
            todo = words(f"{remedy}.together", **about) if words.has(f"{remedy}.together") else ""
            return Wording(words(f"{text}.together", **about), todo)
        case kinds.Out() if finding.decision:
            return Wording(f"{words(text, **about)}, {words(f'decision.{finding.decision}')}")
        case kinds.Drift():
            remedy = _for_drift(finding.setup.drift) if finding.ahead else ""
        case kinds.CoarseInstrument() if not finding.doubt.over_a_fifth:
            remedy = ""
        case kinds.Short():
            todo = words.count(remedy, finding.part.needed - finding.live)
            return Wording(words(text, **about), todo)
        case kinds.NotInThePlan():
            return Wording(lost_text(finding.lost, words), lost_remedy(finding.lost, words))
    number = about.pop("n", None)
    said = words(text, **about) if number is None else words.count(text, number, **about)
    if isinstance(finding, kinds.Unplaced) and finding.proposed:
        said += f", {words('finding.unplaced.proposed', n=finding.proposed)}"
        remedy += ".proposed"
    return Wording(said, words(remedy, **about) if remedy else "")


@singledispatch
def facts_of(finding: Finding, words: Words) -> dict[str, Any]:
    """What the texts of a kind name; with `n`, the text is one for one and another for many."""
    raise NotImplementedError(f"{type(finding).__name__} has no words")


@facts_of.register
def _(finding: kinds.OfReading, words: Words) -> dict[str, Any]:
    series, reading = finding.series, finding.reading
    today = reading.today
    return {
        **_about(series),
        "piece": words.piece(series.part.id, reading.piece),
        "number": words.called(series.part.id, reading.piece),
        "value": value_text(words, series, reading),
        "verdict": verdict_word(words, reading),
        "limits": _limits_it_met(series, reading, words),
        "today": "" if today is None else verdict_name(words, today),
    }


@facts_of.register
def _(finding: kinds.Drift, words: Words) -> dict[str, Any]:
    study = finding.series.study
    step = None if study is None else study.step
    text = setup_text(finding.series, finding.setup, step, words)
    return {**_about(finding.series), "text": text}


@facts_of.register
def _(finding: kinds.MachineDrift, words: Words) -> dict[str, Any]:
    return {"text": machine_text(finding.view, finding.tool, words)}


@facts_of.register
def _(finding: kinds.CoarseInstrument | kinds.JawsInBore, words: Words) -> dict[str, Any]:
    series, doubt = finding.series, finding.doubt
    amount = doubt.amount if isinstance(doubt, JawsReadLow) else doubt.error
    shown = fixed(amount, min(decimals_of(amount), 1 - amount.adjusted()))
    return {
        **_about(series),
        "instrument": "" if series.instrument is None else series.instrument.name,
        "amount": with_unit(words.number(shown), series.limits.unit.symbol),
        "share": _share(doubt.share, words),
    }


@facts_of.register
def _(finding: kinds.ReadingsUnmatched | kinds.ReadingMissing, words: Words) -> dict[str, Any]:
    return {
        **_about(finding.series),
        "n": len(finding.pieces),
        "pieces": words.runs(finding.series.part.id, finding.pieces),
        "callout": finding.series.callout.text,
    }


@facts_of.register
def _(finding: kinds.PhotoMissing, words: Words) -> dict[str, Any]:  # noqa: ARG001
    part, operation = finding.part, finding.view.operation
    about = {"part": part.name, "id": part.id, "op": operation.number, "name": operation.name}
    return {**about, "n": finding.view.photos_missing}


@facts_of.register
def _(finding: kinds.OutOfOrder, words: Words) -> dict[str, Any]:
    piece = finding.piece
    number = words.called(piece.part, piece.number)
    about = {"piece": piece.name, "id": piece.part, "number": number}
    return {**about, "op": finding.open, "later": finding.later}


@facts_of.register
def _(finding: kinds.MixedUp, words: Words) -> dict[str, Any]:  # noqa: ARG001
    about = {"piece": finding.one, "other": finding.other}
    return {**about, "before": finding.before, "op": finding.after}


@facts_of.register
def _(finding: kinds.OfStock, words: Words) -> dict[str, Any]:  # noqa: ARG001
    return {"part": finding.part.name, "live": finding.live, "needed": finding.part.needed}


@facts_of.register
def _(finding: kinds.SentOut, words: Words) -> dict[str, Any]:
    part, pieces = finding.part, words.runs(finding.part.id, finding.pieces)
    about = {"part": part.name, "id": part.id, "op": finding.place.op}
    return {**about, "pieces": pieces, "n": len(finding.pieces)}


@facts_of.register
def _(finding: kinds.Suspect, words: Words) -> dict[str, Any]:  # noqa: ARG001
    return {"instrument": finding.view.instrument.name, "n": finding.view.suspect}


@facts_of.register
def _(finding: kinds.Unplaced, words: Words) -> dict[str, Any]:  # noqa: ARG001
    return {"n": finding.photos}


@facts_of.register
def _(finding: kinds.NotInThePlan | kinds.NoMatching, words: Words) -> dict[str, Any]:  # noqa: ARG001
    return {}


@facts_of.register
def _(finding: kinds.OfItem, words: Words) -> dict[str, Any]:
    size, judgement, stack = finding.size, finding.size.judgement, finding.size.stack
    return {
        "item": finding.item.name,
        "id": finding.item.id,
        "stack": size.fact.stack,
        "name": size.fact.stack if stack is None else stack.name,
        "value": overall_text(words, size),
        "verdict": "" if judgement is None else verdict_name(words, judgement.verdict),
        "limits": "" if judgement is None else limits_text(words, judgement.limits),
    }


@facts_of.register
def _(finding: kinds.Together, words: Words) -> dict[str, Any]:
    """How many findings of one kind and part, and of which pieces or dimensions."""
    first = finding.findings[0]
    part = first.series.part.name if isinstance(first, kinds.OfReading | kinds.OfSeries) else ""
    about = {"part": part or finding.place.part, "id": finding.place.part}
    return {**about, "n": len(finding.findings), "list": _listed(finding.findings, words)}


def _about(series: SeriesView) -> dict[str, object]:
    return {
        "part": series.part.name,
        "id": series.part.id,
        "name": series.dimension.name,
        "dimension": series.dimension.id,
        "op": series.operation.number,
    }


def _limits_it_met(series: SeriesView, reading: ReadingView, words: Words) -> str:
    """The limits that a reading was judged by, and where they are from when no callout has them."""
    limits = series.limits if reading.judgement is None else reading.judgement.limits
    bare = Limits(None, None, limits.unit)
    lower, upper = (
        None if end is None else tidy(end, bare) for end in (limits.lower, limits.upper)
    )
    said = limits_text(words, Limits(lower, upper, limits.unit))
    general = series.callout.general and limits == series.limits
    return f"{said}; {series.callout.source}" if general else said


def _for_drift(drift: SetupDrift) -> str:
    """The text of what to do: a worn tool is touched up, and what is no wear is looked for."""
    if drift.status is not DriftStatus.DRIFTING:
        return f"remedy.drift.{drift.status.name.lower()}"
    return "remedy.drift.not_wear" if drift.cause is Cause.NOT_WEAR else "remedy.drift"


def _share(share: Decimal, words: Words) -> str:
    return words.number(fixed(100 * share, 0))


def lost_text(lost: Homeless, words: Words) -> str:
    """Entries that name what the plan has not, with the pieces whose readings are among them."""
    key = f"gone.{lost.gone.value}"
    if lost.gone is Gone.DIMENSION and lost.op is not None:
        key += ".op"
    gone = words(key, part=lost.part, name=lost.name, op=lost.op)
    text = words.count("finding.not_in_the_plan", len(lost.entries), what=gone)
    if read := lost.readings:
        owners: dict[str, list[int]] = {}
        for entry in read:
            owners.setdefault(entry.fact.part, []).append(entry.fact.piece)
        named = "; ".join(words.pieces(part, own) for part, own in sorted(owners.items()))
        text += f" ({words.count('finding.without_a_home', len(read), pieces=named)})"
    return text


def lost_remedy(lost: Homeless, words: Words) -> str:
    """How what is gone gets its entries back: under its new name, or put back into the plan."""
    if lost.gone is Gone.PIECE:
        return words("remedy.not_in_the_plan.piece")
    what = {Gone.OPERATION: "op", Gone.DIMENSION: "dim"}.get(lost.gone, lost.gone.value)
    name = lost.name.rpartition("-")[0] if lost.gone is Gone.ITEM else lost.name
    within = f"{lost.part}." if lost.part and lost.gone is not Gone.PART else ""
    return words("remedy.not_in_the_plan", what=what, name=f"{within}{name}")


def _listed(findings: Sequence[Finding], words: Words) -> str:
    """What a line that stands for several findings names: each once, with its pieces."""
    named: dict[str, list[int]] = {}
    for finding in findings:
        match finding:
            case kinds.NotProven():
                name = f"{finding.series.dimension.name} ({finding.series.operation.number})"
                named.setdefault(name, []).append(finding.reading.piece)
            case kinds.OutOfOrder():
                name = words("finding.out_of_order.pair", op=finding.open, later=finding.later)
                named.setdefault(name, []).append(finding.piece.number)
            case kinds.CoarseInstrument():
                share = _share(finding.doubt.share, words)
                named[f"{finding.series.dimension.name} {share} %"] = []
            case _:
                raise NotImplementedError(f"{type(finding).__name__} is told alone")
    part = findings[0].place.part or ""
    return "; ".join(
        f"{name}: {words.runs(part, own)}" if own else name for name, own in named.items()
    )
