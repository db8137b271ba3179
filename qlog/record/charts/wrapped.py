"""A chart in rows: a batch longer than the paper goes on below, at the same size and scale."""

from __future__ import annotations

import math

from qlog.frozen import frozen, replace
from qlog.record.charts import chart as charts


@frozen
class ToDraw:
    """A chart by its values and its scale; it is drawn when a page is laid out that shows it."""

    data: charts.ChartData
    scale: tuple[float, float]

    @property
    def wide(self) -> tuple[charts.Chart, ...]:
        """Its rows on wide paper."""
        return draw_rows(self.data, charts.WIDE, self.scale)

    @property
    def narrow(self) -> tuple[charts.Chart, ...]:
        """Its rows on paper as narrow as a phone."""
        return draw_rows(self.data, charts.NARROW, self.scale)


def draw_rows(
    data: charts.ChartData, layout: charts.ChartPaper, scale: tuple[float, float] | None = None
) -> tuple[charts.Chart, ...]:
    """The chart in as many rows as its pieces need; writing is of one size however many there are.

    All rows have one scale, that of the data where none is given, and about as many pieces each. A
    row in which nothing was read and nothing is forecast is left out. Raises ValueError when there
    is nothing to draw.
    """
    count = len(data.points) + len(data.ahead)
    most = max(1, int((layout.width - layout.left - layout.right) // layout.room))
    rows = math.ceil(count / most)
    if rows <= 1:
        return (charts.draw(data, layout, scale),)
    if not any(p is not None for p in data.points):
        raise ValueError("a chart needs at least one reading")
    size = math.ceil(count / rows)
    scale = scale or charts.range_of(data)
    parts = [share_of(data, at, min(at + size, count) - 1) for at in range(0, count, size)]
    return tuple(charts.draw(p, layout, scale) for p in parts if any(p.points) or p.ahead)


def share_of(data: charts.ChartData, first: int, last: int) -> charts.ChartData:
    """What stands over the places from `first` to `last`, counted anew from 0."""
    read = len(data.points)
    steps = tuple(_step(s, first, last) for s in data.steps if s.first <= last and first <= s.last)
    today = (data.lower, data.upper)
    if all((s.lower, s.upper) == today for s in steps):
        steps = ()
    judged_by_others = bool(steps) and all((s.lower, s.upper) != today for s in steps)
    levels = tuple(_level(lv, first, last) for lv in data.levels if _reaches(lv, first, last))
    if judged_by_others and last < read - 1:
        levels = tuple(lv for lv in levels if lv.line is not charts.LineKind.LIMIT)
    return replace(
        data,
        points=data.points[first : last + 1],
        levels=levels,
        stretches=tuple(
            charts.Stretch(max(s.first, first) - first, min(s.last, last) - first, s.text, s.cause)
            for s in data.stretches
            if s.first <= last and first <= s.last
        ),
        bands=tuple(
            charts.Band(max(b.first, first) - first, min(b.last, last) - first, b.text, b.row)
            for b in data.bands
            if b.first <= last and first <= b.last
        ),
        trends=tuple(found for t in data.trends if (found := _trend(t, first, last)) is not None),
        ahead=data.ahead[max(0, first - read) : max(0, last + 1 - read)],
        steps=steps,
    )


def _reaches(level: charts.Level, first: int, last: int) -> bool:
    begins = 0 if level.first is None else level.first
    return begins <= last and (level.last is None or first <= level.last)


def _level(level: charts.Level, first: int, last: int) -> charts.Level:
    return replace(
        level,
        first=None if level.first is None else max(level.first, first) - first,
        last=None if level.last is None else min(level.last, last) - first,
    )


def _step(step: charts.LimitStretch, first: int, last: int) -> charts.LimitStretch:
    return replace(step, first=max(step.first, first) - first, last=min(step.last, last) - first)


def _trend(trend: charts.Trend, first: int, last: int) -> charts.Trend | None:
    """The part of a trend line over these places; a forecast goes on from row to row."""
    ends = trend.last if trend.ahead is None else trend.ahead
    if ends < first or last < trend.first or trend.last == trend.first:
        return None
    slope = (trend.at_last - trend.at_first) / (trend.last - trend.first)

    def at(place: int) -> float:
        return trend.at_first + slope * (place - trend.first)

    begins, stops = max(trend.first, first), min(trend.last, last)
    if stops < begins:  # only the forecast reaches this row
        begins = stops = max(trend.last, first)
    ahead = None if ends <= stops else min(ends, last)
    if ahead is not None and ahead <= stops:
        ahead = None
    return charts.Trend(
        begins - first,
        stops - first,
        at(begins),
        at(stops),
        None if ahead is None else ahead - first,
        None if ahead is None else at(ahead),
        trend.text,
    )
