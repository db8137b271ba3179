"""Kendall's trend test of a finished batch: exact, also where readings tie.

The robust twin of the sequential test: one look at the end, ranks only, so that one outlier
reading or a scatter that is not normal cannot make a trend.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from decimal import Context, Decimal
from functools import lru_cache
from itertools import accumulate, pairwise
from statistics import median

from qlog.frozen import frozen

#: Up to so many readings the chances are counted exactly; the work grows with n^3. Beyond, the
#: normal approximation with continuity and ties turns an exact 1.0 % into 1.04 %.
EXACT_UP_TO = 60
_WIDE = Context(prec=2000)  # a binary float written out has up to 1074 decimals


@frozen
class Kendall:
    """Mann-Kendall test of readings in the order of making.

    `score` is S = rising minus falling pairs; `variance` its variance under no trend with the
    correction for ties; `z` the normal score with continuity correction; `p_upper`, `p_lower`
    and `p` the exact chances of so large, so small, and so far an S either way. `slope` is the
    median of the slopes of all pairs (Sen 1968), in reading units per piece.
    """

    n: int
    rising: int
    falling: int
    score: int
    variance: float
    z: float
    p_upper: float
    p_lower: float
    p: float
    slope: float


def score_counts(n: int, ties: Sequence[int] = ()) -> dict[int, int]:
    """In how many orders of n readings each S occurs, when all orders are equally likely.

    `ties` holds the sizes of the groups of equal readings. The counts are those of inversions
    in the arrangements of a multiset: the coefficients of the Gaussian multinomial
    [n]! / product of [t]! with [k] = 1 + q + ... + q^(k-1) (MacMahon; Andrews, The Theory of
    Partitions, theorem 3.6). Without ties this is Kendall's own table.

    Raises ValueError when the groups hold more readings than there are.
    """
    if n < 0 or sum(ties) > n or any(size < 1 for size in ties):
        raise ValueError(f"groups of {list(ties)} equal readings do not fit into {n}")
    counts = _inversions(n, tuple(sorted(size for size in ties if size > 1)))
    pairs = len(counts) - 1
    return {pairs - 2 * inversions: count for inversions, count in enumerate(counts)}


@lru_cache(maxsize=256)
def _inversions(n: int, ties: tuple[int, ...]) -> tuple[int, ...]:
    """Counts of inversions; one batch after the other asks for the same n."""
    if ties:
        counts = list(_inversions(n, ()))
        for size in ties:
            for k in range(2, size + 1):
                counts = _over_run(counts, k)
        return tuple(counts)
    return tuple(_times_run(list(_inversions(n - 1, ())), n)) if n > 1 else (1,)


def _times_run(counts: list[int], k: int) -> list[int]:
    """Multiply by 1 + q + ... + q^(k-1): a running sum of k terms."""
    sums = list(accumulate(counts + [0] * (k - 1)))
    return sums[:k] + [later - earlier for later, earlier in zip(sums[k:], sums, strict=False)]


def _over_run(counts: list[int], k: int) -> list[int]:
    """Divide by 1 + q + ... + q^(k-1), which goes without remainder here."""
    quotient: list[int] = []
    window = 0  # sum of the last k - 1 terms found
    for i in range(len(counts) - k + 1):
        term = counts[i] - window
        quotient.append(term)
        window += term
        if i >= k - 1:
            window -= quotient[i - k + 1]
    return quotient


def _chances(score: int, n: int, ties: Sequence[int], variance: float) -> tuple[float, ...]:
    """Chances of an S so large, so small, and so far from 0 either way."""
    if n > EXACT_UP_TO:
        if not variance:
            return 1.0, 1.0, 1.0
        deviation = math.sqrt(2 * variance)
        upper = math.erfc((score - 1) / deviation) / 2
        lower = math.erfc((-score - 1) / deviation) / 2
        return upper, lower, min(math.erfc(max(abs(score) - 1, 0) / deviation), 1.0)
    counts = score_counts(n, ties)
    total = sum(counts.values())
    upper = sum(count for s, count in counts.items() if s >= score)
    lower = sum(count for s, count in counts.items() if s <= score)
    both = sum(count for s, count in counts.items() if abs(s) >= abs(score))
    return upper / total, lower / total, both / total


def kendall(order: Sequence[int], values: Sequence[float | Decimal]) -> Kendall:
    """Test a finished batch for a rising or falling trend.

    `order` holds the piece numbers in the order of making, `values` their readings as written:
    readings tie when they are equal, so display steps should not be blurred by arithmetic.
    Sources: Mann, Econometrica 13 (1945) 245-259; Kendall, Rank Correlation Methods, chapters 4
    and 5 (exact distribution, variance with ties); Sen, JASA 63 (1968) 1379-1389 (slope).

    Raises ValueError for fewer than two readings, lengths that differ, numbers that do not rise
    or a reading that is not finite.
    """
    n = len(values)
    if n != len(order):
        raise ValueError(f"{len(order)} piece numbers for {n} readings")
    if n < 2:
        raise ValueError("a trend needs at least two readings")
    if any(b <= a for a, b in pairwise(order)):
        raise ValueError(f"piece numbers must rise in the order of making: {list(order)}")
    if not all(math.isfinite(value) for value in values):
        raise ValueError("a reading is not a finite number; leave out a piece without a reading")
    exact, scale = _whole([Decimal(value) for value in values])
    rises = [later - before for j, later in enumerate(exact) for before in exact[:j]]
    reaches = [later - before for j, later in enumerate(order) for before in order[:j]]
    rising = sum(rise > 0 for rise in rises)
    falling = sum(rise < 0 for rise in rises)
    slopes = [rise / (scale * reach) for rise, reach in zip(rises, reaches, strict=True)]
    score = rising - falling
    ties = [size for size in Counter(exact).values() if size > 1]
    variance = (n * (n - 1) * (2 * n + 5) - sum(t * (t - 1) * (2 * t + 5) for t in ties)) / 18
    shifted = score - (score > 0) + (score < 0)
    z = shifted / math.sqrt(variance) if variance else 0.0
    p_upper, p_lower, p = _chances(score, n, ties, variance)
    return Kendall(
        n=n,
        rising=rising,
        falling=falling,
        score=score,
        variance=variance,
        z=z,
        p_upper=p_upper,
        p_lower=p_lower,
        p=p,
        slope=median(slopes),
    )


def _whole(values: Sequence[Decimal]) -> tuple[list[int], int]:
    """The values as whole numbers of one common decimal step, and how many steps make one."""
    finest = min(v.as_tuple().exponent for v in values)
    assert isinstance(finest, int)
    places = max(-finest, 0)
    scale: int = 10**places
    return [int(v.scaleb(places, _WIDE)) for v in values], scale
