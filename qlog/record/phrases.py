"""Findings in the language of the record: said again from their facts, not translated."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from qlog.record.page import series_key
from qlog.record.wording import limits_text, value_text, verdict_word
from qlog.record.words import Words
from qlog.review.picture import Finding, Picture, ReadingView, SeriesView, Weight


@dataclass(frozen=True, slots=True)
class Phrase:
    """A finding as a page says it, and where it leads."""

    weight: Weight
    weight_word: str
    kind: str
    kind_word: str
    text: str
    href: str  # relative to the record; empty when there is no page for it


def phrases(findings: Iterable[Finding], picture: Picture, words: Words) -> tuple[Phrase, ...]:
    """The findings as the pages say them, in their order."""
    return tuple(
        Phrase(
            f.weight,
            words(f"weight.{f.weight.name.lower()}"),
            f.kind,
            words.maybe(f"kind.{f.kind.replace(' ', '_')}", f.kind),
            _text(f, picture, words),
            _href(f, picture),
        )
        for f in findings
    )


def _series(finding: Finding, picture: Picture) -> tuple[SeriesView, ReadingView] | None:
    for part in picture.parts:
        if part.part.id != finding.part:
            continue
        for series in part.series:
            if (series.dimension.id, series.operation.number) == (finding.dimension, finding.op):
                for reading in series.readings:
                    if reading.piece == finding.piece:
                        return series, reading
    return None


def _text(finding: Finding, picture: Picture, words: Words) -> str:
    """The finding's sentence; its own text where the catalogue has none for its kind."""
    key = f"finding.{finding.kind.replace(' ', '_')}"
    if not words.has(key):
        return finding.text
    found = _series(finding, picture)
    if found is None:
        return finding.text
    series, reading = found
    return words(
        key,
        piece=f"{finding.part}-{finding.piece}",
        name=series.dimension.name,
        value=value_text(words, series, reading),
        verdict=verdict_word(words, reading),
        limits=limits_text(words, series.limits),
    )


def _href(finding: Finding, picture: Picture) -> str:
    if not any(view.part.id == finding.part for view in picture.parts):
        return ""
    view = picture.part(finding.part)
    for series in view.series:
        if (series.dimension.id, series.operation.number) == (finding.dimension, finding.op):
            return f"dimensions/{series_key(series, view)}.html"
    if finding.piece is not None:
        return f"pieces/{finding.part}.html#{finding.part}-{finding.piece}"
    return f"parts/{finding.part}.html"
