"""What lies over a chart of readings: trend, forecast, scatter, outlier readings; and in words."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from qlog.frozen import frozen
from qlog.record.charts.chart import Level, LineKind, Trend
from qlog.review.part.batch import SeriesView
from qlog.review.part.series_study import SeriesStudy, SetupStudy
from qlog.study.batch.capability import Capability, NoIndex
from qlog.study.batch.intervals import Interval
from qlog.study.drift.shapes import GOING_ON
from qlog.words.catalogue import Words
from qlog.words.trend import setup_text
from qlog.words.values import fixed, places, with_unit


@frozen
class Layers:
    """Everything that the study says of a series, as the chart and its page show it."""

    levels: tuple[Level, ...] = ()
    lines: tuple[tuple[SetupStudy, bool], ...] = ()  # setups with a trend; whether it goes on
    ahead: tuple[int, ...] = ()  # pieces that are only forecast
    sentences: tuple[str, ...] = ()  # what the study says, the weightiest first
    drifts: bool = False

    def trends(self, places_of: Mapping[int, int]) -> tuple[Trend, ...]:
        """The trend lines by place in the order of making; `places_of` gives a piece's place."""
        found = []
        for study, goes_on in self.lines:
            line = study.drift.found_fit
            since = study.drift.since or study.pieces[0]
            first = next(p for p in study.pieces if p >= since)
            last = study.pieces[-1]
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
    trending = [
        s
        for s in study.setups
        if s.drift.found and s.drift.shape in GOING_ON and s.drift.coincides is None
    ]
    ahead: tuple[int, ...] = ()
    running = study.setups[-1]
    if running in trending and running.forecast is not None:
        ahead = tuple(c.piece for c in running.forecast.coming)
    return Layers(
        levels=_control(series, study, words, {s.setup.number for s in trending}),
        lines=tuple((s, s is running) for s in trending),
        ahead=ahead,
        sentences=_sentences(series, study, words),
        drifts=study.drifting,
    )


def outliers_of(series: SeriesView) -> frozenset[int]:
    """Pieces of a series whose reading stands apart."""
    piece = None if series.study is None else series.study.outlier_piece
    return frozenset() if piece is None else frozenset({piece})


def _control(
    series: SeriesView, study: SeriesStudy, words: Words, trending: Collection[int]
) -> tuple[Level, ...]:
    """Control limits of each setup that does not drift and has some readings."""
    finest = places(series.limits, series.instrument) + 1
    places_of = {slot.piece: place for place, slot in enumerate(series.slots)}
    return tuple(
        Level(
            value,
            words.number(fixed(value, finest), series.limits.unit.symbol),
            words("chart.scatter"),
            LineKind.CONTROL,
            places_of[stretch.pieces[0]],
            places_of[stretch.pieces[-1]],
        )
        for stretch in study.control
        if stretch.control is not None and stretch.setup not in trending
        for value in (stretch.control.chart.upper, stretch.control.chart.lower)
    )


def _sentences(series: SeriesView, study: SeriesStudy, words: Words) -> tuple[str, ...]:
    said = []
    for setup in study.setups:
        text = setup_text(series, setup, study.step, words)
        if len(study.setups) > 1:
            text = words("drift.in_setup", number=setup.setup.number, text=text)
        said.append(text)
    for setup in study.setups:
        if setup.against_last is not None:
            said.append(_difference(series, setup, words))
    if study.outlier_piece is not None:
        said.append(words("drift.outlier", piece=words.piece(series.part.id, study.outlier_piece)))
    return tuple(said)


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
        return words("fact.no_index"), no_index_text(found, words)
    return "", ""


def no_index_text(found: NoIndex, words: Words) -> str:
    """Why there is no capability index."""
    return words(f"no_index.{found.reason.name.lower()}", least=found.least)


def percent_of(interval: Interval) -> str:
    """Confidence of an interval as a whole number of percent."""
    return f"{interval.confidence:.0%}".rstrip("%")
