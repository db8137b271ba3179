"""What lies over a chart of readings: trend and forecast, control limits, freak readings."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from qlog.record.charts import Level, Trend
from qlog.record.words import Words
from qlog.review.picture import SeriesView


def _no_trends(places: Mapping[int, int]) -> tuple[Trend, ...]:
    return ()


@dataclass(frozen=True, slots=True)
class Layers:
    """Everything that the study says of a series, as the chart and its page show it."""

    levels: tuple[Level, ...] = ()
    trends: Callable[[Mapping[int, int]], tuple[Trend, ...]] = _no_trends
    ahead: tuple[int, ...] = ()  # pieces beyond the last one read, for the forecast
    freaks: frozenset[int] = frozenset()  # pieces whose reading does not fit its neighbours
    sentences: tuple[str, ...] = ()  # what the study says, the weightiest first
    drifts: bool = False


def layers_of(series: SeriesView, words: Words) -> Layers:
    """The layers of one series; none when the study has not looked at it."""
    return Layers()
