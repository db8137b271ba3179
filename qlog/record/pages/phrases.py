"""Findings in the language of the record: said again from their facts, not translated."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from qlog.counting import runs
from qlog.record.charts.overlays import drift_sentence
from qlog.record.pages.page import series_key
from qlog.record.pages.wording import (
    decimals_of,
    fixed,
    limits_text,
    value_text,
    verdict_name,
    verdict_word,
    with_unit,
)
from qlog.review.part.batch import SeriesView
from qlog.review.picture import PartView, Picture
from qlog.review.views import Finding, ReadingView, Standing, Weight
from qlog.words import Words


@dataclass(frozen=True, slots=True)
class Phrase:
    """A finding as a page says it, and where it leads."""

    weight: Weight
    kind: str
    kind_word: str
    text: str
    href: str  # relative to the record; empty when there is no page for it


def phrases(findings: Iterable[Finding], picture: Picture, words: Words) -> tuple[Phrase, ...]:
    """The findings as the pages say them, in their order."""
    return tuple(
        Phrase(
            f.weight,
            f.kind,
            words.maybe(f"kind.{f.kind.replace(' ', '_')}", f.kind),
            _text(f, picture, words),
            _href(f, picture),
        )
        for f in findings
    )


def _view(finding: Finding, picture: Picture) -> PartView | None:
    return next((v for v in picture.parts if v.part.id == finding.part), None)


def _series(finding: Finding, picture: Picture) -> SeriesView | None:
    view = _view(finding, picture)
    wanted = (finding.dimension, finding.op)
    for series in view.series if view is not None else ():
        if (series.dimension.id, series.operation.number) == wanted:
            return series
    return None


def _reading(finding: Finding, series: SeriesView) -> ReadingView | None:
    return next((r for r in series.readings if r.piece == finding.piece), None)


def _text(finding: Finding, picture: Picture, words: Words) -> str:
    """The finding's sentence; its own text for a kind that is not known here."""
    said = _SAYERS.get(finding.kind)
    return (said(finding, picture, words) if said is not None else "") or finding.text


def _of_reading(finding: Finding, picture: Picture, words: Words) -> str:
    series = _series(finding, picture)
    reading = _reading(finding, series) if series is not None else None
    if series is None or reading is None:
        return ""
    return words(
        f"finding.{finding.kind.replace(' ', '_')}",
        piece=f"{finding.part}-{finding.piece}",
        name=series.dimension.name,
        value=value_text(words, series, reading),
        verdict=verdict_word(words, reading),
        today=verdict_name(words, reading.today) if reading.today is not None else "",
        limits=limits_text(words, series.limits),
    )


def _of_drift(finding: Finding, picture: Picture, words: Words) -> str:
    series = _series(finding, picture)
    study = series.study if series is not None else None
    if series is None or study is None or study.running is None:
        return ""
    return words(
        "finding.drift",
        part=series.part.name,
        name=series.dimension.name,
        text=drift_sentence(series, study.running, study.step, words),
    )


def _of_instrument(finding: Finding, picture: Picture, words: Words) -> str:
    series = _series(finding, picture)
    study = series.study if series is not None else None
    if series is None or study is None or len(study.biases) != 1 or series.instrument is None:
        return ""
    doubt = study.biases[0]
    amount = fixed(doubt.amount, decimals_of(doubt.amount))
    key = "finding.jaws" if "jaws" in doubt.text else "finding.instrument"
    return words(
        key,
        part=series.part.name,
        name=series.dimension.name,
        instrument=series.instrument.name,
        amount=with_unit(words.number(amount), series.limits.unit.symbol),
        share=words.number(fixed(100 * Decimal(doubt.share), 0)),
    )


def _of_missing(finding: Finding, picture: Picture, words: Words) -> str:
    series = _series(finding, picture)
    if series is None:
        return ""
    owed = [slot.piece for slot in series.slots if slot.owed and slot.piece not in series.unmatched]
    return words(
        "finding.reading_missing",
        part=series.part.name,
        name=series.dimension.name,
        pieces=runs(owed),
        op=finding.op,
    )


def _of_photo(finding: Finding, picture: Picture, words: Words) -> str:
    view = _view(finding, picture)
    for op in view.ops if view is not None else ():
        if op.operation.number == finding.op and view is not None:
            return words.count(
                "finding.photo_missing",
                op.photos_missing,
                part=view.part.name,
                op=finding.op,
                name=op.operation.name,
            )
    return ""


def _of_stock(finding: Finding, picture: Picture, words: Words) -> str:
    view = _view(finding, picture)
    if view is None:
        return ""
    out = [p.number for p in view.pieces if p.standing is Standing.OUT]
    return words(
        f"finding.{finding.kind.replace(' ', '_')}",
        part=view.part.name,
        live=view.live,
        needed=view.part.needed,
        pieces=runs(out),
    )


def _of_otherwise(finding: Finding, picture: Picture, words: Words) -> str:
    series = _series(finding, picture)
    if series is None:
        return ""
    return words(
        "finding.read_otherwise",
        part=series.part.name,
        name=series.dimension.name,
        pieces=runs(series.unmatched),
        op=finding.op,
        callout=series.callout.text,
    )


def _of_piece(finding: Finding, _: Picture, words: Words) -> str:
    return words(
        f"finding.{finding.kind.replace(' ', '_')}",
        piece=f"{finding.part}-{finding.piece}",
        op=finding.op,
        other=finding.subject,
    )


def _of_suspect(finding: Finding, picture: Picture, words: Words) -> str:
    for view in picture.instruments:
        if view.instrument.name == finding.subject:
            return words.count("finding.suspect", view.suspect, instrument=finding.subject)
    return ""


def _of_none(finding: Finding, _: Picture, words: Words) -> str:
    return words(f"finding.{finding.kind.replace(' ', '_')}", what=finding.subject)


def _of_unplaced(_: Finding, picture: Picture, words: Words) -> str:
    return words.count("finding.unplaced", len(picture.unplaced))


_SAYERS: Mapping[str, Callable[[Finding, Picture, Words], str]] = {
    "out": _of_reading,
    "not proven": _of_reading,
    "judged otherwise": _of_reading,
    "outlier": _of_reading,
    "drift": _of_drift,
    "instrument": _of_instrument,
    "reading missing": _of_missing,
    "read otherwise": _of_otherwise,
    "order": _of_piece,
    "mixed up": _of_piece,
    "suspect": _of_suspect,
    "not in the plan": _of_none,
    "matching": _of_none,
    "photo missing": _of_photo,
    "short": _of_stock,
    "no spare": _of_stock,
    "sent out": _of_stock,
    "unplaced": _of_unplaced,
}


def _href(finding: Finding, picture: Picture) -> str:
    view = _view(finding, picture)
    if view is None:
        return ""
    series = _series(finding, picture)
    if series is not None:
        return f"dimensions/{series_key(series, view)}.html"
    if finding.piece is not None:
        return f"pieces/{finding.part}.html#{finding.part}-{finding.piece}"
    if finding.op is not None:
        return f"parts/{finding.part}.html#op-{finding.op}"
    return f"parts/{finding.part}.html"
