"""Charts to read by: the batch's own scatter, its jumps, its smoothed level, and the run rules.

They draw and decide nothing: the trend test does, and every page that shows them says so.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from qlog.counting import runs
from qlog.record.charts import chart as charts
from qlog.record.charts.chart import ChartData, Level, Line, Point, Shape, Stretch
from qlog.review.part.batch import SeriesView
from qlog.review.part.deviations import DeviationView
from qlog.review.picture import Picture
from qlog.study.batch.control_charts import NELSON, Individuals
from qlog.words.catalogue import Words
from qlog.words.values import fixed, places


@dataclass(frozen=True, slots=True)
class Figure:
    """One chart with its title and what it shows in a sentence."""

    id: str
    title: str
    described: str
    axis: str
    wide: charts.Chart
    narrow: charts.Chart


@dataclass(frozen=True, slots=True)
class RuleLine:
    """One published run rule: what it looks for, how often it errs, where it points."""

    text: str
    false_alarm: str
    source: str
    found: str


@dataclass(frozen=True, slots=True)
class ReadBy:
    """The charts to read a series by."""

    figures: tuple[Figure, ...]
    rules: tuple[RuleLine, ...]


def read_by(
    key: str, series: SeriesView, anchors: Mapping[int, str], words: Words
) -> ReadBy | None:
    """Individuals, moving range and weighted average of one series, and its run rules.

    `anchors` gives the table's line of each piece. None where the study drew no limits.
    """
    study = series.study
    if study is None or study.chart is None or study.chart.sigma == 0:
        return None
    chart = study.chart
    pieces = [piece for setup in study.setups for piece in setup.pieces]
    stretches, at = [], 0
    for setup in study.setups:
        last = at + len(setup.pieces) - 1
        text = words("chart.setup", number=setup.setup.number)
        stretches.append(Stretch(at, last, text, setup.setup.cause))
        at = last + 1
    decimals = places(series.limits, series.instrument) + 1
    unit = series.limits.unit.symbol
    setups = tuple(stretches) if len(stretches) > 1 else ()

    def number(value: float, digits: int) -> str:
        return words.number(fixed(value, digits))

    def points(values: Sequence[float | None], outside: Sequence[int]) -> tuple[Point | None, ...]:
        return tuple(
            None
            if value is None
            else Point(
                label=str(piece),
                value=value,
                shape=Shape.GOOD,
                tip=words(
                    "readby.tip_outside" if place in outside else "readby.tip",
                    piece=f"{series.part.id}-{piece}",
                    value=f"{number(value, decimals)} {unit}".strip(),
                ),
                href=f"#{anchors[piece]}",
                outlier=place in outside,
            )
            for place, (piece, value) in enumerate(zip(pieces, values, strict=True))
        )

    def level(value: float, name: str, line: Line) -> Level:
        return Level(value, number(value, decimals), words(f"readby.{name}"), line)

    def figure(
        name: str,
        values: Sequence[float | None],
        outside: Sequence[int],
        levels: Sequence[Level],
    ) -> Figure:
        data = ChartData(
            points=points(values, outside),
            levels=tuple(levels),
            number=number,
            unit=unit,
            stretches=setups,
        )
        return Figure(
            f"{key}-{name}",
            words(f"readby.{name}"),
            words(f"readby.{name}_says", name=series.dimension.name, part=series.part.name),
            words("chart.order"),
            charts.draw(data, charts.WIDE),
            charts.draw(data, charts.NARROW),
        )

    figures = [figure("individuals", chart.values, chart.outside, _scatter(chart, level))]
    figures.append(
        figure(
            "ranges",
            chart.ranges,
            chart.ranges_outside,
            (
                level(chart.range_upper, "largest", Line.CONTROL),
                level(chart.mean_range, "mean", Line.CENTRE),
            ),
        )
    )
    average = study.ewma
    if average is not None:
        figures.append(
            figure(
                "average",
                average.points,
                average.outside,
                (
                    level(average.settled_upper, "upper", Line.CONTROL),
                    level(chart.centre, "mean", Line.CENTRE),
                    level(average.settled_lower, "lower", Line.CONTROL),
                ),
            )
        )
    return ReadBy(tuple(figures), _rules(series, pieces, words))


def _scatter(chart: Individuals, level: Callable[[float, str, Line], Level]) -> list[Level]:
    """Limits, mean and zone lines of an individuals chart, from the top."""
    low2, low1, high1, high2 = chart.zones
    return [
        level(chart.upper, "upper", Line.CONTROL),
        level(high2, "zone2", Line.ZONE),
        level(high1, "zone1", Line.ZONE),
        level(chart.centre, "mean", Line.CENTRE),
        level(low1, "zone1", Line.ZONE),
        level(low2, "zone2", Line.ZONE),
        level(chart.lower, "lower", Line.CONTROL),
    ]


def _rules(series: SeriesView, pieces: Sequence[int], words: Words) -> tuple[RuleLine, ...]:
    """All the rules, each with where it points; one that points nowhere says so."""
    assert series.study is not None
    lines = []
    for number, rule in enumerate(NELSON, start=1):
        found = [s for s in series.study.signals if s.rule is rule]
        covered = [p for s in found for p in pieces[s.first : s.last + 1]]
        if not covered:
            where = words("readby.nowhere")
        elif len(set(covered)) == 1:
            where = words("readby.at_one", piece=covered[0])
        else:
            where = words("readby.at", pieces=runs(covered))
        lines.append(
            RuleLine(
                words(f"readby.rule{number}"),
                words("fact.percent", value=words.number(fixed(100 * rule.false_alarm, 2))),
                rule.source,
                where,
            )
        )
    return tuple(lines)


@dataclass(frozen=True, slots=True)
class Across:
    """Several dimensions on one chart of deviations."""

    title: str
    comparable: bool
    members: tuple[tuple[str, str], ...]  # page, name
    figure: Figure


def across(picture: Picture, hrefs: Mapping[str, str], words: Words) -> tuple[Across, ...]:
    """The charts across dimensions; `hrefs` gives the page of each series."""
    return tuple(
        _across(n, view, picture, hrefs, words) for n, view in enumerate(picture.deviations)
    )


def _across(
    n: int, view: DeviationView, picture: Picture, hrefs: Mapping[str, str], words: Words
) -> Across:
    names = {s.id: f"{s.part.name}, {s.dimension.name}" for s in view.series}
    decimals = max(places(s.limits, s.instrument) for s in view.series) + 1
    chart = view.chart.chart

    def number(value: float, digits: int) -> str:
        return words.number(fixed(value, digits))

    stretches: list[Stretch] = []
    for s in view.series:
        own = [place for place, (id_, _) in enumerate(view.points) if id_ == s.id]
        stretches.append(Stretch(own[0], own[-1], str(len(stretches) + 1)))
    points = tuple(
        Point(
            label=str(piece),
            value=value,
            shape=Shape.GOOD,
            tip=words(
                "readby.tip_outside" if place in chart.outside else "readby.tip",
                piece=f"{names[id_]}, {piece}",
                value=f"{number(value, decimals)} {view.unit.symbol}".strip(),
            ),
            href=hrefs[id_],
            outlier=place in chart.outside,
        )
        for place, ((id_, piece), value) in enumerate(zip(view.points, chart.values, strict=True))
    )

    def level(value: float, name: str, line: Line) -> Level:
        return Level(value, number(value, decimals), words(f"readby.{name}"), line)

    data = ChartData(
        points=points,
        levels=(
            level(chart.upper, "upper", Line.CONTROL),
            level(chart.centre, "mean", Line.CENTRE),
            level(chart.lower, "lower", Line.CONTROL),
        ),
        number=number,
        unit=view.unit.symbol,
        stretches=tuple(stretches),
    )
    instrument = picture.build.instrument(view.instrument).name
    title = words(
        "readby.across_title",
        machine=view.machine or words("readby.no_machine"),
        cut=view.cut,
        instrument=instrument,
    )
    return Across(
        title,
        view.chart.comparable,
        tuple((hrefs[s.id], names[s.id]) for s in view.series),
        Figure(
            f"across-{n + 1}",
            title,
            words("readby.across_says", names=words.list([names[s.id] for s in view.series])),
            words("readby.across_axis"),
            charts.draw(data, charts.WIDE),
            charts.draw(data, charts.NARROW),
        ),
    )
