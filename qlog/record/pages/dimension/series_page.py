"""Sheets: one series of readings as its page shows it, in words, figures and a chart."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from qlog.record.charts import chart as charts
from qlog.record.charts.chart import Shape
from qlog.record.charts.control_charts import ControlCharts, control_charts_of
from qlog.record.charts.overlays import Layers, layers_of
from qlog.record.charts.wrapped import draw_rows
from qlog.record.pages.dimension.figures import Labelled, asked, facts_of, requirement
from qlog.record.pages.dimension.plot import chart_data, lines_of
from qlog.record.pages.dimension.table_rows import Row, row_of
from qlog.record.pages.verdict_marks import shape_of, worst
from qlog.review.part.batch import SeriesView
from qlog.review.picture import PartView
from qlog.review.views import Correction, ReadingView
from qlog.words.catalogue import Words
from qlog.words.entries import cause_text
from qlog.words.values import (
    limits_text,
    verdict_word,
)


@dataclass(frozen=True, slots=True)
class SeriesPage:
    """Everything that the pages show of one series."""

    key: str  # file name of its page
    series: SeriesView
    heading: str
    limits: str
    rows: tuple[Row, ...]
    asked: tuple[Labelled, ...]  # what the drawing asks for and how it is read
    facts: tuple[Labelled, ...]  # the batch in figures
    shapes: tuple[Shape, ...]  # verdicts that the chart's key explains
    lines: tuple[str, ...]  # lines that it explains
    setups: tuple[str, ...]
    wide: tuple[charts.Chart, ...]  # in rows; empty where nothing with a number was read
    narrow: tuple[charts.Chart, ...]
    strip: charts.ToleranceStrip | None
    verdicts: str  # "9 in, 1 out high"
    shape: Shape
    layers: Layers
    described: str  # the chart in a sentence
    corrections: tuple[tuple[Row, Correction], ...]
    control_charts: ControlCharts | None

    @property
    def href(self) -> str:
        """Its page, relative to the record."""
        return f"dimensions/{self.key}.html"


def page_of_series(
    key: str, series: SeriesView, view: PartView, words: Words, *, named: bool
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
    wide = () if data is None else draw_rows(data, charts.WIDE)
    narrow = () if data is None else draw_rows(data, charts.NARROW)
    kept = [r for r in series.readings if r.piece not in series.gone]
    numeric = [(float(r.value), shape_of(r)) for r in kept if r.value is not None]
    lower, upper = series.limits.lower, series.limits.upper
    heading = words(
        "dimension.heading" if series.final else "dimension.heading_op",
        number=series.dimension.number,
        name=series.dimension.name,
        op=series.operation.number,
    )
    verdicts = _verdicts(series, words)
    return SeriesPage(
        key=key,
        series=series,
        heading=heading,
        limits=requirement(series, words),
        rows=rows,
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
        wide=wide,
        narrow=narrow,
        strip=charts.strip(
            numeric,
            None if lower is None else float(lower),
            None if upper is None else float(upper),
        )
        if numeric
        else None,
        verdicts=verdicts,
        shape=worst(shape_of(r) for r in kept or series.readings),
        layers=layers,
        described=words(
            "chart.described",
            part=view.part.name,
            name=series.dimension.name,
            limits=limits_text(words, series.limits),
            verdicts=verdicts,
        ),
        corrections=tuple(
            (row, correction)
            for row in rows
            if row.reading is not None
            for correction in row.reading.corrections
        ),
        control_charts=control_charts_of(
            key,
            series,
            {row.piece.number: row.anchor for row in rows},
            words,
        ),
    )


def _verdicts(series: SeriesView, words: Words) -> str:
    """How many of each verdict: `9 in, 1 out high`; counts, never a share of a small batch.

    Scrapped pieces stand apart: what they came out as says nothing of the others.
    """
    kept = _counted([r for r in series.readings if r.piece not in series.gone], words)
    gone = _counted([r for r in series.readings if r.piece in series.gone], words)
    said = [kept] if kept else []
    if gone:
        said.append(words("verdict.scrapped", verdicts=gone))
    return "; ".join(said) or words("verdict.none")


def _counted(readings: Iterable[ReadingView], words: Words) -> str:
    counted = Counter(verdict_word(words, r) for r in readings)
    return ", ".join(words("verdict.count", n=n, word=word) for word, n in counted.items())
