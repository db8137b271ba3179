"""Stacks: dimensions that add and subtract to an overall size, before cutting and after measuring.

All sizes, tolerances and uncertainties of one call are in one unit.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from decimal import Decimal

from qlog.drawing.decision import SIMPLE, DecisionRule
from qlog.drawing.limits import Limits
from qlog.frozen import frozen
from qlog.study.conformity.verdict import Judgement, judge
from qlog.study.fit.evenly import EvenlySpread, evenly_spread
from qlog.study.fit.joints import Sized, combined_dof, combined_sizes


@frozen
class Term:
    """One dimension of a stack: +1 when it adds, -1 when it subtracts, n when there n times."""

    name: str
    sign: int
    limits: Limits  # both limits needed

    @property
    def half(self) -> Decimal:
        """Half of the tolerance. Raises ValueError when a limit is absent."""
        if self.limits.width is None:
            raise ValueError(f"{self.name} has only one limit: a stack needs both")
        return self.limits.width / 2

    @property
    def middle(self) -> Decimal:
        """Middle of the tolerance. Raises ValueError when a limit is absent."""
        middle = self.limits.middle
        if middle is None:
            raise ValueError(f"{self.name} has only one limit: a stack needs both")
        return middle


@frozen
class Share:
    """What one dimension costs the stack."""

    name: str
    worst: Decimal  # its part of the worst case, plus or minus
    of_worst: float  # as a fraction of the worst case, 0 to 1


@frozen
class StackBudget:
    """What the tolerances allow the overall size to become, before anything is cut."""

    middle: Decimal
    worst: Decimal  # plus or minus about the middle, every dimension at its worst limit
    rss: Decimal  # plus or minus about the middle, root of the sum of squares
    shares: tuple[Share, ...]  # largest contributor first
    evenly: EvenlySpread | None  # None for very many sizes

    @property
    def worst_limits(self) -> tuple[Decimal, Decimal]:
        """Smallest and largest overall size that the drawing allows."""
        return self.middle - self.worst, self.middle + self.worst

    @property
    def rss_limits(self) -> tuple[Decimal, Decimal]:
        """Overall size within which nearly all assemblies come, by root-sum-square."""
        return self.middle - self.rss, self.middle + self.rss


@frozen
class PossibleAssembly:
    """One possible assembly: the pieces of each term, in the order of the terms."""

    pieces: tuple[Sized, ...]
    size: Decimal
    uncertainty: Decimal | None  # standard uncertainty of the size
    judgement: Judgement | None  # against the stack's limits; None without them


def budget(terms: Sequence[Term], limits: Limits | None = None) -> StackBudget:
    """What a stack can become by its tolerances: worst case, root-sum-square, even spread.

    Worst case: the half tolerances added up. Root-sum-square: their squares added up and the
    root taken; it holds when the dimensions vary independently, centred in their limits, and
    are spread alike for their tolerance. Both are the textbook sums (common practice). Even
    spread: every size within its limits as likely (`evenly`). A dimension that occurs n times
    stands for n separate pieces.

    Raises ValueError without terms, for a sign of 0 or a dimension with only one limit.
    """
    if not terms:
        raise ValueError("a stack needs at least one dimension")
    if any(term.sign == 0 for term in terms):
        raise ValueError("a term of a stack adds or subtracts: its sign cannot be 0")
    middle = sum((term.sign * term.middle for term in terms), Decimal(0))
    worst = sum((abs(term.sign) * term.half for term in terms), Decimal(0))
    variance = sum((abs(term.sign) * term.half * term.half for term in terms), Decimal(0))
    shares = [
        Share(
            term.name,
            abs(term.sign) * term.half,
            float(abs(term.sign) * term.half / worst) if worst else 0.0,
        )
        for term in terms
    ]
    shares.sort(key=lambda share: -share.worst)
    return StackBudget(
        middle=middle,
        worst=worst,
        rss=variance.sqrt(),
        shares=tuple(shares),
        evenly=evenly_spread(
            [term.half for term in terms for _ in range(abs(term.sign))],
            middle,
            None if limits is None else limits.lower,
            None if limits is None else limits.upper,
        ),
    )


def combinations(
    terms: Sequence[tuple[int, Sequence[Sized]]], times: Mapping[str, int] | None = None
) -> int:
    """How many assemblies are possible: the product of the ways to choose each part's pieces."""
    wanted = times or {}
    ways = [math.comb(len(n), wanted.get(part, 1)) for part, (_, n) in _by_part(terms).items()]
    return math.prod(ways) if terms else 0


@frozen
class Possible:
    """What the pieces at hand can become: the extremes, and how many assemblies are out."""

    smallest: PossibleAssembly
    largest: PossibleAssembly
    out: int


def possible(
    terms: Sequence[tuple[int, Sequence[Sized]]],
    limits: Limits | None = None,
    *,
    decision: DecisionRule = SIMPLE,
    times: Mapping[str, int] | None = None,
) -> Possible | None:
    """The smallest and the largest assembly, and how many of all are outside the limits.

    Each term is its sign and the live pieces with the size that counts. Two terms of one part
    stand for two dimensions of the same piece: they must list the same numbers, and are taken
    from one piece together. A part in `times` is there so many times, each time with another
    piece. Ten pieces of five parts make 100,000 assemblies, each of which is looked at:
    `combinations` tells beforehand. None where a term has too few pieces.

    Raises ValueError when two terms of one part list different pieces.
    """
    parts, wanted = _by_part(terms), times or {}
    if combinations(terms, times) == 0:
        return None
    by_number = [{piece.number: piece for piece in pieces} for _, pieces in terms]
    owners = [pieces[0].part for _, pieces in terms]
    adds = {
        part: {
            n: sum(
                (
                    sign * by_number[k][n].value
                    for k, (sign, _) in enumerate(terms)
                    if owners[k] == part
                ),
                Decimal(0),
            )
            for n in numbers
        }
        for part, (_, numbers) in parts.items()
    }

    def made(chosen: Mapping[str, Sequence[int]]) -> PossibleAssembly:
        return assembly(
            [(sign, by_number[k][n]) for k, (sign, _) in enumerate(terms)
             for n in chosen[owners[k]]],
            limits,
            decision=decision,
        )  # fmt: skip

    out = 0
    if limits is not None:
        every = [itertools.combinations(adds[part], wanted.get(part, 1)) for part in adds]
        for chosen in itertools.product(*every):
            sizes = [adds[part][n] for part, own in zip(adds, chosen, strict=True) for n in own]
            # A size inside the limits is never out, however it was read.
            if not limits.contains(sum(sizes, Decimal(0))):
                verdict = made(dict(zip(adds, chosen, strict=True)))
                out += verdict.judgement is not None and verdict.judgement.verdict.out
    ordered = {part: sorted(one, key=lambda n: one[n]) for part, one in adds.items()}
    return Possible(
        made({part: own[: wanted.get(part, 1)] for part, own in ordered.items()}),
        made({part: own[::-1][: wanted.get(part, 1)] for part, own in ordered.items()}),
        out,
    )


def assembly(
    terms: Sequence[tuple[int, Sized]],
    limits: Limits | None = None,
    *,
    decision: DecisionRule = SIMPLE,
) -> PossibleAssembly:
    """The overall size of one assembly, with its standard uncertainty and verdict.

    Size: the signed sum. Uncertainty: `joints.combined_sizes`; None as soon as one is not known.
    """
    size = sum((sign * piece.value for sign, piece in terms), Decimal(0))
    uncertainty = combined_sizes(terms)
    judgement = None
    if limits is not None:
        judgement = judge(
            size, limits, decision=decision, uncertainty=uncertainty, dof=combined_dof(terms)
        )
    return PossibleAssembly(tuple(piece for _, piece in terms), size, uncertainty, judgement)


def _by_part(terms: Sequence[tuple[int, Sequence[Sized]]]) -> Mapping[str, tuple[int, list[int]]]:
    """For each part, in order of first use: the numbers of its pieces."""
    parts: dict[str, tuple[int, list[int]]] = {}
    for place, (_, pieces) in enumerate(terms):
        part = pieces[0].part if pieces else f"(term {place + 1})"
        numbers = [piece.number for piece in pieces]
        if part not in parts:
            parts[part] = (place, numbers)
        elif sorted(parts[part][1]) != sorted(numbers):
            raise ValueError(f"two dimensions of {part} are read on different pieces")
    return parts
