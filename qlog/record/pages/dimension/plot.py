"""The chart of a dimension: readings, limits, setups and what lies over them, as values."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal

from qlog.record.charts import chart as charts
from qlog.record.charts.overlays import Layers
from qlog.record.pages.dimension.table_rows import Row
from qlog.record.pages.verdict_marks import shape_of
from qlog.review.part.batch import SeriesView
from qlog.review.part.charts.runs import acceptance_runs, instrument_runs, sitting_runs
from qlog.words.catalogue import Words
from qlog.words.entries import cause_text
from qlog.words.values import NumbersIn, fixed, places


def lines_of(data: charts.ChartData | None) -> tuple[str, ...]:
    """Kinds of line that are in the chart, for its key."""
    if data is None:
        return ()
    points = [p for p in data.points if p is not None]
    found = [level.line.value for level in data.levels]
    found += ["bar"] * any(p.bar is not None for p in points)
    found += ["divider"] * (len(data.stretches) > 1)
    found += ["band"] * bool(data.bands)
    found += ["trend"] * bool(data.trends)
    found += ["forecast"] * any(t.ahead is not None for t in data.trends)
    found += ["outlier"] * any(p.outlier for p in points)
    found += ["gone"] * any(p.gone for p in points)
    return tuple(dict.fromkeys(found))


def chart_data(
    series: SeriesView, rows: Sequence[Row], layers: Layers, words: Words
) -> charts.ChartData | None:
    """The values of the chart; None where nothing with a number was read."""
    points: list[charts.Point | None] = []
    for row in rows:
        reading = row.reading
        if reading is None or reading.value is None:
            points.append(None)
            continue
        u = reading.expanded
        points.append(
            charts.Point(
                label=words.called(series.part.id, row.number),
                value=float(reading.value),
                shape=shape_of(reading),
                tip=words("chart.tip", piece=row.name, value=row.value, verdict=row.word),
                href=f"#{row.anchor}",
                bar=None if u is None or u == 0 else float(u),
                gone=row.gone,
                outlier=row.outlier,
            )
        )
    if not any(points):
        return None
    finest, symbol = places(series.limits, series.instrument), series.limits.unit.symbol
    levels = [
        charts.Level(
            float(value), words.number(fixed(value, finest), symbol), words(f"chart.{name}")
        )
        for value, name in ((series.limits.upper, "upper"), (series.limits.lower, "lower"))
        if value is not None
    ]
    places_of = {slot.piece: place for place, slot in enumerate(series.slots)}
    steps = _steps(series, places_of, words)
    beyond = [n for n in layers.ahead if n not in places_of]
    places_of |= {n: len(series.slots) + k for k, n in enumerate(beyond)}
    stretches = []
    if len(series.setups) > 1:
        for setup in series.setups:
            first, last = setup.first_piece, setup.last_piece
            inside = [place for piece, place in places_of.items() if first <= piece <= last]
            if inside:
                named, cause = (
                    words("chart.setup", number=setup.number),
                    cause_text(setup.cause, words),
                )
                stretches.append(charts.Stretch(min(inside), max(inside), named, cause))
    return charts.ChartData(
        points=tuple(points),
        levels=(*levels, *_acceptance(series, places_of, words), *layers.levels),
        number=NumbersIn(words, symbol),
        unit=series.limits.unit.symbol,
        stretches=tuple(stretches),
        bands=tuple(_bands(series, places_of, words)),
        trends=layers.trends(places_of),
        ahead=tuple(str(n) for n in beyond),
        upper=None if series.limits.upper is None else float(series.limits.upper),
        lower=None if series.limits.lower is None else float(series.limits.lower),
        steps=steps,
    )


def _steps(
    series: SeriesView, places_of: Mapping[int, int], words: Words
) -> tuple[charts.LimitStretch, ...]:
    """The limits over the order of making, where not all readings were judged by today's."""
    if all(step.limits == series.limits for step in series.steps):
        return ()
    finest, symbol = places(series.limits, series.instrument), series.limits.unit.symbol

    def number(value: Decimal) -> str:
        return words.number(fixed(value, finest), symbol)

    found: list[charts.LimitStretch] = []
    for at, step in enumerate(series.steps):
        lower, upper = step.limits.lower, step.limits.upper
        told = step.limits != series.limits  # today's stand at the edge of the chart
        last = len(series.steps) - 1
        found.append(
            charts.LimitStretch(
                first=0 if at == 0 else places_of[step.first_piece],
                last=places_of[step.last_piece]
                if at == last
                else places_of[series.steps[at + 1].first_piece] - 1,
                lower=None if lower is None else float(lower),
                upper=None if upper is None else float(upper),
                lower_text="" if lower is None or not told else number(lower),
                upper_text="" if upper is None or not told else number(upper),
            )
        )
    return tuple(found)


def _acceptance(
    series: SeriesView, places_of: Mapping[int, int], words: Words
) -> Iterator[charts.Level]:
    """The acceptance limits over the pieces for which they hold."""
    finest, symbol = places(series.limits, series.instrument) + 1, series.limits.unit.symbol
    for run in acceptance_runs(series):
        for value in (run.upper, run.lower):
            if value is not None:
                yield charts.Level(
                    float(value),
                    words.number(fixed(value, finest), symbol),
                    words("chart.guard"),
                    charts.LineKind.GUARD,
                    places_of[run.first_piece],
                    places_of[run.last_piece],
                )


def _bands(series: SeriesView, places_of: Mapping[int, int], words: Words) -> Iterator[charts.Band]:
    """Where another instrument or another sitting begins."""
    instruments, sittings = instrument_runs(series), sitting_runs(series)
    for run in instruments:
        yield charts.Band(places_of[run.first_piece], places_of[run.last_piece], run.name, 0)
    for run in sittings:
        yield charts.Band(
            places_of[run.first_piece],
            places_of[run.last_piece],
            words.date(run.name),
            1 if instruments else 0,
        )
