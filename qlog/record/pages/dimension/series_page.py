"""One series of readings as its page shows it, in words, figures and a chart."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property

from qlog.frozen import Remembering, frozen
from qlog.record.charts import chart as charts
from qlog.record.charts.chart import Shape
from qlog.record.charts.control_charts import ControlCharts, Figure, control_charts_of
from qlog.record.charts.overlays import Layers, layers_of, outliers_of
from qlog.record.charts.wrapped import ToDraw, share_of
from qlog.record.pages.dimension.figures import Labelled, asked, facts_of, requirement
from qlog.record.pages.dimension.plot import chart_data, lines_of
from qlog.record.pages.dimension.table_rows import Row, RowPiece, row_of, to_limit
from qlog.record.pages.page import leaf_path
from qlog.record.pages.verdict_marks import shape_of, worst
from qlog.review.part.batch import SeriesView
from qlog.review.views import Correction, ReadingView
from qlog.words.catalogue import Words
from qlog.words.entries import cause_text
from qlog.words.values import limits_text, verdict_word

#: Pieces on one leaf of a dimension's page: some 300 kB with its charts and its table.
MOST = 50


@frozen
class SeriesLeaf:
    """What one leaf of a dimension's page shows: some of its pieces, in the order of making."""

    rows: tuple[Row, ...]

    chart: ToDraw | None  # None where nothing with a number was read
    described: str  # its chart in a sentence
    figures: tuple[Figure, ...]  # to read by
    corrections: tuple[tuple[Row, Correction], ...]


@frozen
class SeriesPage(Remembering):
    """What the pages show of one series, worked out when a page asks for it.

    It depends on nothing but the fields, by which a page is known again.
    """

    key: str  # file name of its page
    series: SeriesView
    words: Words
    pieces: tuple[RowPiece, ...]  # of its slots, in their order
    named: bool  # whether every reading says who entered it

    @cached_property
    def rows(self) -> tuple[Row, ...]:
        """A line for every piece of the series."""
        series, outliers = self.series, outliers_of(self.series)
        return tuple(
            row_of(
                slot,
                series,
                piece,
                self.words,
                named=self.named,
                apart=slot.piece in outliers,
            )
            for slot, piece in zip(series.slots, self.pieces, strict=True)
        )

    @property
    def href(self) -> str:
        """Its page, relative to the record."""
        return f"dimensions/{self.key}.html"

    @property
    def to_limit(self) -> bool:
        """Whether its rows tell how far from the only limit, and not from the middle."""
        return to_limit(self.series)

    @cached_property
    def shares(self) -> tuple[tuple[str, tuple[Row, ...]], ...]:
        """Path and rows of every leaf of its page, about as many on each."""
        rows = self.rows
        size = math.ceil(len(rows) / max(1, math.ceil(len(rows) / MOST))) or 1
        own = [rows[at : at + size] for at in range(0, len(rows), size)] or [()]
        return tuple((leaf_path(self.href, n), share) for n, share in enumerate(own, start=1))

    @property
    def corrections(self) -> tuple[tuple[str, Row, Correction], ...]:
        """Every corrected reading with the leaf on which it stands."""
        if not any(reading.corrections for reading in self.series.readings):
            return ()
        return tuple((path, *found) for path, rows in self.shares for found in _corrected(rows))

    @property
    def heading(self) -> str:
        """Its number and name."""
        return self.words(
            "dimension.heading" if self.series.final else "dimension.heading_op",
            number=self.series.dimension.number,
            name=self.series.dimension.name,
            op=self.series.operation.number,
        )

    @property
    def limits(self) -> str:
        """Its limits in words, or that it passes or fails."""
        return requirement(self.series, self.words)

    @property
    def asked(self) -> tuple[Labelled, ...]:
        """What the drawing asks for and how it is read."""
        return asked(self.series, self.words)

    @cached_property
    def facts(self) -> tuple[Labelled, ...]:
        """The batch in figures."""
        return facts_of(self.series, self.words)

    @property
    def shapes(self) -> tuple[Shape, ...]:
        """Verdicts that the chart's key explains."""
        return tuple(dict.fromkeys(row.shape for row in self.rows if row.shape is not None))

    @property
    def lines(self) -> tuple[str, ...]:
        """Lines that it explains."""
        return lines_of(self._data)

    @property
    def setups(self) -> tuple[str, ...]:
        """The setups, where there are several."""
        words, setups = self.words, self.series.setups
        return tuple(
            words(
                "dimension.setup_line",
                number=setup.number,
                first=setup.first_piece,
                last=setup.last_piece,
                cause=cause_text(setup.cause, words) or words("dimension.setup_first"),
            )
            for setup in setups
            if len(setups) > 1
        )

    @property
    def _kept(self) -> list[ReadingView]:
        return [r for r in self.series.readings if r.piece not in self.series.gone]

    @property
    def strip(self) -> charts.ToleranceStrip | None:
        """Where the readings lie between the limits; None where nothing with a number was read."""
        numeric = [(float(r.value), shape_of(r)) for r in self._kept if r.value is not None]
        lower, upper = self.series.limits.lower, self.series.limits.upper
        if not numeric:
            return None
        return charts.strip(
            numeric,
            None if lower is None else float(lower),
            None if upper is None else float(upper),
        )

    @cached_property
    def verdicts(self) -> str:
        """How many of each: "9 in, 1 out high"."""
        return _verdicts(self.series, self.series.readings, self.words)

    @property
    def shape(self) -> Shape:
        """The worst of them."""
        return worst(shape_of(r) for r in self._kept or self.series.readings)

    @cached_property
    def layers(self) -> Layers:
        """What the study says."""
        return layers_of(self.series, self.words)

    @cached_property
    def _data(self) -> charts.ChartData | None:
        return chart_data(self.series, self.rows, self.layers, self.words)

    @cached_property
    def control_charts(self) -> ControlCharts | None:
        """The charts to read it by."""
        anchors = [{row.number: row.anchor for row in rows} for _, rows in self.shares]
        return control_charts_of(self.key, self.series, anchors, self.words)

    @cached_property
    def leaves(self) -> tuple[SeriesLeaf, ...]:
        """The leaves; their charts are of one scale, and what is forecast is on the last."""
        found, at, control = [], 0, self.control_charts
        for number, (_, rows) in enumerate(self.shares):
            last = at + len(rows) - 1
            found.append(
                SeriesLeaf(
                    rows,
                    _chart(self._data, at, last, whole=len(self.shares) == 1),
                    _described(self.series, rows, self.words),
                    () if control is None else control.leaves[number],
                    _corrected(rows),
                )
            )
            at = last + 1
        return tuple(found)


def page_of_series(
    key: str, series: SeriesView, pieces: Mapping[int, RowPiece], words: Words, *, named: bool
) -> SeriesPage:
    """Lay out one series of a part; `key` is the file name of its page, `pieces` are the part's.

    Where `named`, every reading says who entered it.
    """
    return SeriesPage(key, series, words, tuple(pieces[s.piece] for s in series.slots), named)


def _corrected(rows: Sequence[Row]) -> tuple[tuple[Row, Correction], ...]:
    """Every corrected reading with what it was."""
    return tuple((row, c) for row in rows if row.reading for c in row.reading.corrections)


def _described(series: SeriesView, rows: Sequence[Row], words: Words) -> str:
    """The chart over these rows in a sentence; what is counted in it stands in the table below."""
    pieces = {row.number for row in rows}
    return words(
        "chart.described",
        part=series.part.name,
        name=series.dimension.name,
        limits=limits_text(words, series.limits),
        verdicts=_verdicts(series, [r for r in series.readings if r.piece in pieces], words),
    )


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
