"""Forecast of the coming pieces from the trend of a setup: where they will fall, and until when.

The joint chance imports numpy and scipy, everything else here is plain Python: the reading stream
shows the forecast between two readings.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from decimal import Decimal
from enum import StrEnum

from qlog.frozen import frozen
from qlog.study.distributions import t_below, t_critical
from qlog.study.drift.trend_test import Drift, Fit

#: Coverage of the prediction interval of each single piece.
COVERAGE = 0.95
#: How far beyond the last piece a crossing is looked for.
FAR = 1000
#: What floats may be off by, relative to a limit: a line through 8.012, 8.013, 8.014 reaches
#: 8.015, not a hair more.
DUST = 1e-12


class Model(StrEnum):
    """What is carried forward: the line where a trend was found, otherwise the level."""

    LINE = "line"
    LEVEL = "level"


@frozen
class Coming:
    """One coming piece: expected reading, its interval, and the chance to read inside."""

    piece: int
    expected: float
    low: float
    high: float
    chance_inside: float | None  # None without limits


@frozen
class Forecast:
    """Forecast of a batch from the readings of the running setup, in the unit of the readings.

    `leaves` is the first coming piece whose expected reading lies outside the limits, `over`
    the limit that it passes ("upper" or "lower"), `may_leave` the first whose interval reaches
    outside; both may lie beyond the planned batch and are None where nothing leaves.
    `good_left` counts the pieces before `leaves`. `chance_all` is the chance that every piece
    still planned reads inside; None without limits, with nothing left to make, or when not
    asked for.
    """

    model: Model
    last: int
    planned: int
    coming: tuple[Coming, ...]
    next: Coming
    lower: Decimal | None
    upper: Decimal | None
    leaves: int | None
    leaves_at: float | None
    over: str
    may_leave: int | None
    good_left: int | None
    chance_all: float | None
    fit: Fit


def forecast(
    drift: Drift,
    *,
    planned: int,
    lower: Decimal | None,
    upper: Decimal | None,
    joint: bool = True,
) -> Forecast | None:
    """Forecast the pieces after the last one read, up to `planned`.

    A found trend is carried on as a line, otherwise the level is; the interval is the
    prediction interval of a single new reading (Draper and Smith, Applied Regression Analysis,
    section 1.4; Hahn and Meeker, Statistical Intervals, section 4.8 for the level), with the
    pool's degrees of freedom where the drift was assessed with one. It assumes that nothing is
    touched. `joint=False` leaves out `chance_all`, the only part that needs numpy and scipy.

    Returns None where one reading alone, without a pool, says nothing about scatter.
    Raises ValueError when the lower limit lies above the upper one.
    """
    if lower is not None and upper is not None and lower > upper:
        raise ValueError(f"lower limit {lower} lies above upper limit {upper}")
    fit = drift.line if drift.found else drift.level
    if fit is None or drift.last is None:
        return None
    low_limit = -math.inf if lower is None else float(lower)
    high_limit = math.inf if upper is None else float(upper)
    limited = lower is not None or upper is not None
    reach = t_critical(1 - COVERAGE, fit.df)
    last = drift.last

    def coming(piece: int) -> Coming:
        expected, spread = fit.at(piece), fit.spread_at(piece)
        return Coming(
            piece,
            expected,
            expected - reach * spread,
            expected + reach * spread,
            _between(low_limit, high_limit, expected, spread, fit.df) if limited else None,
        )

    ahead = range(last + 1, last + 1 + FAR)
    leaves = next((p for p in ahead if _outside(fit.at(p), low_limit, high_limit)), None)
    may_leave = None
    if limited:
        for piece in ahead:
            margin = reach * fit.spread_at(piece)
            if any(
                _outside(end, low_limit, high_limit)
                for end in (fit.at(piece) - margin, fit.at(piece) + margin)
            ):
                may_leave = piece
                break
    leaves_at = None if leaves is None else fit.at(leaves)
    over = ""
    if leaves_at is not None:
        over = "upper" if leaves_at > high_limit else "lower"
    pieces = tuple(coming(piece) for piece in range(last + 1, planned + 1))
    chance_all = None
    if joint and limited and pieces:
        chance_all = chance_all_in(
            fit, [c.piece for c in pieces], lower=low_limit, upper=high_limit
        )
    return Forecast(
        model=Model.LINE if drift.found else Model.LEVEL,
        last=last,
        planned=planned,
        coming=pieces,
        next=coming(last + 1),
        lower=lower,
        upper=upper,
        leaves=leaves,
        leaves_at=leaves_at,
        over=over,
        may_leave=may_leave,
        good_left=None if leaves is None else leaves - last - 1,
        chance_all=chance_all,
        fit=fit,
    )


def _outside(value: float, low: float, high: float) -> bool:
    """Whether a computed value lies outside; on the limit is inside, binary dust or not."""
    return value < low - DUST * abs(low) or value > high + DUST * abs(high)


def _between(low: float, high: float, expected: float, spread: float, df: int) -> float:
    if spread == 0:
        return float(not _outside(expected, low, high))
    below = 0.0 if math.isinf(low) else t_below((low - expected) / spread, df)
    above = 0.0 if math.isinf(high) else t_below((expected - high) / spread, df)
    return max(1.0 - below - above, 0.0)


def chance_all_in(fit: Fit, pieces: Sequence[int], *, lower: float, upper: float) -> float:
    """Chance that all these pieces read inside the limits, seen together.

    The readings share the fit's error, so their joint law is a multivariate t. Given the true
    level, slope and scatter they are independent normals, and that is integrated: trapezium
    sums over level and slope (the fit's two independent errors), Gauss-Legendre over the
    quantiles of the scatter. Deterministic, to about 1e-4. Infinite limits are absent ones.
    """
    import numpy as np
    from scipy.special import gammaincinv, ndtr

    if fit.s == 0:
        return float(not any(_outside(fit.at(piece), lower, upper) for piece in pieces))
    nodes, weights = np.polynomial.legendre.leggauss(32)
    # Quantiles of chi-square / df; a true scatter of s * sqrt(df / chi-square).
    ratios = np.sqrt(fit.df / (2 * gammaincinv(fit.df / 2, (nodes + 1) / 2)))
    level_errors = np.linspace(-6, 6, 31)
    slope_errors = np.linspace(-6, 6, 121) if math.isfinite(fit.sxx) else np.zeros(1)

    mesh = np.exp(-(level_errors[:, None] ** 2 + slope_errors[None, :] ** 2) / 2)
    mesh /= mesh.sum()
    chance = 0.0
    for ratio, weight in zip(ratios, weights / 2, strict=True):
        sigma = fit.s * float(ratio)
        inside = np.ones_like(mesh)
        for piece in pieces:
            leverage = (piece - fit.centre) / math.sqrt(fit.sxx)
            offset = level_errors[:, None] / math.sqrt(fit.n) + leverage * slope_errors[None, :]
            expected = fit.at(piece)
            inside *= ndtr((upper - expected) / sigma - offset) - ndtr(
                (lower - expected) / sigma - offset
            )
        chance += float(weight) * float((mesh * inside).sum())
    return min(max(chance, 0.0), 1.0)
