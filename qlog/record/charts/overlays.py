"""What lies over a chart of readings: trend, forecast, scatter, outlier readings; and in words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from qlog.record.charts.chart import Level, Line, Trend
from qlog.record.pages.wording import fixed, places, with_unit
from qlog.review.instrument.judging import ZERO_BASED
from qlog.review.part.batch import SeriesView
from qlog.review.part.series_study import SeriesStudy, SetupStudy
from qlog.study.batch.capability import LEAST_PIECES, Capability, NoIndex
from qlog.study.batch.intervals import Interval
from qlog.study.drift.forecast import Forecast
from qlog.study.drift.trend_test import Cause, Drift, DriftStatus
from qlog.study.drift.trend_words import rate, shown_beside
from qlog.words import Words


@dataclass(frozen=True, slots=True)
class Layers:
    """Everything that the study says of a series, as the chart and its page show it."""

    levels: tuple[Level, ...] = ()
    lines: tuple[tuple[SetupStudy, bool], ...] = ()  # setups with a trend; whether it goes on
    ahead: tuple[int, ...] = ()  # pieces that are only forecast
    outliers: frozenset[int] = frozenset()  # pieces whose reading stands apart
    sentences: tuple[str, ...] = ()  # what the study says, the weightiest first
    drifts: bool = False

    def trends(self, places_of: Mapping[int, int]) -> tuple[Trend, ...]:
        """The trend lines by place in the order of making; `places_of` gives a piece's place."""
        found = []
        for study, goes_on in self.lines:
            line = study.drift.line
            assert line is not None
            first, last = study.pieces[0], study.pieces[-1]
            ahead = self.ahead[-1] if goes_on and self.ahead else None
            found.append(
                Trend(
                    places_of[first],
                    places_of[last],
                    line.at(first),
                    line.at(last),
                    None if ahead is None else places_of.get(ahead),
                    None if ahead is None or ahead not in places_of else line.at(ahead),
                )
            )
        return tuple(found)


def layers_of(series: SeriesView, words: Words) -> Layers:
    """The layers of one series; none when the study has not looked at it."""
    study = series.study
    if study is None or not study.setups:
        return Layers()
    trending = [s for s in study.setups if s.drift.found and s.drift.line is not None]
    ahead: tuple[int, ...] = ()
    running = study.setups[-1]
    if running in trending and running.forecast is not None:
        ahead = tuple(c.piece for c in running.forecast.coming)
    return Layers(
        levels=_scatter(series, study, words, bool(trending)),
        lines=tuple((s, s is running) for s in trending),
        ahead=ahead,
        outliers=frozenset() if study.outlier_piece is None else frozenset({study.outlier_piece}),
        sentences=_sentences(series, study, words),
        drifts=study.drifting,
    )


def _scatter(
    series: SeriesView, study: SeriesStudy, words: Words, trending: bool
) -> tuple[Level, ...]:
    """Limits of the batch's own scatter, where nothing drifts and there are some readings."""
    chart = study.chart
    if chart is None or chart.sigma <= 0 or trending or len(chart.values) < 5:
        return ()
    finest = places(series.limits, series.instrument) + 1
    return tuple(
        Level(value, words.number(fixed(value, finest)), words("chart.scatter"), Line.CONTROL)
        for value in (chart.upper, chart.lower)
    )


def _sentences(series: SeriesView, study: SeriesStudy, words: Words) -> tuple[str, ...]:
    said = []
    for setup in study.setups:
        text = drift_sentence(series, setup, study.step, words)
        if len(study.setups) > 1:
            text = words("drift.in_setup", number=setup.setup.number, text=text)
        said.append(text)
    for setup in study.setups:
        if setup.against_last is not None:
            said.append(_difference(series, setup, words))
    if study.outlier_piece is not None:
        said.append(words("drift.outlier", piece=f"{series.part.id}-{study.outlier_piece}"))
    return tuple(said)


def drift_sentence(
    series: SeriesView, setup: SetupStudy, step: Decimal | None, words: Words
) -> str:
    """What the trend of one setup means, and where it leads."""
    drift = setup.drift
    if drift.status is not DriftStatus.DRIFTING or drift.slope is None:
        return _silence(series, drift, words)
    symbol = series.limits.unit.symbol
    each = with_unit(words.number(rate(drift.slope, step)), symbol)
    way = words("drift.growing" if drift.slope > 0 else "drift.shrinking")
    said = [words("drift.found", way=way, rate=each, first=drift.first)]
    cause = {Cause.WEAR: "drift.wear", Cause.NOT_WEAR: "drift.not_wear"}.get(drift.cause)
    if cause:
        said.append(words(cause))
    if setup.forecast is not None:
        said.append(_ahead(series, setup.forecast, step, words))
    return " ".join(s for s in said if s)


def _silence(series: SeriesView, drift: Drift, words: Words) -> str:
    key = f"drift.{drift.status.name.lower()}"
    least = ""
    if drift.detectable is not None:
        finest = places(series.limits, series.instrument) + 1
        amount = words.number(fixed(drift.detectable, finest))
        least = with_unit(amount, series.limits.unit.symbol)
    if drift.status is DriftStatus.STEADY and least:
        return words("drift.steady_from", least=least)
    return words(key, n=drift.n)


def _ahead(series: SeriesView, outlook: Forecast, step: Decimal | None, words: Words) -> str:
    symbol = series.limits.unit.symbol
    if outlook.leaves is None or outlook.leaves_at is None:
        return ""
    limit = outlook.upper if outlook.over == "upper" else outlook.lower
    if limit is None:
        return ""
    bound = fixed(limit, places(series.limits, series.instrument))
    values = {
        "piece": outlook.leaves,
        "value": with_unit(words.number(shown_beside(outlook.leaves_at, limit, step)), symbol),
        "limit": with_unit(words.number(bound), symbol),
    }
    if outlook.last >= outlook.planned:
        near = outlook.leaves <= outlook.last + max(outlook.planned, 1)
        return words("drift.would_leave", **values) if near else words("drift.made")
    if outlook.leaves <= outlook.planned:
        left = words.count("drift.left", outlook.leaves - outlook.last - 1)
        return f"{words('drift.leaves', **values)} {left}"
    return words("drift.stays", last=outlook.planned)


def _difference(series: SeriesView, setup: SetupStudy, words: Words) -> str:
    difference = setup.against_last
    assert difference is not None
    finest = places(series.limits, series.instrument) + 1
    return words(
        "drift.jump" if difference.found else "drift.no_jump",
        number=setup.setup.number,
        before=setup.setup.number - 1,
        amount=with_unit(
            words.number(fixed(difference.difference, finest)), series.limits.unit.symbol
        ),
    )


def capability_texts(series: SeriesView, words: Words) -> tuple[str, str]:
    """Capability index and the interval without which it must not be read; both may be empty."""
    study = series.study
    found = study.capability if study is not None else None
    if isinstance(found, Capability):
        return (
            words.number(fixed(found.cpk, 2)),
            words(
                "fact.interval",
                low=words.number(fixed(found.cpk_interval.low, 2)),
                high=words.number(fixed(found.cpk_interval.high, 2)),
                share=percent_of(found.cpk_interval),
            ),
        )
    if isinstance(found, NoIndex):
        return words("fact.no_index"), words(_why_no_index(series, study), least=LEAST_PIECES)
    return "", ""


def _why_no_index(series: SeriesView, study: SeriesStudy | None) -> str:
    """The catalogue's sentence for the reason that holds, the weightiest first."""
    running = study.running if study is not None else None
    if series.callout.kind in ZERO_BASED:
        return "fact.no_index_zero"
    if running is not None and running.drift.found:
        return "fact.no_index_drift"
    if running is not None and len(running.values) < LEAST_PIECES:
        return "fact.no_index_few"
    return "fact.no_index_alike"


def percent_of(interval: Interval) -> str:
    """Confidence of an interval as a whole number of percent."""
    return f"{interval.confidence:.0%}".rstrip("%")
