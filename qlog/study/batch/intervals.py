"""Intervals about what a small batch shows: its mean and its standard deviation."""

from __future__ import annotations

import math
from functools import lru_cache

from qlog.frozen import frozen
from qlog.study.distributions import chi_square_quantile, t_critical


@frozen
class Interval:
    """A two-sided interval and the confidence with which it was built; unit of its quantity."""

    low: float
    high: float
    confidence: float

    def __contains__(self, value: float) -> bool:
        return self.low <= value <= self.high


def mean_interval(mean: float, s: float, n: int, confidence: float = 0.95) -> Interval:
    """Interval for the mean of the process behind n independent normal readings.

    mean -+ t(1 - alpha/2, n - 1) s / sqrt(n): NIST/SEMATECH e-Handbook 1.3.5.2. Unit of the mean.
    Raises ValueError for fewer than 2 readings, a negative s or a confidence outside 0..1.
    """
    _check(n, 2, confidence)
    if s < 0:
        raise ValueError(f"a standard deviation is not negative: {s}")
    half = t_quantile((1 + confidence) / 2, n - 1) * s / math.sqrt(n)
    return Interval(mean - half, mean + half, confidence)


def s_interval(s: float, n: int, confidence: float = 0.95) -> Interval:
    """Interval for the standard deviation of the process behind n independent normal readings.

    s sqrt((n - 1) / chi2) with equal tails: NIST/SEMATECH e-Handbook 1.3.5.8 and 7.2.3.1. Unit
    of s. Raises ValueError for fewer than 2 readings, a negative s or a confidence outside 0..1.
    """
    low, high = s_factors(n, confidence)
    if s < 0:
        raise ValueError(f"a standard deviation is not negative: {s}")
    return Interval(low * s, high * s, confidence)


@lru_cache(maxsize=512)
def s_factors(n: int, confidence: float = 0.95) -> tuple[float, float]:
    """The factors on s that give its interval, from n readings; no unit.

    Source and errors as for `s_interval`.
    """
    _check(n, 2, confidence)
    tail = (1 - confidence) / 2
    nu = n - 1
    return (
        math.sqrt(nu / chi_square_quantile(1 - tail, nu)),
        math.sqrt(nu / chi_square_quantile(tail, nu)),
    )


@lru_cache(maxsize=1024)
def t_quantile(p: float, nu: float) -> float:
    """Quantile of Student's t with `nu` degrees of freedom, infinity allowed; no unit.

    Raises ValueError for a probability outside 0..1.
    """
    if not 0 < p < 1:
        raise ValueError(f"a probability lies between 0 and 1, not {p}")
    if math.isinf(nu):
        from statistics import NormalDist

        return NormalDist().inv_cdf(p)
    if p == 0.5:
        return 0.0
    both = 2 * min(p, 1 - p)
    return math.copysign(t_critical(both, nu), p - 0.5)


def _check(n: int, least: int, confidence: float) -> None:
    if n < least:
        raise ValueError(f"{n} reading(s): at least {least} are needed")
    if not 0 < confidence < 1:
        raise ValueError(f"a confidence lies between 0 and 1, not {confidence}")
