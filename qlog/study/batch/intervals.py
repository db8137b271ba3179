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


def size_interval(
    mean: float,
    s: float,
    n: int,
    *,
    step: float = 0.0,
    shared: float = 0.0,
    floor: float = -math.inf,
    confidence: float = 0.95,
) -> Interval:
    """Interval for the mean size behind n readings of one display and one instrument.

    Three parts: the scatter of independent normal readings, mean -+ t(1 - alpha/2, n - 1)
    s / sqrt(n) (NIST/SEMATECH e-Handbook 1.3.5.2); `shared`, the standard uncertainty of the
    error that all n readings have in common, which no averaging takes away (JCGM 100:2008, 5.2,
    correlated inputs), expanded and joined in quadrature; and what rounding to `step` can do to
    the mean. A normal scatter of s rounded to steps of h moves the mean by at most
    h / pi exp(-2 (pi s / h)^2), the first term of the Fourier series of the rounding error
    (B. Widrow and I. Kollar, Quantization Noise, 2008; from memory), and never by more than
    h / 2; the least scatter that the readings allow is put in. No end lies below `floor`, 0 for
    what cannot be negative. All in the unit of the mean.

    Raises ValueError for fewer than 2 readings, a negative spread or a confidence outside 0..1.
    """
    _check(n, 2, confidence)
    if s < 0 or step < 0 or shared < 0:
        raise ValueError(f"a spread is not negative: {s}, {step}, {shared}")
    scatter = t_quantile((1 + confidence) / 2, n - 1) * s / math.sqrt(n)
    common = t_quantile((1 + confidence) / 2, math.inf) * shared
    least = scatter_interval(s, n, step=step, confidence=confidence).low
    half = math.hypot(scatter, common) + _rounding(least, step)
    return Interval(max(mean - half, floor), max(mean + half, floor), confidence)


def scatter_interval(s: float, n: int, *, step: float = 0.0, confidence: float = 0.95) -> Interval:
    """Interval for the standard deviation behind n readings rounded to a display step.

    From one display step on, rounding adds step^2 / 12 to the variance (Sheppard's correction;
    GUM F.2.2.1): the lower end leaves it out. Below that the readings may all show the same
    figure, or two neighbouring ones, whatever the scatter: half a step is then allowed for at
    the lower end and step / sqrt(12) at the upper one, before the factors of `s_factors`. An
    error that all readings share is in neither. Unit of s; errors as for `size_interval`.
    """
    low, high = s_factors(n, confidence)
    if s < 0 or step < 0:
        raise ValueError(f"a standard deviation is not negative: {s}, {step}")
    if s >= step:
        return Interval(low * math.sqrt(s * s - step * step / 12), high * s, confidence)
    rounded = step / math.sqrt(12)
    return Interval(low * max(0.0, s - step / 2), high * (s + rounded), confidence)


def _rounding(s: float, step: float) -> float:
    """The most by which rounding can move the mean of a normal scatter s, in its unit."""
    if step == 0:
        return 0.0
    return min(step / 2, step / math.pi * math.exp(-2 * (math.pi * s / step) ** 2) if s else step)


@lru_cache(maxsize=512)
def s_factors(n: int, confidence: float = 0.95) -> tuple[float, float]:
    """The factors on s that give its interval, from n independent normal readings; no unit.

    sqrt((n - 1) / chi2) with equal tails: NIST/SEMATECH e-Handbook 1.3.5.8 and 7.2.3.1. Raises
    ValueError for fewer than 2 readings or a confidence outside 0..1.
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
