"""What a series means: drift, forecast, capability, charts and doubts, for screen and record."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from contextlib import suppress
from decimal import Decimal
from functools import cached_property

from qlog.drawing.limits import Limits
from qlog.drawing.plan import Instrument
from qlog.drawing.units import Unit, convert
from qlog.frozen import Remembering, frozen
from qlog.logbook.part_log import SetupPieces
from qlog.review.instrument.judging import ZERO_BASED, ends_at_zero, tidy
from qlog.review.part.charts.control import ControlStretch, control_stretches
from qlog.review.part.conditions import ConditionsOf
from qlog.review.part.series import Series
from qlog.review.views import ReadingView
from qlog.study.batch.capability import Capability, NoIndex, capability
from qlog.study.batch.comparison import Difference
from qlog.study.batch.comparison import setups as compare_setups
from qlog.study.batch.counts import Counted, at_most, count
from qlog.study.batch.intervals import Interval, scatter_interval, size_interval
from qlog.study.batch.outlier import OutlierTest, grubbs
from qlog.study.conformity import bias
from qlog.study.drift.forecast import Forecast
from qlog.study.drift.kendall import Kendall, kendall
from qlog.study.drift.setups import Retouch, SetupReadings, SetupTrend, learnt_scatter, study_setups
from qlog.study.drift.trend_test import Pooled, SetupDrift

#: A build has some forty series: at 5 % each, two clean ones would be called outliers.
OUTLIER_ALPHA = 0.01


@frozen
class SetupStudy(Remembering):
    """One setup of a series: its trend, and what the trend means for the coming pieces."""

    setup: SetupPieces
    pieces: tuple[int, ...]
    values: tuple[Decimal, ...]
    trend: SetupTrend
    readings: tuple[ReadingView, ...]  # those that `values` are of
    before: tuple[ReadingView, ...]  # the same of the setup before; () for the first one
    step: Decimal | None

    @property
    def drift(self) -> SetupDrift:
        """What the trend test found."""
        return self.trend.drift

    @property
    def forecast(self) -> Forecast | None:
        """The coming pieces, were nothing touched."""
        return self.trend.forecast

    @property
    def retouch(self) -> Retouch | None:
        """When to touch the tool, and by how much."""
        return self.trend.retouch

    @property
    def pooled(self) -> Pooled | None:
        """Scatter of the setups before."""
        return self.trend.pooled

    @cached_property
    def against_last(self) -> Difference | None:
        """Welch's test against the setup before."""
        if not self.before:
            return None
        values = tuple(r.value for r in self.before if r.value is not None)
        apart = read_apart(self.before, self.readings)
        return compare_setups(values, self.values, step=self.step, apart=apart)


@frozen
class SeriesStudy(Remembering):
    """Everything there is to know of one series; statistics in the unit of its limits.

    Each is worked out when it is first asked for: `status` needs the trends alone, which are a
    third of it. Scrapped pieces are left in: what the tool did to them is part of the spread.
    """

    series: Series

    @property
    def step(self) -> Decimal | None:
        """Display step of what read it; None where nothing numeric was read."""
        return self.series.step if self._numeric else None

    @cached_property
    def _numeric(self) -> tuple[ReadingView, ...]:
        return tuple(r for r in self.series.readings if r.value is not None)

    @cached_property
    def setups(self) -> tuple[SetupStudy, ...]:
        """Every setup, each learning from those before; () for a check that passes or fails."""
        return _setup_studies(self.series, self._numeric) if self._numeric else ()

    @property
    def running(self) -> SetupStudy | None:
        """The setup that the newest reading belongs to."""
        return self.setups[-1] if self.setups else None

    @property
    def pooled(self) -> Pooled | None:
        """Scatter of the setups before the running one."""
        return None if self.running is None else self.running.pooled

    @property
    def drifting(self) -> bool:
        """Whether the running setup drifts."""
        return self.running is not None and self.running.drift.speaks

    @property
    def one_process(self) -> bool:
        """One setup and no drift: what holds for pieces still to be made.

        One mean and one scatter say nothing of setups that stand at different levels, nor of a
        tool that wears; several setups are several processes.
        """
        return len(self.setups) < 2 and (self.running is None or not self.running.drift.found)

    @cached_property
    def told_apart(self) -> bool:
        """Whether Welch's test found two setups in a row at two levels."""
        return any(s.against_last is not None and s.against_last.found for s in self.setups)

    @property
    def error_known(self) -> bool:
        """Whether the error that the readings share is in the mean's interval."""
        return bool(self._numeric) and all(r.shared is not None for r in self._numeric)

    @cached_property
    def mean_interval(self) -> Interval | None:
        """Where the mean of the process lies; None where there is no one process."""
        stats = self.series.summary
        if not self._numeric or not self.one_process or stats is None or stats.s is None:
            return None
        return size_interval(
            float(stats.mean),
            float(stats.s),
            stats.n,
            step=float(self.step or 0),
            shared=float(max((r.shared for r in self._numeric if r.shared is not None), default=0)),
            floor=0.0 if self.series.callout.kind in ZERO_BASED else -math.inf,
        )

    @cached_property
    def s_interval(self) -> Interval | None:
        """Where the standard deviation of the process lies; None where there is no one process."""
        stats = self.series.summary
        if not self._numeric or not self.one_process or stats is None or stats.s is None:
            return None
        if not (stats.s or self.step):
            return None
        return scatter_interval(float(stats.s), stats.n, step=float(self.step or 0))

    @property
    def _present(self) -> frozenset[int]:
        """Pieces judged by today's limits: old readings say nothing of new ones."""
        present = self.series.under_present_limits
        return frozenset() if present is None else frozenset(present.pieces)

    @property
    def _limited(self) -> bool:
        limits = self.series.limits
        return limits.lower is not None or limits.upper is not None

    @cached_property
    def capability(self) -> Capability | NoIndex | None:
        """Capability of the running setup against today's limits."""
        last, counted = self.running, self._present
        if last is None or not self._limited:
            return None
        against = [v for p, v in zip(last.pieces, last.values, strict=True) if p in counted]
        if not against:
            return None
        return capability(
            against,
            self.series.limits,
            drifting=last.drift.found,
            zero_based=self.series.callout.kind in ZERO_BASED,
        )

    @cached_property
    def fraction_out_at_most(self) -> float | None:
        """Exact one-sided 95 % bound of the share outside, or of the checks that fail."""
        if not self._numeric:
            return self.counted.failing_at_most if self.counted else None
        counted = self._present
        if not (self.one_process and self._limited and counted):
            return None
        # A reading that proves nothing counts as out by the chance that its piece is.
        return at_most(
            sum(_chance_out(r) for r in self._numeric if r.piece in counted), len(counted)
        )

    @cached_property
    def counted(self) -> Counted | None:
        """Checks that passed and failed; None where numbers were read."""
        return None if self._numeric else count(self.series.passed, self.series.failed)

    @cached_property
    def _outlying(self) -> tuple[OutlierTest | None, int | None]:
        return _outlier(self.series, self.setups, self.step)

    @property
    def outlier(self) -> OutlierTest | None:
        """The reading that stands apart from its setup, as the test has it."""
        return self._outlying[0]

    @property
    def outlier_piece(self) -> int | None:
        """Its piece; None where none stands apart."""
        return self._outlying[1]

    @property
    def control(self) -> tuple[ControlStretch, ...]:
        """Control charts, in the order of making; as long as the readings, so nobody keeps them."""
        zero_based = self.series.callout.kind in ZERO_BASED
        return control_stretches(self._numeric, self.series.gone, zero_based=zero_based)

    @cached_property
    def kendall(self) -> Kendall | None:
        """The robust twin of the trend test, over a batch of one setup."""
        last = self.running
        if last is None or len(self.setups) > 1 or len(last.values) < 4:
            return None
        return kendall(last.pieces, last.values)

    @cached_property
    def biases(self) -> tuple[bias.JawsReadLow | bias.TooCoarse, ...]:
        """What is to be known of the way that it is measured."""
        return _biases(self.series) if self._numeric else ()


def _chance_out(reading: ReadingView) -> float:
    """Chance, 0 to 1, that the piece is outside its limits; 0 or 1 where nothing is guarded."""
    judgement = reading.judgement
    if judgement is None:
        return 0.0
    inside = judgement.conformance_probability
    if inside is None:
        return float(not judgement.limits.contains(judgement.value))
    return 1.0 - inside


def _stretches(numeric: Sequence[ReadingView]) -> Mapping[int, tuple[ReadingView, ...]]:
    """The readings of each setup, in the order of making."""
    found: dict[int, list[ReadingView]] = {}
    for reading in numeric:
        found.setdefault(reading.setup, []).append(reading)
    return {setup: tuple(own) for setup, own in found.items()}


def _setup_studies(series: Series, numeric: Sequence[ReadingView]) -> tuple[SetupStudy, ...]:
    limits, step = series.limits, series.step
    stretches = _stretches(numeric)
    made = [(view, stretches[view.number]) for view in series.setups if view.number in stretches]
    sizes = [_sizes(own) for _, own in made]
    trends = study_setups(
        [
            SetupReadings(
                view.first_piece,
                *size,
                ConditionsOf(own),
            )
            for (view, own), size in zip(made, sizes, strict=True)
        ],
        planned=max(series.part.pieces[-1], numeric[-1].piece),
        step=step,
        lower=None if ends_at_zero(series.callout.kind, limits.lower) else limits.lower,
        zero_based=series.callout.kind in ZERO_BASED,
        upper=limits.upper,
        tolerance=limits.width,
        measures=series.dimension.measures,
        learnt=learnt_scatter(series.dimension, series.operation.number),
    )
    before: list[tuple[ReadingView, ...]] = [(), *(own for _, own in made)]
    return tuple(
        SetupStudy(view, *size, trend, own, last, step)
        for (view, own), size, trend, last in zip(made, sizes, trends, before, strict=False)
    )


def _sizes(
    readings: Sequence[ReadingView],
) -> tuple[tuple[int, ...], tuple[Decimal, ...]]:
    """Piece numbers and values of numeric readings."""
    return (
        tuple([r.piece for r in readings]),
        tuple([r.value for r in readings if r.value is not None]),
    )


def read_apart(before: Sequence[ReadingView], after: Sequence[ReadingView]) -> float:
    """Standard uncertainty that instruments bring to a comparison of readings with others.

    Nothing where the same ones read both: their error cancels in the difference.
    """
    used = [{r.instrument: r.shared for r in readings} for readings in (before, after)]
    if set(used[0]) == set(used[1]):
        return 0.0
    worst = [max((float(u) for u in one.values() if u is not None), default=0.0) for one in used]
    return math.hypot(*worst)


def _outlier(
    series: Series, studies: Sequence[SetupStudy], step: Decimal | None
) -> tuple[OutlierTest | None, int | None]:
    """The reading that stands apart from its setup, and its piece; the newest where several do.

    Grubbs' test takes the readings for independent: across a trend the ends would look
    like outliers, so a setup that drifts is left out. Pieces of a setup that were made to other
    limits were to be other: each is held against those made to the same. All share one chance of a
    false alarm.
    """
    limits = {r.piece: r.limits for r in series.readings}
    groups: list[dict[int, Decimal]] = []
    for study in studies:
        own: dict[Limits | None, dict[int, Decimal]] = {}
        for piece, value in zip(study.pieces, study.values, strict=True):
            own.setdefault(limits[piece], {})[piece] = value
        groups += [{} if study.drift.found else one for one in own.values()]
    newest: OutlierTest | None = None
    for group in reversed(groups):
        found = grubbs(tuple(group.values()), alpha=OUTLIER_ALPHA / len(groups), step=step)
        if found is not None and found.found:
            return found, list(group)[found.index]
        newest = newest or found
    return newest, None


def _biases(series: Series) -> tuple[bias.JawsReadLow | bias.TooCoarse, ...]:
    """What is to be known of the way this dimension is measured."""
    width, instrument = series.limits.width, series.instrument
    if width is None or width == 0 or instrument is None:
        return ()
    found: list[bias.JawsReadLow | bias.TooCoarse | None] = []
    unit = series.limits.unit
    error = _error(instrument, unit)
    if error is not None:
        found.append(bias.too_coarse(error, width))
    nominal = series.callout.nominal
    inside = series.dimension.measures == "inside" and series.callout.kind == "diameter"
    if inside and instrument.kind == "caliper" and nominal is not None:
        # Jaws do not go into a very small bore; a reading that came all the same stays.
        with suppress(ValueError):
            found.append(bias.bore_with_jaws(nominal, width, unit))
    return tuple(f for f in found if f is not None)


def _error(instrument: Instrument, unit: Unit) -> Decimal | None:
    if instrument.error is None:
        return None
    try:
        return tidy(convert(instrument.error, instrument.unit, unit), Limits(None, None, unit))
    except ValueError:
        return None
