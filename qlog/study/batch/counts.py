"""Counts, not percentages: what good and bad pieces, or a sample, prove; the chance of enough."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from math import comb, expm1, fsum, log

from qlog.frozen import frozen
from qlog.study.batch.intervals import Interval
from qlog.study.distributions import beta_quantile


@frozen
class Counted:
    """A pass-or-fail dimension of a batch; fractions 0 to 1."""

    n: int
    failing: Interval  # two-sided interval for the fraction that fails
    failing_at_most: float  # one-sided upper bound for it, same confidence


def count(passed: int, failed: int, confidence: float = 0.95) -> Counted:
    """What a go/no-go check of a batch proves about the fraction that fails.

    Exact binomial interval and bound, see `binomial_interval` and `at_most`. Raises ValueError
    for negative counts, no piece at all, or a confidence outside 0..1.
    """
    n = passed + failed
    return Counted(
        n=n,
        failing=binomial_interval(failed, n, confidence),
        failing_at_most=at_most(failed, n, confidence),
    )


def binomial_interval(found: int, n: int, confidence: float = 0.95) -> Interval:
    """Exact two-sided interval for a fraction, 0 to 1, of which `found` in `n` were seen.

    Clopper and Pearson 1934 (Biometrika 26, 404): beta quantiles with equal tails. Raises
    ValueError unless 0 <= found <= n, n >= 1 and 0 < confidence < 1.
    """
    _check(found, n, confidence)
    tail = (1 - confidence) / 2
    low = 0.0 if found == 0 else beta_quantile(tail, found, n - found + 1)
    high = 1.0 if found == n else beta_quantile(1 - tail, found + 1, n - found)
    return Interval(low, high, confidence)


def at_most(found: float, n: int, confidence: float = 0.95) -> float:
    """Exact one-sided upper bound for a fraction, 0 to 1: none bad of 8 still allows 0.312.

    Clopper and Pearson 1934, one tail; for found = 0 it is 1 - (1 - confidence)^(1/n). A piece
    that may be bad counts by its chance: for a `found` between two counts the bound lies between
    theirs, by the same beta quantile (our own way). Raises ValueError as `binomial_interval`.
    """
    _check(found, n, confidence)
    if found == n:
        return 1.0
    if found == 0:
        return -expm1(log(1 - confidence) / n)
    return beta_quantile(confidence, found + 1, n - found)


def chance_from_here(needed: int, operations_left: Sequence[int], loss: float) -> float:
    """Chance, 0 to 1, that at least `needed` pieces live through what each still has before it.

    `operations_left` has one count for every live piece; every operation loses a piece with
    probability `loss`, independently (Poisson's binomial distribution, summed exactly). Raises
    ValueError for negative counts or a loss outside 0..1.
    """
    return Outlook(needed, operations_left, loss).chance


class Outlook:
    """Whether `needed` live pieces will be good in the end, one after the other taken into account.

    Poisson's binomial distribution, exactly, of fewer than `needed` good pieces. Raises ValueError
    for negative counts or a loss outside 0..1.
    """

    def __init__(self, needed: int, operations_left: Sequence[int], loss: float) -> None:
        if needed < 0:
            raise ValueError("pieces and operations are counted from 0")
        if not 0 <= loss <= 1:
            raise ValueError(f"a loss lies between 0 and 1, not {loss}")
        self._needed = needed
        self._loss = loss
        self._fewer = [1.0][:needed]  # chances of 0, 1, 2 ... good ones among those so far
        self._enough = [0.0] if needed else [1.0]  # chances that add up to that of enough
        for left in operations_left:
            self.add(left)

    def add(self, left: int) -> None:
        """One live piece more, with so many operations before it."""
        if left < 0:
            raise ValueError("pieces and operations are counted from 0")
        good = (1 - self._loss) ** left
        lost, before = 1 - good, 0.0
        fewer = []
        for chance in self._fewer:
            fewer.append(chance * lost + before * good)
            before = chance
        if len(fewer) < self._needed:
            fewer.append(before * good)
        elif self._needed:
            self._enough.append(before * good)
        self._fewer = fewer

    @property
    def chance(self) -> float:
        """Chance, 0 to 1, that at least `needed` of them are good."""
        return fsum(self._enough)


def _check(found: float, n: int, confidence: float) -> None:
    if n < 1 or not 0 <= found <= n:
        raise ValueError(f"{found} of {n} is no count")
    if not 0 < confidence < 1:
        raise ValueError(f"a confidence lies between 0 and 1, not {confidence}")


@frozen
class Sampled:
    """A batch of which some pieces were read. `bad_at_most` counts bad ones in the whole batch."""

    pieces: int
    read: int
    bad: int
    bad_at_most: int
    confidence: float


def sampled(pieces: int, read: int, bad: int, confidence: float = 0.95) -> Sampled:
    """The largest number of bad pieces in a batch that the pieces read do not contradict.

    Exact one-sided bound by the hypergeometric distribution: the largest D for which finding at
    most `bad` among `read` of `pieces` still has a chance above 1 - confidence, in exact integer
    arithmetic. It holds where the pieces read are like the others: taken at random, or every
    third of a process that has no rhythm of three. For a large batch it becomes the binomial
    bound of Clopper and Pearson 1934 (`counts.at_most`). Raises ValueError for counts that no
    batch has.
    """
    if not 0 <= bad <= read <= pieces or read < 1:
        raise ValueError(f"{bad} bad of {read} read of {pieces} is no sample")
    if not 0 < confidence < 1:
        raise ValueError(f"a confidence lies between 0 and 1, not {confidence}")
    risk = 1 - Fraction(str(confidence))
    ways = comb(pieces, read)
    most = bad
    for total in range(bad, pieces - (read - bad) + 1):
        chance = sum(
            comb(total, found) * comb(pieces - total, read - found) for found in range(bad + 1)
        )
        if Fraction(chance, ways) > risk:
            most = total
    return Sampled(pieces, read, bad, most, confidence)
