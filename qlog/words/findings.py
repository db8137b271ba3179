"""Every finding said once: what is the matter, and what to do about it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import singledispatch

from qlog.drawing.limits import Limits
from qlog.review.findings.finding import Finding
from qlog.review.findings.kinds import (
    CoarseInstrument,
    DrawingChanged,
    Drift,
    JawsInBore,
    MachineDrift,
    MixedUp,
    NoMatching,
    NoSpare,
    NotInThePlan,
    NotProven,
    OfItem,
    OfReading,
    OfSeries,
    Out,
    Outlier,
    OutOfOrder,
    OverallNotProven,
    OverallOut,
    PhotoMissing,
    ReadingMissing,
    ReadingsUnmatched,
    SentOut,
    Short,
    Suspect,
    Together,
    Unplaced,
)
from qlog.review.homeless import Gone, Homeless
from qlog.review.instrument.judging import tidy
from qlog.review.part.batch import SeriesView
from qlog.review.views import ReadingView
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


@dataclass(frozen=True, slots=True)
class Wording:
    """A finding in words: what is the matter, and what to do; the latter may be empty."""

    text: str
    remedy: str = ""


def kind_key(kind: type[Finding]) -> str:
    """The name of a kind in the catalogue: `NotProven` is `not_proven`."""
    return re.sub(r"(?<=[a-z])(?=[A-Z])", "_", kind.__name__).lower()


def kind_of(finding: Finding) -> type[Finding]:
    """The kind of a finding, for several told together the kind of each."""
    return type(finding.findings[0]) if isinstance(finding, Together) else type(finding)


def kind_word(finding: Finding, words: Words) -> str:
    """The kind of a finding in a few words."""
    if isinstance(finding, Out) and finding.decision == "use as is":
        return words("kind.used_as_is")
    if isinstance(finding, Out) and finding.decision == "scrap":
        return words("kind.scrapped")
    return words(f"kind.{kind_key(kind_of(finding))}")


@singledispatch
def say(finding: Finding, words: Words) -> Wording:
    """A finding in the catalogue's language. Raises NotImplementedError for an unknown kind."""
    raise NotImplementedError(f"{type(finding).__name__} has no words")


def _about(series: SeriesView) -> dict[str, object]:
    return {
        "part": series.part.name,
        "id": series.part.id,
        "name": series.dimension.name,
        "dimension": series.dimension.id,
        "op": series.operation.number,
    }


def _of_reading(series: SeriesView, reading: ReadingView, words: Words) -> dict[str, object]:
    return {
        **_about(series),
        "piece": words.piece(series.part.id, reading.piece),
        "number": words.called(series.part.id, reading.piece),
        "value": value_text(words, series, reading),
        "verdict": verdict_word(words, reading),
        "limits": _limits_it_met(series, reading, words),
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


@say.register
def _(finding: Out, words: Words) -> Wording:
    about = _of_reading(finding.series, finding.reading, words)
    text = words("finding.out", **about)
    if finding.decision:
        return Wording(f"{text}, {words(f'decision.{finding.decision}')}")
    return Wording(text, words("remedy.out", **about))


@say.register
def _(finding: NotProven, words: Words) -> Wording:
    about = _of_reading(finding.series, finding.reading, words)
    return Wording(words("finding.not_proven", **about), words("remedy.not_proven", **about))


@say.register
def _(finding: DrawingChanged, words: Words) -> Wording:
    about = _of_reading(finding.series, finding.reading, words)
    today = finding.reading.today
    about["today"] = "" if today is None else verdict_name(words, today)
    return Wording(
        words("finding.drawing_changed", **about), words("remedy.drawing_changed", **about)
    )


@say.register
def _(finding: Outlier, words: Words) -> Wording:
    about = _of_reading(finding.series, finding.reading, words)
    return Wording(words("finding.outlier", **about), words("remedy.outlier", **about))


@say.register
def _(finding: Drift, words: Words) -> Wording:
    about = _about(finding.series)
    study = finding.series.study
    step = None if study is None else study.step
    text = setup_text(finding.series, finding.setup, step, words)
    return Wording(
        words("finding.drift", text=text, **about),
        words(_for_drift(finding.setup.drift), **about) if finding.ahead else "",
    )


def _for_drift(drift: SetupDrift) -> str:
    """The text of what to do: a worn tool is touched up, and what is no wear is looked for."""
    if drift.status is not DriftStatus.DRIFTING:
        return f"remedy.drift.{drift.status.name.lower()}"
    return "remedy.drift.not_wear" if drift.cause is Cause.NOT_WEAR else "remedy.drift"


@say.register
def _(finding: MachineDrift, words: Words) -> Wording:
    text = machine_text(finding.view, finding.tool, words)
    return Wording(words("finding.machine_drift", text=text), words("remedy.machine_drift"))


def _amount(series: SeriesView, amount: Decimal, words: Words) -> str:
    shown = fixed(amount, min(decimals_of(amount), 1 - amount.adjusted()))
    return with_unit(words.number(shown), series.limits.unit.symbol)


def _share(share: Decimal, words: Words) -> str:
    return words.number(fixed(100 * share, 0))


def _instrument(series: SeriesView) -> str:
    return "" if series.instrument is None else series.instrument.name


@say.register
def _(finding: CoarseInstrument, words: Words) -> Wording:
    about = _about(finding.series)
    about["instrument"] = _instrument(finding.series)
    about["amount"] = _amount(finding.series, finding.doubt.error, words)
    about["share"] = _share(finding.doubt.share, words)
    return Wording(
        words("finding.coarse_instrument", **about),
        words("remedy.coarse_instrument") if finding.doubt.over_a_fifth else "",
    )


@say.register
def _(finding: JawsInBore, words: Words) -> Wording:
    about = _about(finding.series)
    about["amount"] = _amount(finding.series, finding.doubt.amount, words)
    about["share"] = _share(finding.doubt.share, words)
    return Wording(words("finding.jaws_in_bore", **about), words("remedy.jaws_in_bore"))


@say.register
def _(finding: ReadingsUnmatched, words: Words) -> Wording:
    return _of_pieces(finding, "readings_unmatched", words)


@say.register
def _(finding: ReadingMissing, words: Words) -> Wording:
    return _of_pieces(finding, "reading_missing", words)


def _of_pieces(finding: ReadingsUnmatched | ReadingMissing, key: str, words: Words) -> Wording:
    about = {
        **_about(finding.series),
        "pieces": words.runs(finding.series.part.id, finding.pieces),
        "callout": finding.series.callout.text,
    }
    said = words.count(f"finding.{key}", len(finding.pieces), **about)
    return Wording(said, words(f"remedy.{key}", **about))


@say.register
def _(finding: PhotoMissing, words: Words) -> Wording:
    operation = finding.view.operation
    about = {
        "part": finding.part.name,
        "id": finding.part.id,
        "op": operation.number,
        "name": operation.name,
    }
    return Wording(
        words.count("finding.photo_missing", finding.view.photos_missing, **about),
        words("remedy.photo_missing", **about),
    )


@say.register
def _(finding: OutOfOrder, words: Words) -> Wording:
    about = {
        "piece": finding.piece.name,
        "id": finding.piece.part,
        "number": words.called(finding.piece.part, finding.piece.number),
        "op": finding.open,
        "later": finding.later,
    }
    return Wording(words("finding.out_of_order", **about), words("remedy.out_of_order", **about))


@say.register
def _(finding: MixedUp, words: Words) -> Wording:
    about = {
        "piece": finding.one,
        "other": finding.other,
        "before": finding.before,
        "op": finding.after,
    }
    return Wording(words("finding.mixed_up", **about), words("remedy.mixed_up"))


@say.register
def _(finding: Short, words: Words) -> Wording:
    part = finding.part
    about = {"part": part.name, "live": finding.live, "needed": part.needed}
    return Wording(
        words("finding.short", **about), words.count("remedy.short", part.needed - finding.live)
    )


@say.register
def _(finding: NoSpare, words: Words) -> Wording:
    part = finding.part
    about = {"part": part.name, "live": finding.live, "needed": part.needed}
    return Wording(words("finding.no_spare", **about), words("remedy.no_spare"))


@say.register
def _(finding: SentOut, words: Words) -> Wording:
    about = {
        "part": finding.part.name,
        "id": finding.part.id,
        "pieces": words.runs(finding.part.id, finding.pieces),
        "op": finding.place.op,
    }
    return Wording(
        words.count("finding.sent_out", len(finding.pieces), **about),
        words("remedy.sent_out", **about),
    )


@say.register
def _(finding: Suspect, words: Words) -> Wording:
    name = finding.view.instrument.name
    return Wording(
        words.count("finding.suspect", finding.view.suspect, instrument=name),
        words("remedy.suspect"),
    )


@say.register
def _(finding: Unplaced, words: Words) -> Wording:
    text = words.count("finding.unplaced", finding.photos)
    if not finding.proposed:
        return Wording(text, words("remedy.unplaced"))
    return Wording(
        f"{text}, {words('finding.unplaced.proposed', n=finding.proposed)}",
        words("remedy.unplaced.proposed"),
    )


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


@say.register
def _(finding: NotInThePlan, words: Words) -> Wording:
    return Wording(lost_text(finding.lost, words), lost_remedy(finding.lost, words))


def lost_remedy(lost: Homeless, words: Words) -> str:
    """How what is gone gets its entries back: under its new name, or put back into the plan."""
    if lost.gone is Gone.PIECE:
        return words("remedy.not_in_the_plan.piece")
    what = {Gone.OPERATION: "op", Gone.DIMENSION: "dim"}.get(lost.gone, lost.gone.value)
    name = lost.name.rpartition("-")[0] if lost.gone is Gone.ITEM else lost.name
    within = f"{lost.part}." if lost.part and lost.gone is not Gone.PART else ""
    return words("remedy.not_in_the_plan", what=what, name=f"{within}{name}")


def _of_item(finding: OfItem, words: Words) -> dict[str, object]:
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


@say.register
def _(finding: OverallOut, words: Words) -> Wording:
    about = _of_item(finding, words)
    return Wording(words("finding.overall_out", **about), words("remedy.overall_out", **about))


@say.register
def _(finding: OverallNotProven, words: Words) -> Wording:
    about = _of_item(finding, words)
    text = words("finding.overall_not_proven", **about)
    return Wording(text, words("remedy.overall_not_proven", **about))


@say.register
def _(finding: NoMatching, words: Words) -> Wording:  # noqa: ARG001 - registered by its type
    return Wording(words("finding.no_matching"), words("remedy.no_matching"))


@say.register
def _(finding: Together, words: Words) -> Wording:
    """Several findings of one kind and part: how many, and of which pieces or dimensions."""
    kind = kind_key(kind_of(finding))
    first = finding.findings[0]
    part = first.series.part.name if isinstance(first, OfReading | OfSeries) else ""
    about: dict[str, object] = {
        "part": part or finding.place.part,
        "id": finding.place.part,
        "n": len(finding.findings),
        "list": _listed(finding.findings, words),
    }
    remedy = f"remedy.{kind}.together"
    return Wording(
        words(f"finding.{kind}.together", **about),
        words(remedy, **about) if words.has(remedy) else "",
    )


def _listed(findings: Sequence[Finding], words: Words) -> str:
    """What a line that stands for several findings names: each once, with its pieces."""
    named: dict[str, list[int]] = {}
    for finding in findings:
        match finding:
            case NotProven():
                name = f"{finding.series.dimension.name} ({finding.series.operation.number})"
                named.setdefault(name, []).append(finding.reading.piece)
            case OutOfOrder():
                name = words("finding.out_of_order.pair", op=finding.open, later=finding.later)
                named.setdefault(name, []).append(finding.piece.number)
            case CoarseInstrument():
                share = _share(finding.doubt.share, words)
                named[f"{finding.series.dimension.name} {share} %"] = []
            case _:
                raise NotImplementedError(f"{type(finding).__name__} is told alone")
    part = findings[0].place.part or ""
    return "; ".join(
        f"{name}: {words.runs(part, own)}" if own else name for name, own in named.items()
    )
