"""Comparisons: one setup against the next, and the same pieces before and after."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from decimal import Decimal

from qlog.frozen import frozen
from qlog.study.batch.intervals import Interval, t_quantile
from qlog.study.batch.summary import exact_mean, exact_values, exact_variance
from qlog.study.distributions import t_both_tails


@frozen
class Difference:
    """Two means compared; everything but t, dof and p in the unit of the readings."""

    difference: float  # second minus first
    interval: Interval  # of the difference
    t: float
    dof: float
    p: float  # two-sided: how often chance alone shows as much
    found: bool  # p below alpha


@frozen
class MeanChange:
    """The same pieces read twice; change is after minus before, in the unit of the readings."""

    n: int
    mean: float
    s: float  # standard deviation of the changes
    interval: Interval  # of the mean change
    t: float
    p: float  # two-sided
    found: bool


def setups(
    first: Iterable[Decimal | float],
    second: Iterable[Decimal | float],
    *,
    alpha: float = 0.01,
    confidence: float = 0.95,
    step: Decimal | None = None,
    apart: float = 0.0,
) -> Difference | None:
    """Welch's t test between two setups, readings in one unit; None below 2 readings in either.

    t = difference / sqrt(s1^2 / n1 + s2^2 / n2), degrees of freedom by Welch and Satterthwaite:
    NIST/SEMATECH e-Handbook 1.3.5.3. `step` is the display step: neither s is taken below
    step / sqrt(12), so that readings all alike do not look infinitely sure. `apart` is the
    standard uncertainty of the difference between how the two were read: 0 where one instrument
    read both, whose error cancels, else that of both instruments' errors (JCGM 100:2008,
    5.1.2 and G.4.1).

    Raises ValueError for a reading that is no finite number, or an alpha or confidence outside
    0..1.
    """
    _check(alpha, confidence)
    one, two = exact_values(first), exact_values(second)
    if len(one) < 2 or len(two) < 2:
        return None
    mean1, mean2 = exact_mean(one), exact_mean(two)
    floor = _floor(step)
    part1 = max(float(exact_variance(one, mean1)), floor) / len(one)
    part2 = max(float(exact_variance(two, mean2)), floor) / len(two)
    difference = float(mean2 - mean1)
    variance = part1 + part2 + apart**2
    if variance == 0:
        dof = float(len(one) + len(two) - 2)
    else:
        dof = variance**2 / (part1**2 / (len(one) - 1) + part2**2 / (len(two) - 1))
    error = math.sqrt(variance)
    t, p = _t_and_p(difference, error, dof)
    half = t_quantile((1 + confidence) / 2, dof) * error
    return Difference(
        difference=difference,
        interval=Interval(difference - half, difference + half, confidence),
        t=t,
        dof=dof,
        p=p,
        found=p < alpha,
    )


def before_and_after(
    pairs: Sequence[tuple[Decimal | float, Decimal | float]],
    *,
    alpha: float = 0.05,
    confidence: float = 0.95,
    step: Decimal | None = None,
    apart: float = 0.0,
) -> MeanChange | None:
    """Paired t test of (before, after) on the same pieces, in one unit; None below 2 pieces.

    t = mean change / (s / sqrt(n)), n - 1 degrees of freedom: NIST/SEMATECH e-Handbook 7.3.1.1.
    `step` is the display step: both readings are rounded to it, so s is not taken below
    step / sqrt(6). `apart` is the standard uncertainty of the difference between how the two were
    read, as in `setups`: 0 where one instrument read both, whose error then cancels.

    Raises ValueError for a reading that is no finite number, or an alpha or confidence outside
    0..1.
    """
    _check(alpha, confidence)
    before = exact_values(b for b, _ in pairs)
    after = exact_values(a for _, a in pairs)
    n = len(pairs)
    if n < 2:
        return None
    changes = [a - b for b, a in zip(before, after, strict=True)]
    mean = exact_mean(changes)
    s = math.sqrt(max(float(exact_variance(changes, mean)), 2 * _floor(step)))
    scatter = s * s / n
    error = math.sqrt(scatter + apart**2)
    dof = (n - 1) * (error * error / scatter) ** 2 if apart and scatter else float(n - 1)
    t, p = _t_and_p(float(mean), error, dof)
    half = t_quantile((1 + confidence) / 2, dof) * error
    return MeanChange(
        n=n,
        mean=float(mean),
        s=s,
        interval=Interval(float(mean) - half, float(mean) + half, confidence),
        t=t,
        p=p,
        found=p < alpha,
    )


def _t_and_p(difference: float, error: float, dof: float) -> tuple[float, float]:
    if error == 0:
        return (0.0, 1.0) if difference == 0 else (math.copysign(math.inf, difference), 0.0)
    t = difference / error
    return t, t_both_tails(t, dof)


def _floor(step: Decimal | None) -> float:
    """Variance of rounding to the display step."""
    return 0.0 if step is None else float(step) ** 2 / 12


def _check(alpha: float, confidence: float) -> None:
    if not 0 < alpha < 1 or not 0 < confidence < 1:
        raise ValueError(f"alpha {alpha} and confidence {confidence} must lie between 0 and 1")
