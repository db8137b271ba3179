"""One series of readings as its page shows it, in words, figures and a chart."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence

from qlog.frozen import frozen
from qlog.record.charts import chart as charts
from qlog.record.charts.chart import Shape
from qlog.record.charts.control_charts import ControlCharts, Figure, control_charts_of
from qlog.record.charts.overlays import layers_of
from qlog.record.charts.wrapped import ToDraw, share_of
from qlog.record.pages.dimension.figures import Labelled, asked, facts_of, requirement
from qlog.record.pages.dimension.plot import chart_data, lines_of
from qlog.record.pages.dimension.table_rows import Row, row_of, to_limit
from qlog.record.pages.page import leaf_path
from qlog.record.pages.verdict_marks import shape_of, worst
from qlog.review.part.batch import Batch, SeriesView
from qlog.review.views import Correction, ReadingView
from qlog.words.catalogue import Words
from qlog.words.entries import cause_text
from qlog.words.values import limits_text, verdict_word

#: Pieces on one leaf of a dimension's page: some 300 kB with its charts and its table.
MOST = 50


@frozen
class SeriesLeaf:
    """What one leaf of a dimension's page shows: some of its pieces, in the order of making."""

    path: str
    rows: tuple[Row, ...]
    chart: ToDraw | None  # None where nothing with a number was read
    described: str  # its chart in a sentence
    figures: tuple[Figure, ...]  # to read by
    corrections: tuple[tuple[Row, Correction], ...]

    @property
    def pieces(self) -> frozenset[int]:
        """The numbers of its pieces."""
        return frozenset(row.number for row in self.rows)


@frozen
class SeriesPage:
    """Everything that the pages show of one series."""

    key: str  # file name of its page
    series: SeriesView
    heading: str
    limits: str
    rows: tuple[Row, ...]
    to_limit: bool  # rows tell how far from the only limit, and not from the middle
    asked: tuple[Labelled, ...]  # what the drawing asks for and how it is read
    facts: tuple[Labelled, ...]  # the batch in figures
    shapes: tuple[Shape, ...]  # verdicts that the chart's key explains
    lines: tuple[str, ...]  # lines that it explains
    setups: tuple[str, ...]
    strip: charts.ToleranceStrip | None
    verdicts: str  # "9 in, 1 out high"
    shape: Shape
    sentences: tuple[str, ...]  # what the study says, the weightiest first
    drifts: bool
    control_charts: ControlCharts | None
    leaves: tuple[SeriesLeaf, ...]

    @property
    def corrections(self) -> tuple[tuple[str, Row, Correction], ...]:
        """Every corrected reading with the leaf on which it stands."""
        return tuple((leaf.path, *found) for leaf in self.leaves for found in leaf.corrections)

    @property
    def href(self) -> str:
        """Its page, relative to the record."""
        return f"dimensions/{self.key}.html"


def page_of_series(
    key: str, series: SeriesView, view: Batch, words: Words, *, named: bool
) -> SeriesPage:
    """Lay out one series of a part; `key` is the file name of its page.

    Where `named`, every reading says who entered it.
    """
    layers = layers_of(series, words)
    pieces = {p.number: p for p in view.pieces}
    rows = tuple(
        row_of(slot, series, pieces[slot.piece], layers, words, named=named)
        for slot in series.slots
    )
    data = chart_data(series, rows, layers, words)
    shares = _shares(rows)
    control = control_charts_of(
        key, series, [{row.number: row.anchor for row in own} for own in shares], words
    )
    kept = [r for r in series.readings if r.piece not in series.gone]
    numeric = [(float(r.value), shape_of(r)) for r in kept if r.value is not None]
    lower, upper = series.limits.lower, series.limits.upper
    heading = words(
        "dimension.heading" if series.final else "dimension.heading_op",
        number=series.dimension.number,
        name=series.dimension.name,
        op=series.operation.number,
    )
    described = [_described(series, own, view, words) for own in shares]
    return SeriesPage(
        key=key,
        series=series,
        heading=heading,
        limits=requirement(series, words),
        rows=rows,
        to_limit=to_limit(series),
        asked=asked(series, words),
        facts=facts_of(series, words),
        shapes=tuple(dict.fromkeys(row.shape for row in rows if row.shape is not None)),
        lines=lines_of(data),
        setups=tuple(
            words(
                "dimension.setup_line",
                number=setup.number,
                first=setup.first_piece,
                last=setup.last_piece,
                cause=cause_text(setup.cause, words) or words("dimension.setup_first"),
            )
            for setup in series.setups
            if len(series.setups) > 1
        ),
        strip=charts.strip(
            numeric,
            None if lower is None else float(lower),
            None if upper is None else float(upper),
        )
        if numeric
        else None,
        verdicts=_verdicts(series, series.readings, words),
        shape=worst(shape_of(r) for r in kept or series.readings),
        sentences=layers.sentences,
        drifts=layers.drifts,
        control_charts=control,
        leaves=_leaves(f"dimensions/{key}.html", shares, described, data, control),
    )


def _shares(rows: Sequence[Row]) -> list[tuple[Row, ...]]:
    """The rows of each leaf, about as many on each."""
    size = math.ceil(len(rows) / max(1, math.ceil(len(rows) / MOST)))
    return [tuple(rows[at : at + size]) for at in range(0, len(rows), size or 1)] or [()]


def _described(series: SeriesView, rows: Sequence[Row], view: Batch, words: Words) -> str:
    """The chart over these rows in a sentence; what is counted in it stands in the table below."""
    pieces = {row.number for row in rows}
    return words(
        "chart.described",
        part=view.part.name,
        name=series.dimension.name,
        limits=limits_text(words, series.limits),
        verdicts=_verdicts(series, [r for r in series.readings if r.piece in pieces], words),
    )


def _leaves(
    path: str,
    shares: Sequence[tuple[Row, ...]],
    described: Sequence[str],
    data: charts.ChartData | None,
    control: ControlCharts | None,
) -> tuple[SeriesLeaf, ...]:
    """The leaves of a page; their charts are of one scale, and what is forecast is on the last."""
    found, at = [], 0
    for number, rows in enumerate(shares, start=1):
        last = at + len(rows) - 1
        found.append(
            SeriesLeaf(
                leaf_path(path, number),
                rows,
                _chart(data, at, last, whole=len(shares) == 1),
                described[number - 1],
                () if control is None else control.leaves[number - 1],
                tuple((r, c) for r in rows if r.reading for c in r.reading.corrections),
            )
        )
        at = last + 1
    return tuple(found)


def _chart(data: charts.ChartData | None, first: int, last: int, *, whole: bool) -> ToDraw | None:
    """The chart over these places; None where nothing with a number was read."""
    if data is None:
        return None
    scale = charts.range_of(data)
    if not whole:
        end = last + len(data.ahead) if last == len(data.points) - 1 else last
        data = share_of(data, first, end)
    return ToDraw(data, scale) if any(data.points) else None


def _verdicts(series: SeriesView, readings: Sequence[ReadingView], words: Words) -> str:
    """How many of each verdict: `9 in, 1 out high`; counts, never a share of a small batch.

    Scrapped pieces stand apart: what they came out as says nothing of the others.
    """
    kept = _counted([r for r in readings if r.piece not in series.gone], words)
    gone = _counted([r for r in readings if r.piece in series.gone], words)
    said = [kept] if kept else []
    if gone:
        said.append(words("verdict.scrapped", verdicts=gone))
    return "; ".join(said) or words("verdict.none")


def _counted(readings: Iterable[ReadingView], words: Words) -> str:
    counted = Counter(verdict_word(words, r) for r in readings)
    return ", ".join(words("verdict.count", n=n, word=word) for word, n in counted.items())
