"""What a series means: drift, forecast, capability, charts and doubts, for screen and record."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from contextlib import suppress
from decimal import Decimal

from qlog.drawing.limits import Limits
from qlog.drawing.plan import Instrument
from qlog.drawing.units import Unit, convert
from qlog.frozen import frozen
from qlog.logbook.part_log import SetupPieces
from qlog.review.instrument.judging import ZERO_BASED, tidy
from qlog.review.part.charts.control import ControlStretch, control_stretches
from qlog.review.part.conditions import TakenUnder, conditions
from qlog.review.part.series import Series
from qlog.review.views import ReadingView
from qlog.study.batch.capability import Capability, NoIndex, capability
from qlog.study.batch.comparison import Difference
from qlog.study.batch.comparison import setups as compare_setups
from qlog.study.batch.counts import Counted, at_most, count
from qlog.study.batch.intervals import Interval, scatter_interval, size_interval
from qlog.study.batch.outlier import OutlierTest, grubbs
from qlog.study.conformity import bias
from qlog.study.drift.coincidence import Conditions
from qlog.study.drift.forecast import Forecast
from qlog.study.drift.kendall import Kendall, kendall
from qlog.study.drift.setups import Retouch, SetupReadings, learnt_scatter, study_setups
from qlog.study.drift.trend_test import Pooled, SetupDrift

#: A build has some forty series: at 5 % each, two clean ones would be called outliers.
OUTLIER_ALPHA = 0.01


@frozen
class SetupStudy:
    """One setup of a series: its trend, and what the trend means for the coming pieces."""

    setup: SetupPieces
    pieces: tuple[int, ...]
    values: tuple[Decimal, ...]
    drift: SetupDrift
    forecast: Forecast | None
    against_last: Difference | None  # Welch's test against the setup before
    retouch: Retouch | None = None
    pooled: Pooled | None = None  # scatter of the setups before


@frozen
class SeriesStudy:
    """Everything worked out on one series; statistics in the unit of its limits.

    Scrapped pieces are left in: what the tool did to them is part of the spread.
    """

    setups: tuple[SetupStudy, ...]
    drifting: bool
    mean_interval: Interval | None  # None where there is no one process, see `one_process`
    s_interval: Interval | None
    error_known: bool  # whether the error that the readings share is in the mean's interval
    capability: Capability | NoIndex | None
    fraction_out_at_most: float | None  # exact one-sided 95 % bound
    counted: Counted | None
    outlier: OutlierTest | None
    outlier_piece: int | None
    control: tuple[ControlStretch, ...]  # in the order of making
    kendall: Kendall | None  # the robust twin, over a batch of one setup
    biases: tuple[bias.JawsReadLow | bias.TooCoarse, ...]
    step: Decimal | None
    pooled: Pooled | None
    one_process: bool = True  # one setup and no drift: what holds for pieces still to be made
    told_apart: bool = False  # whether Welch's test found two setups in a row at two levels

    @property
    def running(self) -> SetupStudy | None:
        """The setup that the newest reading belongs to."""
        return self.setups[-1] if self.setups else None


def study_series(series: Series) -> SeriesStudy:
    """Study one series, setup by setup; each learns from the setups before."""
    numeric = [r for r in series.readings if r.value is not None]
    if not numeric:
        return _counted(series)
    step = series.step
    studies = _setup_studies(series, numeric, step)
    drifting = any(s.drift.speaks for s in studies[-1:])
    stats = series.summary
    outlier, outlier_piece = _outlier(series, studies, step)
    zero_based = series.callout.kind in ZERO_BASED
    limits = series.limits
    # Old readings say nothing of new limits: only those judged by today's count against them.
    present = series.under_present_limits
    counted = set() if present is None else set(present.pieces)
    against = [
        v for p, v in zip(studies[-1].pieces, studies[-1].values, strict=True) if p in counted
    ]
    # A reading that proves nothing counts as out by the chance that its piece is.
    outside = sum(_chance_out(r) for r in numeric if r.piece in counted)
    one_sided = limits.lower is not None or limits.upper is not None
    last = studies[-1]
    # One mean and one scatter say nothing of setups that stand at different levels.
    # ... nor of a tool that wears, and several setups are several processes.
    one_process = len(studies) == 1 and not last.drift.found
    shared = [r.shared for r in numeric]
    told_apart = any(s.against_last is not None and s.against_last.found for s in studies)
    return SeriesStudy(
        setups=studies,
        drifting=drifting,
        mean_interval=size_interval(
            float(stats.mean),
            float(stats.s),
            stats.n,
            step=float(step or 0),
            shared=float(max((u for u in shared if u is not None), default=0)),
            floor=0.0 if zero_based else -math.inf,
        )
        if one_process and stats is not None and stats.s is not None
        else None,
        s_interval=scatter_interval(float(stats.s), stats.n, step=float(step or 0))
        if one_process and stats is not None and stats.s is not None and (stats.s or step)
        else None,
        error_known=None not in shared,
        one_process=one_process,
        told_apart=told_apart,
        capability=capability(
            against,
            limits,
            drifting=last.drift.found,
            zero_based=zero_based,
        )
        if one_sided and against
        else None,
        fraction_out_at_most=at_most(outside, len(counted))
        if one_process and one_sided and counted
        else None,
        counted=None,
        outlier=outlier,
        outlier_piece=outlier_piece,
        control=control_stretches(numeric, series.gone),
        kendall=kendall(last.pieces, last.values)
        if len(studies) == 1 and len(last.values) >= 4
        else None,
        biases=_biases(series),
        step=step,
        pooled=studies[-1].pooled,
    )


def _chance_out(reading: ReadingView) -> float:
    """Chance, 0 to 1, that the piece is outside its limits; 0 or 1 where nothing is guarded."""
    judgement = reading.judgement
    if judgement is None:
        return 0.0
    inside = judgement.conformance_probability
    if inside is None:
        return float(not judgement.limits.contains(judgement.value))
    return 1.0 - inside


def _numbers(series: Series) -> list[tuple[int, Decimal]]:
    """Piece and number of every reading that has one, in the order of making."""
    return [(r.piece, r.value) for r in series.readings if r.value is not None]


def _counted(series: Series) -> SeriesStudy:
    """A series of checks that pass or fail."""
    counted = count(series.passed, series.failed)
    return SeriesStudy(
        setups=(),
        drifting=False,
        mean_interval=None,
        s_interval=None,
        error_known=False,
        capability=None,
        fraction_out_at_most=counted.failing_at_most,
        counted=counted,
        outlier=None,
        outlier_piece=None,
        control=(),
        kendall=None,
        biases=(),
        step=None,
        pooled=None,
    )


def _stretches(
    series: Series,
) -> Mapping[int, tuple[tuple[int, ...], tuple[Decimal, ...]]]:
    """Piece numbers and readings of each setup, in the order of making."""
    found: dict[int, tuple[list[int], list[Decimal]]] = {}
    for reading in series.readings:
        if reading.value is not None:
            pieces, values = found.setdefault(reading.setup, ([], []))
            pieces.append(reading.piece)
            values.append(reading.value)
    return {k: (tuple(p), tuple(v)) for k, (p, v) in found.items()}


def _conditions(series: Series, setup: int) -> tuple[Conditions, ...]:
    return conditions(
        [
            TakenUnder(r.instrument, r.made, r.temperature, r.person)
            for r in series.readings
            if r.value is not None and r.setup == setup
        ]
    )


def _setup_studies(
    series: Series,
    numeric: Sequence[ReadingView],
    step: Decimal | None,
) -> tuple[SetupStudy, ...]:
    limits = series.limits
    planned = max(series.part.pieces[-1], numeric[-1].piece)
    zero_based = series.callout.kind in ZERO_BASED
    lower = None if zero_based else limits.lower
    stretches = _stretches(series)
    made = [v for v in series.setups if v.number in stretches]
    trends = study_setups(
        [
            SetupReadings(v.first_piece, *stretches[v.number], _conditions(series, v.number))
            for v in made
        ],
        planned=planned,
        step=step,
        lower=lower,
        upper=limits.upper,
        tolerance=limits.width,
        measures=series.dimension.measures,
        learnt=learnt_scatter(series.dimension, series.operation.number),
    )
    studies: list[SetupStudy] = []
    for view, trend in zip(made, trends, strict=True):
        pieces, values = stretches[view.number]
        drift, outlook = trend.drift, trend.forecast
        before = studies[-1] if studies else None
        against = None
        if before is not None:
            apart = read_apart(
                [r for r in series.readings if r.piece in before.pieces],
                [r for r in series.readings if r.piece in pieces],
            )
            against = compare_setups(before.values, values, step=step, apart=apart)
        studies.append(
            SetupStudy(view, pieces, values, drift, outlook, against, trend.retouch, trend.pooled)
        )
    return tuple(studies)


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
