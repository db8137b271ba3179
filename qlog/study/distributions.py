"""Tails of Student's t and of F without scipy, for what must answer between two keystrokes.

Importing scipy takes longer than a person waits after pressing Enter; the two tails that the
trend test needs come from one continued fraction.
"""

from __future__ import annotations

import math
from functools import lru_cache
from statistics import NormalDist

_NORMAL = NormalDist()
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
def t_critical(both_tails: float, df: float) -> float:
    """The t whose two tails together hold the chance `both_tails` (0 < chance < 1).

    Newton's method on the logarithms of t and of its tail, where the far tail is straight.
    """
    if not 0 < both_tails < 1:
        raise ValueError(f"a chance lies between 0 and 1, not {both_tails}")
    t = max(-_NORMAL.inv_cdf(both_tails / 2), 1e-3)
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
