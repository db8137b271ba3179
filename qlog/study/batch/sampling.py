"""Sampling: what the pieces that were read prove about those that were not."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import comb


@dataclass(frozen=True, slots=True)
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
