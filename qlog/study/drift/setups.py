"""All setups of one dimension in a batch: each with its trend, and what the earlier ones teach.

This is the one place that decides; the stream, `drift`, the status and the pages ask here.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from decimal import Decimal
from functools import cached_property

from qlog.drawing.plan import Dimension
from qlog.frozen import Remembering, frozen
from qlog.study.drift.coincidence import Conditions
from qlog.study.drift.forecast import Forecast, forecast
from qlog.study.drift.shapes import GOING_ON
from qlog.study.drift.trend_test import DriftStatus, Pooled, SetupDrift, assess, pool, together


@frozen
class SetupReadings:
    """The readings of one setup in the order of making; `first` is the first piece made in it."""

    first: int
    pieces: tuple[int, ...]
    values: tuple[Decimal, ...]
    conditions: Sequence[Conditions] = ()


@frozen
class Retouch:
    """When to touch the tool, and by how much: back to the middle of the limits.

    `by` is what the size must change, in the unit of the readings; the tool wears on at `rate` a
    piece, which is its own here or, where `earlier` is true, that of the setups before.
    """

    after: int
    by: float
    rate: float
    earlier: bool


@frozen
class SetupTrend(Remembering):
    """The trend of one setup, and what follows of it for the coming pieces.

    `earlier` is the wear rate of the setups before; the rest is what `study_setups` was asked.
    Forecast and re-touch cost as much as the trend and are worked out when they are asked for.
    """

    drift: SetupDrift
    pooled: Pooled | None
    earlier: float | None
    running: bool  # the others were touched already
    planned: int
    lower: Decimal | None
    upper: Decimal | None
    zero_based: bool
    joint: bool

    @cached_property
    def forecast(self) -> Forecast | None:
        """The coming pieces, see `forecast.forecast`."""
        return forecast(
            self.drift,
            planned=self.planned,
            lower=self.lower,
            upper=self.upper,
            zero_based=self.zero_based,
            joint=self.joint,
        )

    @cached_property
    def retouch(self) -> Retouch | None:
        """When to touch the tool; None for a setup that is over."""
        if not self.running:
            return None
        return _retouch(
            self.drift, self.forecast, self.earlier, self.planned, self.lower, self.upper
        )


def learnt_scatter(dimension: Dimension, op: int) -> Pooled | None:
    """The scatter of an earlier build that the plan holds for a dimension after an operation."""
    learnt = dimension.learnt_at(op)
    return None if learnt is None else Pooled(float(learnt.s), learnt.df)


def study_setups(
    setups: Sequence[SetupReadings],
    *,
    planned: int,
    step: Decimal | None = None,
    lower: Decimal | None = None,
    upper: Decimal | None = None,
    tolerance: Decimal | None = None,
    measures: str = "",
    learnt: Pooled | None = None,
    zero_based: bool = False,
    joint: bool = True,
) -> tuple[SetupTrend, ...]:
    """Study the setups of one dimension, each with what the ones before have shown.

    The scatter of the setups before joins the running one's (each about its own line; left out
    where it does not fit, see `assess`), with that `learnt` from an earlier build. The
    scatter of other dimensions does not: in a batch of eight no rule can keep the false alarm at
    1 % for siblings that may scatter up to three times less and still find more than the
    dimension's own readings do. Arguments otherwise as in `assess` and `forecast`; `lower` and
    `upper` are the limits that a forecast is held against.
    """
    found: list[SetupTrend] = []
    for number, setup in enumerate(setups):
        pooled = together((pool((s.pieces, s.values) for s in setups[:number]), learnt))
        drift = assess(
            setup.pieces,
            setup.values,
            planned=planned,
            step=step,
            tolerance=tolerance,
            pooled=pooled,
            measures=measures,
            first=setup.first,
            conditions=setup.conditions,
        )
        earlier = _earlier_rate([t.drift for t in found])
        running = number == len(setups) - 1
        asked = (planned, lower, upper, zero_based, joint)
        found.append(SetupTrend(drift, pooled, earlier, running, *asked))
    return tuple(found)


def _earlier_rate(before: Sequence[SetupDrift]) -> float | None:
    """The rate per piece of the earlier setups that crept, weighed by what each knows of it."""
    crept = [
        (d.line.sxx, d.slope)
        for d in before
        if d.shape in GOING_ON and d.coincides is None and d.line is not None and d.slope
    ]
    if not crept:
        return None
    return math.fsum(w * slope for w, slope in crept) / math.fsum(w for w, _ in crept)


def _retouch(
    drift: SetupDrift,
    outlook: Forecast | None,
    earlier: float | None,
    planned: int,
    lower: Decimal | None,
    upper: Decimal | None,
) -> Retouch | None:
    if outlook is None or drift.last is None or outlook.last >= planned:
        return None
    if drift.status is DriftStatus.DRIFTING and drift.slope:
        if outlook.leaves is None:
            return None
        # Before the first of the pieces among which the limit is likeliest passed.
        first = min((outlook.leaves, *(outlook.between or ())))
        if first > planned:
            return None
        rate, after, own = drift.slope, max(first - 1, drift.last), True
        there = outlook.coming[after - outlook.last].expected - rate  # one piece further
    elif not drift.found and earlier is not None and drift.level is not None:
        # Too few readings to show the rate: the level of those read, moved on at the earlier one.
        rate, own = earlier, False
        limit = upper if rate > 0 else lower
        if limit is None:
            return None
        room = (float(limit) - drift.level.mean) / rate
        after = math.floor(drift.level.centre + room)
        if after >= planned:
            return None
        after = max(after, drift.last)
        there = drift.level.mean + rate * (after - drift.level.centre)
    else:
        return None
    if lower is not None and upper is not None:
        middle = float(lower + upper) / 2
    elif drift.first is not None:
        middle = there - rate * (after - drift.first)
    else:
        return None
    return Retouch(after, middle - there, rate, not own)
