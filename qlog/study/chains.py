"""Chains: pick one piece for every place of every item, exactly, so that fits and sizes are best.

The arithmetic core of the matching, on whole numbers and piece indices only; `matching` puts
names, limits and verdicts to it.

How it works. A *chain* is one possible choice of pieces for one item. (1) The least total cost of
the joints comes from a small flow-like integer programme over pairs of pieces; its reduced costs
tell which pairs can occur in a cheapest set at all, and only chains made of those are listed.
(2) "Smallest spread of a size" is turned into yes-or-no questions: can all items be made from
chains whose size lies in a window of width w? For a stretch of window positions that is a set
packing problem over the few chains inside, which HiGHS settles in milliseconds; stretches are
halved until each is answered. Bisecting over w closes in from both sides, so that a lower bound
is at hand at any time. Maximum-minus-minimum as an objective over item-piece variables would
have a useless relaxation and a factorial symmetry of items; chains in windows have neither.
"""

from __future__ import annotations

import contextlib
import heapq
import itertools
import math
import os
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from scipy.sparse import csr_array

    Ints = NDArray[np.int64]

#: Most chains listed; beyond it a fixed random choice of them is searched, and no bound claimed.
MOST_CHAINS = 3_000_000
#: Chains searched first when there are many more.
QUICK = 120_000
#: Chains handed to the integer solver at once when a stretch holds more.
SAMPLE = 1_500
#: Most chains in a stretch that the integer solver is given in full, to refute it.
REFUTABLE = 12_000
#: Chains that one round of pricing adds.
ROUND = 200
#: Quick attempts to find a choice before the integer solver is asked.
DIVES = 60
#: Branch-and-bound nodes, and seconds, that the solver may spend on one question.
NODES = 4_000
SECONDS = 4.0

_NEVER = 1 << 60  # size of a chain to which a criterion does not apply


@dataclass(frozen=True, slots=True)
class Edge:
    """A joint between two places of an item: cost[i][j] for piece i in `a` and piece j in `b`."""

    a: int
    b: int
    cost: Ints


@dataclass(frozen=True, slots=True)
class ItemClass:
    """Items that are alike: how many, and for each of their places the pieces allowed in it.

    `parts` names for each place the part, so that two places of one part can be told.
    """

    count: int
    parts: tuple[int, ...]
    allowed: tuple[tuple[int, ...], ...]
    edges: tuple[Edge, ...]


@dataclass(frozen=True, slots=True)
class Criterion:
    """A size whose spread among all items is to be small.

    For each class: its terms (place, sign, size of every piece), or None when the size does not
    occur there. `total`: the terms add up; otherwise each is a size of its own. `constant` is
    a size already known for the class, which the terms then do not change.
    """

    terms: tuple[tuple[tuple[int, int, Ints], ...] | None, ...]
    total: bool
    constant: tuple[int | None, ...]
    within: tuple[int | None, int | None] = (None, None)  # limits that chains should keep


@dataclass(frozen=True, slots=True)
class Problem:
    """Everything that the choice depends on, for `pieces` pieces numbered from 0."""

    pieces: int
    classes: tuple[ItemClass, ...]
    criteria: tuple[Criterion, ...]
    together: tuple[tuple[int, ...], ...] = ()
    apart: tuple[tuple[int, ...], ...] = ()


@dataclass(frozen=True, slots=True)
class Spread:
    """Spread reached for one criterion, and the least that any choice could reach."""

    reached: int
    bound: int

    @property
    def proven(self) -> bool:
        """Whether nothing smaller is possible."""
        return self.bound >= self.reached


@dataclass(frozen=True, slots=True)
class Choice:
    """Chosen chains for each class, each a piece for every place."""

    chains: tuple[tuple[tuple[int, ...], ...], ...]
    cost: int
    cost_bound: int
    kept_within: bool  # whether chains that leave the criteria's limits were barred
    spreads: tuple[Spread, ...]


class NoChoice(ValueError):
    """The items cannot all be filled with the pieces and bans given."""


class _Chains:
    """All chains that may be needed, as arrays."""

    def __init__(
        self,
        problem: Problem,
        table: Ints,
        kind: Ints,
        cost: Ints,
        price: NDArray[np.float64],
    ) -> None:
        self.problem = problem
        self.table = table  # pieces of every chain, filled up with the number of pieces
        self.kind = kind  # class of every chain
        self.cost = cost
        self.price = price  # reduced cost: what it makes a choice dearer than the relaxation
        self.low: list[Ints] = []
        self.high: list[Ints] = []
        for criterion in problem.criteria:
            low, high = _sizes(criterion, kind, table)
            self.low.append(low)
            self.high.append(high)

    def __len__(self) -> int:
        return len(self.kind)

    def keep(self, mask: NDArray[np.bool_]) -> _Chains:
        """The chains of the mask only."""
        return _Chains(
            self.problem, self.table[mask], self.kind[mask], self.cost[mask], self.price[mask]
        )

    def chain(self, index: int) -> tuple[int, ...]:
        """The pieces of one chain."""
        return tuple(int(p) for p in self.table[index] if p < self.problem.pieces)


def choose(
    problem: Problem,
    *,
    deadline: float,
    gap: float = 0.0,
    grain: int = 0,
    clock: Callable[[], float] = time.monotonic,
) -> Choice:
    """The best choice: least cost, then chains within limits, then one spread after the other.

    Stops at `deadline` (on `clock`) with the best found and its bounds; a spread is also good
    enough once it is within the fraction `gap`, or within `grain`, of its bound. The same
    problem gives the same choice unless the deadline cuts in.

    Raises NoChoice when the items cannot be filled.
    """
    import numpy as np

    search, best, bound = _cheapest(problem, deadline, clock)
    chains = search.chains
    kept = True
    inside = np.ones(len(chains), dtype=bool)
    for k, criterion in enumerate(problem.criteria):
        low, high = criterion.within
        if low is not None:
            inside &= chains.low[k] >= low
        if high is not None:
            inside &= chains.high[k] <= high
    if not inside.all():
        narrower = search.among(chains.keep(inside))
        found = (
            (np.cumsum(inside) - 1)[best]
            if inside[best].all()
            else narrower.any(np.arange(len(narrower.chains)))[0]
        )
        kept = found is not None
        if found is not None:
            search, best = narrower, found
            chains = narrower.chains

    widths: list[int] = []
    spreads: list[Spread] = []
    for k in range(len(problem.criteria)):
        if len(chains) > 2 * QUICK:
            # A few of the chains nearly always hold a choice as good as all of them do.
            few = np.union1d(_sample(np.arange(len(chains)), QUICK), best)
            mask = np.zeros(len(chains), dtype=bool)
            mask[few] = True
            quick = search.among(chains.keep(mask))
            quick.complete = False
            quick.deadline = (clock() + deadline) / 2
            best = few[quick.narrow(k, widths, np.searchsorted(few, best), gap, grain)[0]]
        best, reached, low_bound = search.narrow(k, widths, best, gap, grain)
        widths.append(reached)
        spreads.append(Spread(reached, low_bound))
    picked: list[list[tuple[int, ...]]] = [[] for _ in problem.classes]
    for index in best:
        picked[int(chains.kind[index])].append(chains.chain(int(index)))
    return Choice(
        tuple(tuple(sorted(one)) for one in picked),
        int(chains.cost[best].sum()),
        bound,
        kept,
        tuple(spreads),
    )


def _cheapest(
    problem: Problem, deadline: float, clock: Callable[[], float]
) -> tuple[_Search, Ints, int]:
    """A search over the chains of all cheapest choices, one of these, and a bound on the cost."""
    import numpy as np

    costs = _least_cost(problem)
    chains, complete = _list_chains(problem, costs.reduced, costs.least - costs.relaxed)
    search = _Search(chains, costs.least, complete, costs.must, deadline, clock)
    first = _as_indices(problem, chains, costs.chains, costs.least)
    if first is not None:
        return search, first, costs.least
    # Rings, pins and bans, which the pairs do not see, make it dearer than their bound, or at
    # least another choice: all chains then, and one possible cost after the other.
    chains, complete = _list_chains(problem, costs.reduced, math.inf)
    everything = np.arange(len(chains))
    dearest = int(chains.cost.sum()) + 1
    search = _Search(chains, dearest, complete, np.zeros_like(costs.must), deadline, clock)
    first, settled = search.any(everything)
    if first is None:
        raise NoChoice(
            "pieces kept together or apart leave no way to fill all items"
            if settled
            else "no way to fill all items was found in the time; lift a pin or a ban"
        )
    cost = int(chains.cost[first].sum())
    bound, refuted = costs.least, True
    for total in _totals(problem):
        if not costs.least <= total < cost:
            continue
        search.least = total
        found, settled = search.any(everything)
        if found is not None:
            first, cost = found, int(chains.cost[found].sum())
            break
        refuted &= settled
        if refuted:
            bound = total + 1
        if clock() > deadline:
            break
    else:
        bound = cost if refuted else bound
    keep = chains.price <= cost - costs.relaxed + 1e-6
    keep[first] = True
    narrower = _Search(chains.keep(keep), cost, complete, search.must, deadline, clock)
    return narrower, (np.cumsum(keep) - 1)[first], cost if refuted and clock() < deadline else bound


def _totals(problem: Problem) -> list[int]:
    """All costs that a choice can have, rising: sums of the costs that its pairs can have."""
    import numpy as np

    totals = {0}
    for one in problem.classes:
        for edge in one.edges:
            values = [int(v) for v in np.unique(edge.cost)]
            for _ in range(one.count):
                totals = {total + value for total in totals for value in values}
    return sorted(totals)


class _Search:
    """Yes-or-no questions over one list of chains."""

    def __init__(
        self,
        chains: _Chains,
        least: int,
        complete: bool,
        must: NDArray[np.bool_],
        deadline: float,
        clock: Callable[[], float],
    ) -> None:
        self.chains = chains
        self.least = least
        self.complete = complete
        self.deadline = deadline
        self.clock = clock
        self.must = must

    def among(self, chains: _Chains) -> _Search:
        """The same search over other chains."""
        return _Search(chains, self.least, self.complete, self.must, self.deadline, self.clock)

    def any(self, inside: Ints) -> tuple[Ints | None, bool]:
        """Any choice within the least cost, and whether a missing one is certain."""
        found, settled = self._settle(inside)
        return found, found is not None or (settled and self.complete)

    def narrow(
        self, k: int, widths: Sequence[int], best: Ints, gap: float, grain: int
    ) -> tuple[Ints, int, int]:
        """Make the spread of criterion k small while earlier ones keep their widths.

        Returns the choice, its spread and the bound on it.
        """
        reached = self.spread(k, best)
        lattice = _lattice(self.chains.low[k], self.chains.high[k])
        bound = 0
        tried = self._dense_width(k)
        stuck = -lattice  # widest width that could not be settled
        while bound < reached and self.clock() < self.deadline:
            if reached - bound <= max(gap * reached, grain):
                break
            floor = max(bound, stuck + lattice)
            if floor >= reached:
                break
            aim = (floor + reached - lattice) // 2
            if 0 <= tried < aim:
                aim = tried
            aim = max(aim // lattice * lattice, floor)
            found, settled = self._decide(k, [*widths, aim], best)
            if found is not None and self.spread(k, found) < reached:
                best, reached = found, self.spread(k, found)
                tried = -1 if reached <= aim else tried
            elif settled:
                bound = aim + lattice
            else:
                stuck = aim
            if found is None:
                tried = tried * 2 if tried > 0 else -1
        return best, reached, min(bound, reached)

    def spread(self, k: int, choice: Ints) -> int:
        """Largest minus smallest size of criterion k in a choice."""
        low, high = self.chains.low[k][choice], self.chains.high[k][choice]
        applies = low < _NEVER
        return int(high[applies].max() - low[applies].min()) if applies.any() else 0

    def _dense_width(self, k: int) -> int:
        """Width at which the fullest window holds about `SAMPLE` chains: where to look first."""
        import numpy as np

        low = self.chains.low[k]
        low = np.sort(low[low < _NEVER])
        if len(low) <= SAMPLE:
            return -1
        return int((low[SAMPLE:] - low[:-SAMPLE]).min())

    def _decide(self, k: int, widths: Sequence[int], best: Ints) -> tuple[Ints | None, bool]:
        """Whether a choice exists with criteria 0..k within `widths`; and whether that is certain.

        Best-filled stretches of window positions first; a stretch that can neither be refuted nor
        yields a choice is halved, down to single positions. A choice met on the way that is
        clearly better than `best`, if not within `widths`, is returned at once as well.
        """
        import numpy as np

        better = best
        clearly = self.spread(k, best) * 3 // 4
        lows = self.chains.low[: k + 1]
        starts = [np.unique(low[low < _NEVER]) for low in lows]
        if any(len(one) == 0 for one in starts):
            return None, True
        settled = self.complete
        order = itertools.count()
        queue: list[tuple[int, int, tuple[tuple[int, int], ...], Ints]] = []

        def push(box: tuple[tuple[int, int], ...], among: Ints) -> None:
            mask = np.ones(len(among), dtype=bool)
            for j, (a, b) in enumerate(box):
                top = int(starts[j][b]) + widths[j]
                mask &= self.chains.low[j][among] >= starts[j][a]
                mask &= self.chains.high[j][among] <= top
            inside = among[mask]
            if self._enough(inside):
                heapq.heappush(queue, (-len(inside), next(order), box, inside))

        push(tuple((0, len(one) - 1) for one in starts), np.arange(len(self.chains)))
        while queue:
            if self.clock() > self.deadline:
                return (None if better is best else better), False
            _, _, box, inside = heapq.heappop(queue)
            stretch = [int(starts[j][b] - starts[j][a]) for j, (a, b) in enumerate(box)]
            # Wider than its own window, a stretch is hardly ever refuted: halve it at once.
            wide = [j for j in range(k + 1) if stretch[j] > widths[j]]
            if not wide or len(inside) <= SAMPLE // 4:
                found, sure = self._settle(inside)
                if found is not None:
                    if all(self.spread(j, found) <= widths[j] for j in range(k)):
                        size = self.spread(k, found)
                        if size <= max(widths[k], clearly):
                            return found, True
                        if size < self.spread(k, better):
                            better = found
                elif sure:
                    continue
                elif not any(stretch):
                    settled = False
                    continue
            if not any(stretch):
                settled = False
                continue
            j = max(range(k + 1), key=lambda j: stretch[j] / (widths[j] + 1))
            a, b = box[j]
            middle = int(starts[j][a]) + stretch[j] // 2
            cut = int(np.searchsorted(starts[j], middle, side="right")) - 1
            cut = min(max(cut, a), b - 1)
            for part in ((a, cut), (cut + 1, b)):
                push((*box[:j], part, *box[j + 1 :]), inside)
        return (None if better is best else better), settled

    def _enough(self, inside: Ints) -> bool:
        """Whether every place of every class has as many different pieces left as it has items."""
        import numpy as np

        if len(inside) == 0:
            return False
        kinds = self.chains.kind[inside]
        classes = self.chains.problem.classes
        for k, one in enumerate(classes):
            rows = self.chains.table[inside if len(classes) == 1 else inside[kinds == k]]
            if len(rows) < one.count:
                return False
            for place in range(len(one.parts)):
                if np.count_nonzero(np.bincount(rows[:, place])) < one.count:
                    return False
        return True

    def _settle(self, inside: Ints) -> tuple[Ints | None, bool]:
        """A choice from the chains given; and whether a missing one is certain.

        The relaxation may refute them all at once. Otherwise quick dives look for a choice, then
        the integer solver among the chains that matter, and at last among all.
        """
        if not self._enough(inside):
            return None, True
        pool = self._relax(inside)
        if pool is None:
            return None, True
        found = self._dive(inside)
        if found is not None:
            return found, True
        if len(inside) <= SAMPLE:
            return self._solve(inside)
        found, _ = self._solve(pool)
        if found is None and len(inside) <= REFUTABLE:
            return self._solve(inside)
        return found, found is not None

    def _dive(self, inside: Ints) -> Ints | None:
        """A choice by taking one chain after the other, the scarcest piece first; None if unlucky.

        The chain taken for a piece is the one that uses up scarce pieces, with a little chance
        in it, so that another dive goes another way.
        """
        import numpy as np

        problem, table = self.chains.problem, self.chains.table
        random = np.random.Generator(np.random.PCG64(len(inside)))
        everything, needed = inside, self.must
        for attempt in range(DIVES):
            if self.clock() > self.deadline:
                return None
            if attempt % 8 == 4:
                chosen = self._pick(everything, random)
                if chosen is None:
                    return None
                inside = everything[np.append(chosen, True)[table[everything]].all(axis=1)]
                needed = chosen
            left = [one.count for one in problem.classes]
            must = needed.copy()
            rest, picked, budget = inside, [], self.least
            while any(left):
                rows = table[rest]
                counts = np.bincount(rows.ravel(), minlength=problem.pieces + 1)[:-1]
                useful = must if must.any() else counts > 0
                scarce = np.where(useful, counts, len(inside) + 1)
                piece = int(scarce.argmin())
                options = np.flatnonzero((rows == piece).any(axis=1))
                if len(options) == 0:
                    break
                weight = np.append(np.log(counts + 1.0), 0.0)[rows[options]].sum(axis=1)
                weight += random.gumbel(0.0, 0.5, len(options))
                index = int(rest[options[weight.argmin()]])
                picked.append(index)
                taken = table[index][table[index] < problem.pieces]
                must[taken] = False
                budget -= int(self.chains.cost[index])
                left[self.chains.kind[index]] -= 1
                free = np.ones(problem.pieces + 1, dtype=bool)
                free[taken] = False
                keep = free[rows].all(axis=1) & (self.chains.cost[rest] <= budget)
                if left[self.chains.kind[index]] == 0:
                    keep &= self.chains.kind[rest] != self.chains.kind[index]
                rest = rest[keep]
                if len(rest) < sum(left) or budget < 0:
                    break
            if not any(left) and budget >= 0:
                return np.sort(np.array(picked, dtype=np.int64))
        return None

    def _pick(self, inside: Ints, random: np.random.Generator) -> NDArray[np.bool_] | None:
        """Pieces to use, the others staying spare, such that the sizes can come out on average.

        A chance choice among those for which the pieces of each class add up to as many chain
        sizes as it has items. None when there is none.
        """
        import numpy as np
        from scipy.optimize import LinearConstraint
        from scipy.sparse import csr_array

        problem = self.chains.problem
        use = [
            (k, place, piece)
            for k, one in enumerate(problem.classes)
            for place, allowed in enumerate(one.allowed)
            for piece in allowed
        ]
        entries: list[tuple[int, int, float]] = [
            (piece, c, 1.0) for c, (_, _, piece) in enumerate(use)
        ]
        lower, upper = [0.0] * problem.pieces, [1.0] * problem.pieces
        for k, one in enumerate(problem.classes):
            here = inside[self.chains.kind[inside] == k]
            for place in range(len(one.parts)):
                entries += [(len(upper), c, 1.0) for c, u in enumerate(use) if u[:2] == (k, place)]
                lower.append(float(one.count))
                upper.append(float(one.count))
            for j, criterion in enumerate(problem.criteria):
                terms = criterion.terms[k]
                if terms is None or not criterion.total or criterion.constant[k] is not None:
                    continue
                size: dict[tuple[int, int, int], float] = {}
                for place, sign, values in terms:
                    for piece in one.allowed[place]:
                        size[k, place, piece] = size.get((k, place, piece), 0.0) + sign * float(
                            values[piece]
                        )
                entries += [(len(upper), c, size[u]) for c, u in enumerate(use) if u in size]
                lower.append(float(one.count * self.chains.low[j][here].min()))
                upper.append(float(one.count * self.chains.high[j][here].max()))
        rows, columns, data = zip(*entries, strict=True)
        result = _integer(
            random.random(len(use)),
            constraints=LinearConstraint(
                csr_array((data, (rows, columns)), shape=(len(upper), len(use))), lower, upper
            ),
            options={"node_limit": 200, "time_limit": 1.0, "mip_rel_gap": 0.5},
        )
        if result.x is None:
            return None
        chosen = np.zeros(problem.pieces, dtype=bool)
        chosen[[piece for (_, _, piece), x in zip(use, result.x, strict=True) if x > 0.5]] = True
        return chosen

    def _relax(self, inside: Ints) -> Ints | None:
        """Column generation: pack as many chains as possible, fractions allowed.

        Returns the chains that matter, or None when even fractions cannot fill all items.
        Gilmore and Gomory (1961); here the chains are listed, so that pricing is one product.
        """
        import numpy as np

        problem = self.chains.problem
        items = sum(one.count for one in problem.classes)
        pool = self._covering(inside)
        while True:
            matrix, upper = self._rows(pool)
            result = _linear(-np.ones(len(pool)), A_ub=matrix, b_ub=upper)
            if result.x is None or self.clock() > self.deadline:
                return pool  # not settled: let the integer solver say
            dual = np.asarray(result.ineqlin.marginals)
            price = -1.0 - self._priced(inside, dual)
            short = -float(result.fun) < items - 1e-6
            wanted = np.flatnonzero(price < -1e-9)
            if not short or len(wanted) == 0:
                break
            if len(wanted) > ROUND:
                wanted = wanted[np.argsort(price[wanted], kind="stable")[:ROUND]]
            pool = np.union1d(pool, inside[wanted])
        if short:
            return None
        if len(pool) < SAMPLE:
            free = inside[price < 1e-9]
            pool = np.union1d(pool, _sample(free, SAMPLE - len(pool)))
        return pool

    def _covering(self, inside: Ints) -> Ints:
        """A first pool of chains in which every piece occurs a few times, if it occurs at all."""
        import numpy as np

        shuffled = np.random.Generator(np.random.PCG64(len(inside))).permutation(inside)
        picked = []
        for place in range(self.chains.table.shape[1]):
            column = self.chains.table[shuffled, place]
            order = np.argsort(column, kind="stable")
            starts = np.flatnonzero(np.diff(column[order], prepend=-1))
            ends = np.append(starts[1:], len(order))
            for start, end in zip(starts, ends, strict=True):
                picked.append(shuffled[order[start : min(start + 6, end)]])
        return np.unique(np.concatenate(picked))

    def _priced(self, inside: Ints, dual: NDArray[np.float64]) -> NDArray[np.float64]:
        """What each chain uses up, valued at the dual prices of the rows of `_rows`."""
        import numpy as np

        pieces = self.chains.problem.pieces
        value = np.append(dual[:pieces], 0.0)[self.chains.table[inside]].sum(axis=1)
        value += dual[pieces + self.chains.kind[inside]] + dual[-1] * self.chains.cost[inside]
        return np.asarray(value)

    def _rows(self, inside: Ints) -> tuple[csr_array, NDArray[np.float64]]:
        """Rows of the packing: each piece once, each class its items, all joints the least cost."""
        import numpy as np
        from scipy.sparse import csr_array

        problem = self.chains.problem
        cost, table = self.chains.cost[inside], self.chains.table[inside]
        dear = np.flatnonzero(cost)
        used, places = np.nonzero(table < problem.pieces)
        last = problem.pieces + len(problem.classes)
        rows = [table[used, places].astype(np.int64), self.chains.kind[inside] + problem.pieces,
                np.full(len(dear), last)]  # fmt: skip
        columns = [used, np.arange(len(inside)), dear]
        data = [np.ones(len(used)), np.ones(len(inside)), cost[dear].astype(float)]
        matrix = csr_array(
            (np.concatenate(data), (np.concatenate(rows), np.concatenate(columns))),
            shape=(last + 1, len(inside)),
        )
        counts = [float(one.count) for one in problem.classes]
        return matrix, np.array([1.0] * problem.pieces + counts + [float(self.least)])

    def _solve(self, inside: Ints) -> tuple[Ints | None, bool]:
        """A choice from the chains given, by HiGHS; and whether a missing one is certain."""
        import numpy as np
        from scipy.optimize import LinearConstraint

        problem = self.chains.problem
        left = self.deadline - self.clock()
        if len(inside) == 0:
            return None, True
        if left <= 0:
            return None, False
        matrix, upper = self._rows(inside)
        lower = np.zeros(len(upper))
        lower[problem.pieces : -1] = upper[problem.pieces : -1]
        result = _integer(
            np.zeros(len(inside)),
            constraints=LinearConstraint(matrix, lower, upper),
            options={"time_limit": max(min(left, SECONDS), 0.05), "node_limit": NODES},
        )
        if result.x is None:
            return None, bool(result.status == 2)
        picked: Ints = inside[np.flatnonzero(np.asarray(result.x) > 0.5)]
        return picked, True


def _sizes(criterion: Criterion, kind: Ints, table: Ints) -> tuple[Ints, Ints]:
    """Smallest and largest size of a criterion in every chain."""
    import numpy as np

    lows = np.full(len(kind), _NEVER)
    highs = np.full(len(kind), -_NEVER)
    for k, (constant, terms) in enumerate(zip(criterion.constant, criterion.terms, strict=True)):
        here = kind == k
        if constant is not None:
            lows[here] = highs[here] = constant
        elif terms is not None:
            each = np.stack([sign * values[table[here, place]] for place, sign, values in terms])
            lows[here] = each.sum(axis=0) if criterion.total else each.min(axis=0)
            highs[here] = each.sum(axis=0) if criterion.total else each.max(axis=0)
    return lows, highs


def _lattice(low: Ints, high: Ints) -> int:
    """Largest step of which every difference of sizes is a multiple; 1 at least."""
    import numpy as np

    applies = low < _NEVER
    sizes = np.unique(np.concatenate([low[applies], high[applies]]))
    if len(sizes) < 2:
        return 1
    return max(int(np.gcd.reduce(np.diff(sizes))), 1)


def _sample(among: Ints, size: int) -> Ints:
    """A fixed random choice of at most `size` of the indices, in their order."""
    import numpy as np

    if len(among) <= size:
        return among
    random = np.random.Generator(np.random.PCG64(len(among)))
    picked: Ints = among[np.sort(random.choice(len(among), size, replace=False))]
    return picked


def _list_chains(
    problem: Problem, reduced: Sequence[Sequence[NDArray[np.float64]]], slack: float
) -> tuple[_Chains, bool]:
    """All chains whose reduced costs add up to no more than `slack`; and whether these are all."""
    import numpy as np

    complete = True
    tables: list[Ints] = []
    costs: list[Ints] = []
    prices: list[NDArray[np.float64]] = []
    width = max(len(one.parts) for one in problem.classes)
    for k, one in enumerate(problem.classes):
        order = _order(one)
        chains = np.zeros((1, 0), dtype=np.int16)
        price = np.zeros(1)
        cost = np.zeros(1, dtype=np.int64)
        for step, place in enumerate(order):
            options = np.array(one.allowed[place], dtype=np.int16)
            if len(chains) * len(options) > MOST_CHAINS:
                complete = False
                kept = _sample(np.arange(len(chains)), max(MOST_CHAINS // len(options), 1))
                chains, price, cost = chains[kept], price[kept], cost[kept]
            rows = np.repeat(np.arange(len(chains)), len(options))
            new = np.tile(options, len(chains))
            keep = np.ones(len(rows), dtype=bool)
            for before in range(step):
                if one.parts[order[before]] == one.parts[place]:
                    other = chains[rows, before]
                    keep &= other < new if _alike(one, place) else other != new
            rows, new = rows[keep], new[keep]
            price, cost = price[rows], cost[rows]
            for e, edge in enumerate(one.edges):
                for here, there, flip in ((edge.a, edge.b, False), (edge.b, edge.a, True)):
                    if here == place and there in order[:step]:
                        other = chains[rows, order.index(there)]
                        i, j = (other, new) if flip else (new, other)
                        price = price + reduced[k][e][i, j]
                        cost = cost + edge.cost[i, j]
            keep = price <= slack + 1e-6
            for apart in problem.apart:
                if np.isin(options, apart).any():
                    hit = np.isin(new, apart)
                    keep &= ~(hit & np.isin(chains[rows], apart).any(axis=1))
            rows, new, price, cost = rows[keep], new[keep], price[keep], cost[keep]
            chains = np.column_stack([chains[rows], new])
        chains = chains[:, np.argsort(order)] if order else chains
        for together in problem.together:
            count = np.isin(chains, together).sum(axis=1)
            keep = (count == 0) | (count == len(together))
            chains, cost, price = chains[keep], cost[keep], price[keep]
        fill = np.full((len(chains), width - chains.shape[1]), problem.pieces, dtype=np.int16)
        tables.append(np.hstack([chains, fill]))
        costs.append(cost)
        prices.append(price)
    kind = np.concatenate([np.full(len(cost), k) for k, cost in enumerate(costs)])
    listed = _Chains(
        problem,
        np.concatenate(tables),
        kind,
        np.concatenate(costs),
        np.concatenate(prices),
    )
    return listed, complete


def _alike(one: ItemClass, place: int) -> bool:
    """Whether places of this part can be exchanged: joined only to parts that occur once."""
    part = one.parts[place]
    if len({one.allowed[p] for p, other in enumerate(one.parts) if other == part}) > 1:
        return False
    for edge in one.edges:
        for here, there in ((edge.a, edge.b), (edge.b, edge.a)):
            if one.parts[here] == part and one.parts.count(one.parts[there]) > 1:
                return False
    return True


def _order(one: ItemClass) -> list[int]:
    """The places, joined ones next to each other, so that pairs that do not fit go early."""
    order: list[int] = []
    for start in range(len(one.parts)):
        queue = [start]
        while queue:
            place = queue.pop(0)
            if place in order:
                continue
            order.append(place)
            for edge in one.edges:
                if edge.a == place:
                    queue.append(edge.b)
                elif edge.b == place:
                    queue.append(edge.a)
    return order


@dataclass(frozen=True, slots=True)
class _Costs:
    """What the pairs alone tell about the cost of the joints."""

    least: int  # no choice is cheaper
    relaxed: float  # the same with fractions allowed
    reduced: list[list[NDArray[np.float64]]]  # for each class and edge, of every pair
    must: NDArray[np.bool_]  # pieces that are in every cheapest choice
    chains: tuple[tuple[tuple[int, ...], ...], ...]  # one choice


def _least_cost(problem: Problem) -> _Costs:
    """Least cost of the joints, by an integer programme over pieces and pairs.

    Variables: a piece in a place of a class, and a pair in a joint of a class. Joints that close
    a ring, pins and bans are left out, so that the cost is a lower bound; the choice returned
    may break them, which the caller checks.

    Raises NoChoice when there are not enough pieces.
    """
    import numpy as np
    from scipy.optimize import LinearConstraint
    from scipy.sparse import csr_array

    size = problem.pieces
    column = itertools.count()
    objective: list[float] = []
    entries: list[tuple[int, int, float]] = []  # row, column, coefficient
    right: list[float] = []
    use: dict[tuple[int, int, int], int] = {}  # class, place, piece -> column
    pair: dict[tuple[int, int, int, int], int] = {}  # class, edge, piece, piece -> column
    for k, one in enumerate(problem.classes):
        for place, allowed in enumerate(one.allowed):
            row = len(right)
            right.append(float(one.count))
            for piece in allowed:
                use[k, place, piece] = next(column)
                objective.append(0.0)
                entries.append((row, use[k, place, piece], 1.0))
        joined = list(range(len(one.parts)))
        for e, edge in enumerate(one.edges):
            a, b = joined[edge.a], joined[edge.b]
            if a == b:
                continue  # closes a ring
            joined = [a if root == b else root for root in joined]
            for i in one.allowed[edge.a]:
                for j in one.allowed[edge.b]:
                    if i != j:
                        pair[k, e, i, j] = next(column)
                        objective.append(float(edge.cost[i, j]))
            for place, first in ((edge.a, True), (edge.b, False)):
                for piece in one.allowed[place]:
                    row = len(right)
                    right.append(0.0)
                    entries.append((row, use[k, place, piece], -1.0))
                    for other in one.allowed[edge.b if first else edge.a]:
                        key = (k, e, piece, other) if first else (k, e, other, piece)
                        if key in pair:
                            entries.append((row, pair[key], 1.0))
    equal = len(right)
    for piece in range(size):
        row = len(right)
        right.append(1.0)
        for (_, _, other), c in use.items():
            if other == piece:
                entries.append((row, c, 1.0))
    rows, columns, data = zip(*entries, strict=True)
    matrix = csr_array((data, (rows, columns)), shape=(len(right), len(objective)))
    cost = np.array(objective)
    must = np.zeros(size, dtype=bool)
    if not cost.any():
        # Nothing to fit: the pieces first made are used, the last ones stay spare.
        weights = np.zeros(len(cost))
        for (_, _, piece), c in use.items():
            weights[c] = piece + 1
        relaxed, least_reduced = 0.0, np.zeros(len(cost))
    else:
        weights = cost
        relaxation = _linear(
            cost,
            A_ub=matrix[equal:],
            b_ub=right[equal:],
            A_eq=matrix[:equal],
            b_eq=right[:equal],
        )
        if relaxation.x is None:
            raise NoChoice("there are not enough pieces to fill all items")
        relaxed = float(relaxation.fun)
        least_reduced = np.maximum(np.asarray(relaxation.lower.marginals), 0.0)
        must |= np.asarray(relaxation.ineqlin.marginals) < -1e-7
    result = _integer(
        weights,
        constraints=LinearConstraint(
            matrix, np.array([*right[:equal], *([0.0] * size)]), np.array(right)
        ),
    )
    if result.x is None:
        raise NoChoice("there are not enough pieces to fill all items")
    least = round(float(cost @ result.x))
    reduced = []
    for one in problem.classes:
        reduced.append([np.zeros((size, size)) for _ in one.edges])
    for (k, e, i, j), c in pair.items():
        reduced[k][e][i, j] = least_reduced[c]
    taken = {c for c in range(len(cost)) if result.x[c] > 0.5}
    chosen = []
    for k, one in enumerate(problem.classes):
        chains: list[dict[int, int]] = [{} for _ in range(one.count)]
        for start in range(len(one.parts)):
            if start in chains[0]:
                continue
            roots = sorted(p for p in one.allowed[start] if use[k, start, p] in taken)
            for chain, piece in zip(chains, roots, strict=True):
                chain[start] = piece
            queue = [start]
            while queue:
                place = queue.pop()
                for e, edge in enumerate(one.edges):
                    if place not in (edge.a, edge.b):
                        continue
                    other = edge.b if edge.a == place else edge.a
                    if other in chains[0]:
                        continue
                    mates = {}
                    for (kk, ee, i, j), c in pair.items():
                        if kk == k and ee == e and c in taken:
                            mates[i if edge.a == place else j] = j if edge.a == place else i
                    if not mates:
                        continue  # the joint that closes a ring
                    for chain in chains:
                        chain[other] = mates[chain[place]]
                    queue.append(other)
        chosen.append(tuple(tuple(chain[p] for p in range(len(one.parts))) for chain in chains))
    for piece in range(size):
        # A part without spares, as far as one class can tell: each of its pieces is needed.
        must[piece] |= any(
            piece in allowed and len(allowed) <= one.count * one.allowed.count(allowed)
            for one in problem.classes
            for allowed in one.allowed
        )
    return _Costs(least, relaxed, reduced, must, tuple(chosen))


@contextlib.contextmanager
def _quiet() -> Iterator[None]:
    """Keep what the solver's library prints by itself away from the standard output.

    HiGHS has messages that no option silences; they would spoil output that a program reads.
    """
    try:
        sys.stdout.flush()
        saved = os.dup(1)
    except (OSError, ValueError, AttributeError):  # no standard output to keep clean
        yield
        return
    try:
        with Path(os.devnull).open("wb") as sink:
            os.dup2(sink.fileno(), 1)
        yield
    finally:
        os.dup2(saved, 1)
        os.close(saved)


def _integer(objective: NDArray[np.float64], **rows: Any) -> Any:
    """scipy.optimize.milp with every variable 0 or 1."""
    import numpy as np
    from scipy.optimize import Bounds, milp

    with _quiet():
        return milp(
            objective,
            integrality=np.ones(len(objective), dtype=np.int64),
            bounds=Bounds(0, 1),
            **rows,
        )


def _linear(objective: NDArray[np.float64], **rows: Any) -> Any:
    """scipy.optimize.linprog with variables from 0 up; it takes sparse rows, its stubs do not."""
    from scipy import optimize

    solver: Any = optimize.linprog
    with _quiet():
        return solver(objective, bounds=(0, None), **rows)


def _as_indices(
    problem: Problem,
    chains: _Chains,
    choice: tuple[tuple[tuple[int, ...], ...], ...],
    least: int,
) -> Ints | None:
    """The choice as indices into the list of chains; None when pins, bans or cost bar it."""
    import numpy as np

    found: list[int] = []
    for k, some in enumerate(choice):
        for chain in some:
            wanted = np.full(chains.table.shape[1], problem.pieces)
            wanted[: len(chain)] = _canonical(problem.classes[k], chain)
            hit = np.flatnonzero((chains.kind == k) & (chains.table == wanted).all(axis=1))
            if len(hit) == 0:
                return None
            found.append(int(hit[0]))
    indices = np.array(found, dtype=np.int64)
    return indices if int(chains.cost[indices].sum()) <= least else None


def _canonical(one: ItemClass, chain: tuple[int, ...]) -> tuple[int, ...]:
    """The chain with exchangeable places filled in rising order, as they are listed."""
    result = list(chain)
    for part in set(one.parts):
        places = [p for p in _order(one) if one.parts[p] == part]
        if len(places) > 1 and _alike(one, places[0]):
            for place, piece in zip(places, sorted(chain[p] for p in places), strict=True):
                result[place] = piece
    return tuple(result)
