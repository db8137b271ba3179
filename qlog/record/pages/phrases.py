"""Findings as a page lists them: in words, and where each leads."""

from __future__ import annotations

from collections.abc import Iterable

from qlog.frozen import frozen
from qlog.record.pages.compare import compare_href
from qlog.record.pages.page import piece_href, series_href
from qlog.review.findings.kinds import Drift, Finding, MachineDrift, Together, Weight
from qlog.review.part.batch import Batch, SeriesView
from qlog.review.picture import Picture
from qlog.words.catalogue import Words
from qlog.words.findings import kind_key, kind_of, kind_word, say


@frozen
class Phrase:
    """A finding as a page says it, and where it leads."""

    weight: Weight
    sign: str  # each has one meaning; also the group on the front page
    kind: str  # as the catalogue names it
    kind_word: str
    text: str
    href: str  # relative to the record; empty when there is no page for it


def sign_of(finding: Finding) -> str:
    """What kind of attention it asks for: `bad`, `drift`, `warn`, `evidence` or `note`."""
    one = finding.findings[0] if isinstance(finding, Together) else finding
    if finding.weight is not Weight.BAD and one.of_evidence:
        return "evidence"
    if finding.weight is not Weight.BAD and isinstance(one, Drift | MachineDrift):
        return "drift"
    return finding.weight.value


def phrases(findings: Iterable[Finding], picture: Picture, words: Words) -> tuple[Phrase, ...]:
    """The findings as the pages say them, in their order."""
    return tuple(
        Phrase(
            finding.weight,
            sign_of(finding),
            kind_key(kind_of(finding)),
            kind_word(finding, words),
            say(finding, words).text,
            _href(finding, picture),
        )
        for finding in findings
    )


def _series(finding: Finding, view: Batch) -> SeriesView | None:
    wanted = (finding.place.dimension, finding.place.op)
    for series in view.series:
        if (series.dimension.id, series.operation.number) == wanted:
            return series
    return None


def _href(finding: Finding, picture: Picture) -> str:
    if isinstance(finding, MachineDrift):
        return compare_href(finding.view, picture)
    place = finding.place
    view = next((v for v in picture.parts if v.part.id == place.part), None)
    if view is None:
        return ""
    series = _series(finding, view)
    if series is not None:
        return series_href(series, view)
    if any(piece.number == place.piece for piece in view.pieces):
        return piece_href(f"{place.part}-{place.piece}")
    if place.op is not None:
        return f"parts/{place.part}.html#op-{place.op}"
    return f"parts/{place.part}.html"
