"""Tails and quantiles of t, F, chi-square and beta without scipy, for what must answer at once.

Importing scipy takes longer than a person waits after pressing Enter, and several times longer
than all the rest of a command; what small batches need comes from two continued fractions.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import lru_cache

_ROOT_HALF = math.sqrt(0.5)
_ROOT_TWO_PI = math.sqrt(2 * math.pi)
_TINY = 1e-300
_CLOSE = 1e-15
_MOST_TERMS = 10_000


def incomplete_beta(a: float, b: float, x: float) -> float:
    """Regularised incomplete beta function I_x(a, b), for a, b > 0 and 0 <= x <= 1.

    Source: NIST Digital Library of Mathematical Functions, 8.17.22 (continued fraction) and
    8.17.4 (reflection), evaluated by the modified Lentz method. Raises ValueError outside the
    stated ranges.
    """
    if not (a > 0 and b > 0 and 0 <= x <= 1):
        raise ValueError(f"incomplete beta needs a, b > 0 and 0 <= x <= 1, not {a}, {b}, {x}")
    if x in (0, 1):
        return float(x)
    if x > (a + 1) / (a + b + 2):  # the fraction converges fast on the other side only
        return 1.0 - incomplete_beta(b, a, 1 - x)
    log_front = (
        math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) + a * math.log(x) + b * math.log1p(-x)
    )
    d = 1.0 - (a + b) * x / (a + 1)
    d = 1 / (d if abs(d) > _TINY else _TINY)
    c = 1.0
    value = d
    for m in range(1, _MOST_TERMS):
        for term in (
            m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m)),
            -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1)),
        ):
            d = 1.0 + term * d
            d = 1 / (d if abs(d) > _TINY else _TINY)
            c = 1.0 + term / c
            c = c if abs(c) > _TINY else _TINY
            step = c * d
            value *= step
        if abs(step - 1) < _CLOSE:
            break
    return math.exp(log_front) * value / a


def t_both_tails(t: float, df: float) -> float:
    """Chance that a Student t variate of `df` degrees of freedom is as far from 0 as `t`."""
    if math.isinf(t):
        return 0.0
    square = t * t
    if square > df:
        return incomplete_beta(df / 2, 0.5, df / (df + square))
    # Near the centre the other end is the one without cancellation.
    return 1.0 - incomplete_beta(0.5, df / 2, square / (df + square))


def t_below(t: float, df: float) -> float:
    """Cumulative distribution function of Student's t."""
    half = t_both_tails(t, df) / 2
    return half if t < 0 else 1.0 - half


@lru_cache(maxsize=4096)
def normal_score(upper_tail: float) -> float:
    """The normal score that a standard normal variate exceeds with that chance (0 < chance < 1).

    Source: Abramowitz and Stegun 26.2.23 as the start, then Halley's method on the tail. The
    standard library's own takes too long to import at the bench.
    """
    if not 0 < upper_tail < 1:
        raise ValueError(f"a chance lies between 0 and 1, not {upper_tail}")
    if upper_tail > 0.5:
        return -normal_score(1 - upper_tail)
    t = math.sqrt(-2 * math.log(upper_tail))
    x = t - (2.515517 + t * (0.802853 + t * 0.010328)) / (
        1 + t * (1.432788 + t * (0.189269 + t * 0.001308))
    )
    for _ in range(2):
        over = (math.erfc(x * _ROOT_HALF) / 2 - upper_tail) * math.exp(x * x / 2) * _ROOT_TWO_PI
        x += over / (1 + x * over / 2)
    return x


@lru_cache(maxsize=4096)
def t_critical(both_tails: float, df: float) -> float:
    """The t whose two tails together hold the chance `both_tails` (0 < chance < 1).

    Newton's method on the logarithms of t and of its tail, where the far tail is straight.
    """
    if not 0 < both_tails < 1:
        raise ValueError(f"a chance lies between 0 and 1, not {both_tails}")
    t = max(normal_score(both_tails / 2), 1e-3)
    wanted = math.log(both_tails)
    front = math.exp(math.lgamma((df + 1) / 2) - math.lgamma(df / 2)) / math.sqrt(df * math.pi)
    for _ in range(100):
        tail = t_both_tails(t, df)
        density = front * (1 + t * t / df) ** (-(df + 1) / 2)
        step = (math.log(tail) - wanted) * tail / (2 * t * density)
        t *= math.exp(max(min(step, 3.0), -3.0))
        if abs(step) < 1e-8:  # what is left is its square
            break
    return t


def f_above(ratio: float, df_top: float, df_bottom: float) -> float:
    """Chance that an F variate exceeds `ratio`."""
    if ratio <= 0:
        return 1.0
    return incomplete_beta(df_bottom / 2, df_top / 2, df_bottom / (df_bottom + df_top * ratio))


def incomplete_gamma(a: float, x: float) -> float:
    """Regularised lower incomplete gamma function P(a, x), for a > 0 and x >= 0.

    Source: NIST Digital Library of Mathematical Functions, 8.11.4 (series, x < a + 1) and 8.9.2
    (continued fraction of the upper function, by the modified Lentz method). Raises ValueError
    outside the stated ranges.
    """
    if not (a > 0 and x >= 0):
        raise ValueError(f"incomplete gamma needs a > 0 and x >= 0, not {a}, {x}")
    if x == 0:
        return 0.0
    front = math.exp(a * math.log(x) - x - math.lgamma(a))
    if x < a + 1:
        term = value = 1 / a
        for k in range(1, _MOST_TERMS):
            term *= x / (a + k)
            value += term
            if term < value * _CLOSE:
                break
        return front * value
    b = x + 1 - a
    c, d = 1 / _TINY, 1 / b
    value = d
    for k in range(1, _MOST_TERMS):
        b += 2
        d = 1 / (b - k * (k - a) * d)
        c = b - k * (k - a) / c
        value *= c * d
        if abs(c * d - 1) < _CLOSE:
            break
    return 1.0 - front * value


def chi_square_quantile(below: float, df: float) -> float:
    """The value below which a chi-square variate of `df` degrees of freedom lies with that chance.

    Raises ValueError for a chance outside 0..1.
    """
    if not 0 < below < 1:
        raise ValueError(f"a chance lies between 0 and 1, not {below}")
    return _root(lambda x: incomplete_gamma(df / 2, x / 2) - below, df)


def beta_quantile(below: float, a: float, b: float) -> float:
    """The fraction below which a beta variate of `a` and `b` lies with that chance.

    Raises ValueError for a chance outside 0..1.
    """
    if not 0 < below < 1:
        raise ValueError(f"a chance lies between 0 and 1, not {below}")
    return _root(lambda x: incomplete_beta(a, b, x) - below, 1.0)


def _root(rising: Callable[[float], float], high: float) -> float:
    """Where a rising function of values from 0 up crosses zero; `high` is a first guess above."""
    low = 0.0
    while rising(high) < 0:
        low, high = high, 2 * high
    while high - low > 1e-13 * high:
        middle = (low + high) / 2
        if middle in (low, high):
            break
        if rising(middle) < 0:
            low = middle
        else:
            high = middle
    return (low + high) / 2
