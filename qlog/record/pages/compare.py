"""Dimensions side by side: what one machine cut alike and one instrument read, as multiples."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from qlog.frozen import frozen
from qlog.record.charts.multiples import Multiple, multiple
from qlog.record.pages.page import leaf_path, series_href, split
from qlog.review.part.batch import SeriesView
from qlog.review.part.charts.deviations import DeviationView
from qlog.review.picture import Picture
from qlog.words.catalogue import Words
from qlog.words.trend import machine_text
from qlog.words.values import fixed, places

PATH = "compare.html"
#: Multiples on one leaf: about five screens of a laptop.
MOST = 60


@frozen
class Compared:
    """One dimension among those that are cut alike."""

    href: str
    part: str
    name: str
    count: str
    outside: str  # pieces outside the control limits; empty for none
    picture: Multiple


@frozen
class CompareSection:
    """Dimensions that one machine cut alike, or as many of them as a leaf has room for."""

    id: str
    title: str
    comparable: bool
    continued: bool  # it began on an earlier leaf
    members: tuple[Compared, ...]
    tools: tuple[tuple[bool, str], ...]  # whether it drifts, and what the trend test says


def compare_leaves(
    picture: Picture, words: Words
) -> tuple[tuple[str, tuple[CompareSection, ...]], ...]:
    """The leaves of the page, each with its path; none where nothing is cut alike."""
    if not picture.deviations:
        return ()
    compared = [_members(view, picture, words) for view in picture.deviations]
    found = []
    for number, leaf in enumerate(_shares(picture), start=1):
        sections = []
        for n, first, last in leaf:
            view = picture.deviations[n]
            ends = last == len(view.series)
            sections.append(
                CompareSection(
                    id=f"across-{n + 1}",
                    title=_title(view, picture, words),
                    comparable=compared[n][0],
                    continued=first > 0,
                    members=compared[n][1][first:last],
                    tools=tuple(
                        (tool.found.speaks, machine_text(view, tool, words)) for tool in view.drifts
                    )
                    if ends
                    else (),
                )
            )
        found.append((leaf_path(PATH, number), tuple(sections)))
    return tuple(found)


def compare_href(view: DeviationView, picture: Picture) -> str:
    """Where the page says what the trend test found of a machine's tools."""
    for number, leaf in enumerate(_shares(picture), start=1):
        for n, _, last in leaf:
            if picture.deviations[n] is view and last == len(view.series):
                return f"{leaf_path(PATH, number)}#across-{n + 1}"
    return PATH


def _shares(picture: Picture) -> list[list[tuple[int, int, int]]]:
    """What stands on each leaf: place of the view, its first series and the one after its last."""
    single = [(n, at) for n, v in enumerate(picture.deviations) for at in range(len(v.series))]
    leaves = []
    for leaf in split(single, lambda _: 1, MOST):
        views = dict.fromkeys(n for n, _ in leaf)
        leaves.append(
            [(n, min(a for m, a in leaf if m == n), 1 + max(a for m, a in leaf if m == n))
             for n in views]
        )  # fmt: skip
    return leaves


def _title(view: DeviationView, picture: Picture, words: Words) -> str:
    return words(
        "control.across_title",
        machine=view.machine or words("control.no_machine"),
        cut=view.cut,
        instrument=picture.build.instrument(view.instrument).name,
    )


def _members(
    view: DeviationView, picture: Picture, words: Words
) -> tuple[bool, tuple[Compared, ...]]:
    """Whether one pair of limits serves them all, and each of them."""
    deviations = view.chart
    chart = deviations.chart
    decimals = max(places(s.limits, s.instrument) for s in view.series)
    values = [*chart.values, chart.upper, chart.lower, 0.0]
    air = (max(values) - min(values)) * 0.06 or 1.0
    scale = (min(values) - air, max(values) + air)
    symbol = view.series[0].limits.unit.symbol

    def number(value: float) -> str:
        return words.number(fixed(value, decimals), symbol)

    lines = ((chart.upper, "control"), (chart.lower, "control"), (chart.centre, "centre"))
    found = []
    beyond = frozenset(chart.outside)
    behind = 0
    for series, own in zip(view.series, view.pieces, strict=True):
        first, behind = behind, behind + len(own)
        outside = [at - first for at in range(first, behind) if at in beyond]
        pieces = [own[at] for at in outside]
        found.append(
            Compared(
                href=series_href(series, picture.part(series.part.id)),
                part=series.part.name,
                name=series.dimension.name,
                count=words.count("n.readings", len(own)),
                outside=words("compare.outside", pieces=words.pieces(series.part.id, pieces))
                if pieces
                else "",
                picture=multiple(
                    _stretches(series, own, chart.values[first:behind]),
                    outside,
                    lines,
                    scale,
                    number,
                ),
            )
        )
    return deviations.comparable, tuple(found)


def _stretches(
    series: SeriesView, pieces: Sequence[int], deviations: Sequence[float]
) -> list[list[float]]:
    """The deviations of one dimension, setup by setup."""
    setups = {r.piece: r.setup for r in series.readings}
    runs = groupby(zip(pieces, deviations, strict=True), key=lambda point: setups[point[0]])
    return [[deviation for _, deviation in run] for _, run in runs]
