"""Kendall's trend test of a finished batch: exact, also where readings tie.

The robust twin of the sequential test: one look at the end, ranks only, so that one outlier
reading or a scatter that is not normal cannot make a trend.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise
from statistics import NormalDist, median


@dataclass(frozen=True, slots=True)
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
    tied: int
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
    counts = [1]
    for k in range(2, n + 1):
        counts = _times_run(counts, k)
    for size in ties:
        for k in range(2, size + 1):
            counts = _over_run(counts, k)
    pairs = len(counts) - 1
    return {pairs - 2 * inversions: count for inversions, count in enumerate(counts)}


def _times_run(counts: list[int], k: int) -> list[int]:
    """Multiply by 1 + q + ... + q^(k-1): a running sum of k terms."""
    product, window = [], 0
    for i in range(len(counts) + k - 1):
        window += counts[i] if i < len(counts) else 0
        window -= counts[i - k] if i >= k else 0
        product.append(window)
    return product


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
    exact = [Decimal(value) for value in values]
    pairs = [(i, j) for j in range(n) for i in range(j)]
    rising = sum(exact[j] > exact[i] for i, j in pairs)
    falling = sum(exact[j] < exact[i] for i, j in pairs)
    slopes = [float((exact[j] - exact[i]) / (order[j] - order[i])) for i, j in pairs]
    score = rising - falling
    ties = [size for size in Counter(exact).values() if size > 1]
    variance = (n * (n - 1) * (2 * n + 5) - sum(t * (t - 1) * (2 * t + 5) for t in ties)) / 18
    shifted = score - (score > 0) + (score < 0)
    z = shifted / math.sqrt(variance) if variance else 0.0
    counts = score_counts(n, ties)
    total = sum(counts.values())
    upper = sum(count for s, count in counts.items() if s >= score)
    lower = sum(count for s, count in counts.items() if s <= score)
    far = sum(count for s, count in counts.items() if abs(s) >= abs(score))
    return Kendall(
        n=n,
        rising=rising,
        falling=falling,
        tied=len(pairs) - rising - falling,
        score=score,
        variance=variance,
        z=z,
        p_upper=upper / total,
        p_lower=lower / total,
        p=far / total,
        slope=median(slopes),
    )


def normal_upper(z: float) -> float:
    """One-sided chance of a normal score as large as `z`, as the textbooks use it for large n."""
    return NormalDist().cdf(-z)


def critical_score(n: int, both_tails: float) -> int | None:
    """Smallest S that is significant at this two-sided level without ties; None if there is none.

    None for n below 5 at 5 %: four readings can never be significant.
    """
    counts = score_counts(n)
    total = sum(counts.values())
    tail, found = 0, None
    for s in sorted(counts, reverse=True):
        tail += counts[s]
        if s <= 0 or 2 * tail / total > both_tails:
            break
        found = s
    return found
