"""Control charts: the control limits of a batch, its jumps, its smoothed level, and the run rules.

They draw and decide nothing: the trend test does, and every page that shows them says so.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import cached_property

from qlog.counting import runs
from qlog.frozen import Remembering, frozen
from qlog.record.charts.chart import ChartData, Level, LineKind, Point, Shape, Stretch, range_of
from qlog.record.charts.wrapped import ToDraw, share_of
from qlog.review.part.batch import SeriesView
from qlog.review.part.charts.control import ControlStretch
from qlog.study.batch.control_charts import NELSON
from qlog.words.catalogue import Words
from qlog.words.entries import cause_text
from qlog.words.values import NumbersIn, fixed, limits_text, places


@frozen
class Figure:
    """One chart with its title and what it shows in a sentence."""

    id: str
    title: str
    described: str
    axis: str
    chart: ToDraw


@frozen
class RuleLine:
    """One published run rule: what it looks for, how often it errs, where it points."""

    text: str
    false_alarm: str
    source: str
    found: str


@frozen
class StretchLine:
    """The control limits of one setup as the table behind the charts gives them."""

    setup: str
    pieces: str
    limits: str  # of the drawing, by which its readings were judged
    mean: str  # empty where there are too few readings for control limits
    lower: str
    upper: str


@frozen
class ControlCharts:
    """The charts to read a series by."""

    leaves: tuple[tuple[Figure, ...], ...]  # its figures, over the pieces of each leaf of its page
    stretches: tuple[StretchLine, ...]
    rules: tuple[RuleLine, ...]


def control_charts_of(
    key: str, series: SeriesView, anchors: Sequence[Mapping[int, str]], words: Words
) -> ControlCharts | None:
    """Individuals, moving range and weighted average of one series, and its run rules.

    `anchors` gives, for each leaf of the page, the table's line of each of its pieces, in the order
    of making. None where no setup has control limits.
    """
    stretches = () if series.study is None else series.study.control
    if all(s.control is None for s in stretches):
        return None
    drawing = _Drawing(key, series, stretches, anchors, words)
    return ControlCharts(drawing.leaves(), drawing.lines(), _rules(series, words))


#: What one stretch puts into a chart: its values, the places of those outside, and its levels.
_Drawn = tuple[Sequence[float | None], Sequence[int], Sequence[tuple[float, str, LineKind]]]


@frozen
class _Drawing(Remembering):
    """The control charts of one series, stretch by stretch."""

    key: str
    series: SeriesView
    stretches: tuple[ControlStretch, ...]
    anchors: Sequence[Mapping[int, str]]
    words: Words

    @cached_property
    def _line_of(self) -> dict[int, str]:
        return {piece: line for leaf in self.anchors for piece, line in leaf.items()}

    @cached_property
    def decimals(self) -> int:
        return places(self.series.limits, self.series.instrument) + 1

    @cached_property
    def number(self) -> NumbersIn:
        return NumbersIn(self.words, self.series.limits.unit.symbol)

    def leaves(self) -> tuple[tuple[Figure, ...], ...]:
        kinds = (("individuals", _individuals), ("ranges", _ranges), ("average", _average))
        drawn = [self._figures(name, drawn_of) for name, drawn_of in kinds]
        return tuple(tuple(f for f in leaf if f is not None) for leaf in zip(*drawn, strict=True))

    def lines(self) -> tuple[StretchLine, ...]:
        def shown(value: float | None) -> str:
            return "" if value is None else self.number(value, self.decimals)

        charts_of = [(s, None if s.control is None else s.control.chart) for s in self.stretches]
        return tuple(
            StretchLine(
                str(stretch.setup),
                self.words.runs(self.series.part.id, stretch.pieces),
                "" if stretch.limits is None else limits_text(self.words, stretch.limits),
                shown(None if chart is None else chart.centre),
                shown(None if chart is None else chart.lower),
                shown(None if chart is None else chart.upper),
            )
            for stretch, chart in charts_of
        )

    def _figures(
        self, name: str, drawn_of: Callable[[ControlStretch], _Drawn]
    ) -> list[Figure | None]:
        """A figure for each leaf, all of one scale; None where none of its pieces has a value."""
        data = self._data(drawn_of)
        places: list[list[int]] = [[] for _ in self.anchors]
        leaf_of = {piece: n for n, leaf in enumerate(self.anchors) for piece in leaf}
        pieces = [piece for stretch in self.stretches for piece in stretch.pieces]
        for place, piece in enumerate(pieces):
            places[leaf_of[piece]].append(place)
        scale = range_of(data)
        return [
            self._figure(name, share_of(data, own[0], own[-1]), scale)
            if any(data.points[place] for place in own)
            else None
            for own in places
        ]

    def _data(self, drawn_of: Callable[[ControlStretch], _Drawn]) -> ChartData:
        points: list[Point | None] = []
        levels: list[Level] = []
        bands: list[Stretch] = []
        causes = {setup.number: cause_text(setup.cause, self.words) for setup in self.series.setups}
        for stretch in self.stretches:
            values, outside, lines = drawn_of(stretch)
            first = len(points)
            last = first + len(values) - 1
            points += [
                None if value is None else self._point(piece, value, place in outside)
                for place, (piece, value) in enumerate(zip(stretch.pieces, values, strict=True))
            ]
            levels += [
                Level(
                    value,
                    self.number(value, self.decimals),
                    self.words(f"control.{named}"),
                    line,
                    first,
                    last,
                )
                for value, named, line in lines
            ]
            text = self.words("chart.setup", number=stretch.setup)
            bands.append(Stretch(first, last, text, causes.get(stretch.setup, "")))
        return ChartData(
            points=tuple(points),
            levels=tuple(levels),
            number=self.number,
            unit=self.series.limits.unit.symbol,
            stretches=tuple(bands) if len(bands) > 1 else (),
        )

    def _figure(self, name: str, data: ChartData, scale: tuple[float, float]) -> Figure:
        return Figure(
            f"{self.key}-{name}",
            self.words(f"control.{name}"),
            self.words(
                f"control.{name}_says", name=self.series.dimension.name, part=self.series.part.name
            ),
            self.words("chart.order"),
            ToDraw(data, scale),
        )

    def _point(self, piece: int, value: float, outside: bool) -> Point:
        shown = f"{self.number(value, self.decimals)} {self.series.limits.unit.symbol}"
        return Point(
            label=self.words.called(self.series.part.id, piece),
            value=value,
            shape=Shape.GOOD,
            tip=self.words(
                "control.tip_outside" if outside else "control.tip",
                piece=self.words.piece(self.series.part.id, piece),
                value=shown.strip(),
            ),
            href=f"#{self._line_of[piece]}",
            outlier=outside,
        )


def _individuals(stretch: ControlStretch) -> _Drawn:
    """The readings, with limits, mean and zone lines from the top."""
    if stretch.control is None:
        return stretch.values, (), ()
    chart = stretch.control.chart
    low2, low1, high1, high2 = chart.zones
    levels = (
        (chart.upper, "upper", LineKind.CONTROL),
        (high2, "zone2", LineKind.ZONE),
        (high1, "zone1", LineKind.ZONE),
        (chart.centre, "mean", LineKind.CENTRE),
        (low1, "zone1", LineKind.ZONE),
        (low2, "zone2", LineKind.ZONE),
        (chart.lower, "lower", LineKind.CONTROL),
    )
    return chart.values, chart.outside, levels


def _ranges(stretch: ControlStretch) -> _Drawn:
    if stretch.control is None:
        return [None] * len(stretch.values), (), ()
    chart = stretch.control.chart
    levels = (
        (chart.range_upper, "largest", LineKind.CONTROL),
        (chart.mean_range, "mean", LineKind.CENTRE),
    )
    return chart.ranges, chart.ranges_outside, levels


def _average(stretch: ControlStretch) -> _Drawn:
    if stretch.control is None:
        return [None] * len(stretch.values), (), ()
    average = stretch.control.ewma
    levels = (
        (average.settled_upper, "upper", LineKind.CONTROL),
        (stretch.control.chart.centre, "mean", LineKind.CENTRE),
        (average.settled_lower, "lower", LineKind.CONTROL),
    )
    return average.points, average.outside, levels


def _rules(series: SeriesView, words: Words) -> tuple[RuleLine, ...]:
    """All the rules, each with where it points; one that points nowhere says so."""
    stretches = () if series.study is None else series.study.control
    lines = []
    words = words.about(series.part.id)
    for number, rule in enumerate(NELSON, start=1):
        covered = [
            piece
            for stretch in stretches
            if stretch.control is not None
            for s in stretch.control.signals
            if s.rule is rule
            for piece in stretch.pieces[s.first : s.last + 1]
        ]
        if not covered:
            where = words("control.nowhere")
        elif len(set(covered)) == 1:
            where = words("control.at_one", piece=words.own(covered[0]))
        else:
            where = words("control.at", pieces=runs(covered, words.own))
        lines.append(
            RuleLine(
                words(f"control.rule{number}"),
                words("fact.percent", value=words.number(fixed(100 * rule.false_alarm, 2))),
                rule.source,
                where,
            )
        )
    return tuple(lines)
