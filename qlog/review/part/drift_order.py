"""Which drift is the most urgent: the order in which they are told."""

from __future__ import annotations

from qlog.review.part.batch import SeriesView
from qlog.review.part.series_study import SeriesStudy

_STATUS = (
    "drifting",
    "jumped",
    "coincides",
    "settling",
    "too small to matter",
    "steady",
    "too coarse",
    "too few",
)


def urgency(series: SeriesView, study: SeriesStudy) -> tuple[int, float, str]:
    """A sort key, most urgent first: by what the test found, then by good pieces left.

    Of two that drift, the one that leaves its limits sooner comes first; where neither does, the
    one that has used more of its tolerance.
    """
    running = study.running
    if running is None:
        return (len(_STATUS), 0.0, series.id)
    rank = _STATUS.index(running.drift.status.value)
    outlook = running.forecast
    left = outlook.good_left if outlook is not None else None
    change = abs(running.drift.change or 0.0)
    width = series.limits.width
    share = change / float(width) if width else 0.0
    return (rank, left if left is not None else 1e9 - share, series.id)
