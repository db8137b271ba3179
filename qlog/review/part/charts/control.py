"""Control charts of a series: limits never span two setups, nor two revisions of the limits."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from itertools import groupby

from qlog.drawing.limits import Limits
from qlog.frozen import frozen, replace
from qlog.review.views import ReadingView
from qlog.study.batch.control_charts import Ewma, Individuals, Signal, ewma, individuals, signals

#: With fewer readings than this a setup has no control limits of its own: how often such limits
#: are right was only measured from here on (`study/batch/control_charts.py`).
FEW = 5


@frozen
class Control:
    """Control limits out of the readings that they stand over, and what the run rules point at."""

    chart: Individuals
    signals: tuple[Signal, ...]
    ewma: Ewma


@frozen
class ControlStretch:
    """Readings in a row of one setup that were judged by the same limits."""

    setup: int
    limits: Limits | None
    pieces: tuple[int, ...]
    values: tuple[float, ...]
    control: Control | None  # None for fewer than five readings, or for readings all alike


def control_stretches(
    numeric: Sequence[ReadingView], scrapped: Collection[int] = (), *, zero_based: bool = False
) -> tuple[ControlStretch, ...]:
    """The stretches of a series, in the order of its numeric readings.

    Scrapped pieces stand apart: they are in no stretch, and no limit comes from them. Where
    nothing can be below zero, no limit is.
    """
    kept = [r for r in numeric if r.piece not in scrapped]
    found = []
    for (setup, limits), run in groupby(kept, key=lambda r: (r.setup, r.limits)):
        own = [(r.piece, float(r.value)) for r in run if r.value is not None]
        values = tuple(value for _, value in own)
        pieces = tuple(piece for piece, _ in own)
        found.append(ControlStretch(setup, limits, pieces, values, _control(values, zero_based)))
    return tuple(found)


def _control(values: Sequence[float], zero_based: bool) -> Control | None:
    if len(values) < FEW:
        return None
    chart = individuals(values)
    if chart.sigma == 0:
        return None
    said, smoothed = (
        signals(values, chart.centre, chart.sigma),
        ewma(values, chart.centre, chart.sigma),
    )
    if zero_based:
        chart = replace(chart, lower=max(chart.lower, 0.0))
        smoothed = replace(
            smoothed,
            lower=tuple(max(limit, 0.0) for limit in smoothed.lower),
            settled_lower=max(smoothed.settled_lower, 0.0),
        )
    return Control(chart, said, smoothed)
