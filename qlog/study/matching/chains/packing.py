"""Whether all items can be made from a list of chains: a set packing, by dives and by HiGHS."""

from __future__ import annotations

import numpy as np
from scipy.optimize import LinearConstraint
from scipy.sparse import csr_array

from qlog.study.matching.chains.listing import Chains, sample
from qlog.study.matching.chains.solver import Flags, Floats, Ints, integer, linear

#: Chains handed to the integer solver at once when a stretch holds more.
SAMPLE = 1_500

#: Most chains in a stretch that the integer solver is given in full, to refute it.
REFUTABLE = 12_000

#: Chains that one round of pricing adds.
ROUND = 200

#: Quick attempts to find a choice before the integer solver is asked; later ones hardly ever hit.
DIVES = 12

#: Branch-and-bound nodes that the solver may spend on one question.
NODES = 1_000

#: Steps that a linear and an integer programme count for, beside one for ten nodes.
LINEAR, INTEGER = 2, 10


class Steps:
    """Steps left to a search; one is about as much work as one quick attempt at a choice.

    Counted in steps and never in seconds: the same question then has the same answer on every
    machine, however slow or busy.
    """

    def __init__(self, left: int, whole: Steps | None = None) -> None:
        self.left = left
        self.whole = whole

    @property
    def done(self) -> bool:
        """Whether nothing is left."""
        return self.left <= 0

    def spend(self, steps: int) -> None:
        """Count some work, here and in the whole that this is a part of."""
        self.left -= steps
        if self.whole is not None:
            self.whole.spend(steps)

    def half(self) -> Steps:
        """Half of what is left, as a budget of its own; what it spends is spent here too."""
        return Steps(self.left // 2, self)


class Packing:
    """One list of chains, from which every item is to get one, no piece twice.

    `least` is what all joints together may cost, `must` the pieces that every choice holds.
    """

    def __init__(self, chains: Chains, least: int, must: Flags, steps: Steps) -> None:
        self.chains = chains
        self.least = least
        self.must = must
        self.steps = steps

    def enough(self, inside: Ints) -> bool:
        """Whether every place of every class has as many different pieces left as it has items."""
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

    def glance(self, inside: Ints) -> tuple[Ints | None, bool]:
        """A choice from the chains given, if soon found; and whether there is certainly none.

        The relaxation may refute them all at once; otherwise quick dives look for a choice.
        """
        if not self.enough(inside) or self._relax(inside) is None:
            return None, True
        return self._dive(inside), False

    def dig(self, inside: Ints) -> tuple[Ints | None, bool]:
        """The same by the integer solver, among the chains that matter and at last among all."""
        if len(inside) > SAMPLE:
            pool = self._relax(inside)
            if pool is None:
                return None, True
            found, _ = self._solve(pool)
            if found is not None or len(inside) > REFUTABLE:
                return found, False
        return self._solve(inside)

    def _dive(self, inside: Ints) -> Ints | None:
        """A choice by taking one chain after the other, the scarcest piece first; None if unlucky.

        The chain taken for a piece is the one that uses up scarce pieces, with a little chance
        in it, so that another dive goes another way.
        """
        problem, table = self.chains.problem, self.chains.table
        random = np.random.Generator(np.random.PCG64(len(inside)))
        everything, needed = inside, self.must
        for attempt in range(DIVES):
            if self.steps.done:
                return None
            self.steps.spend(1)
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

    def _pick(self, inside: Ints, random: np.random.Generator) -> Flags | None:
        """Pieces to use, the others staying spare, such that the sizes can come out on average.

        A chance choice among those for which the pieces of each class add up to as many chain
        sizes as it has items. None when there is none.
        """
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
        result = integer(
            random.random(len(use)),
            constraints=LinearConstraint(
                csr_array((data, (rows, columns)), shape=(len(upper), len(use))), lower, upper
            ),
            options={"node_limit": 200, "mip_rel_gap": 0.5},
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
        problem = self.chains.problem
        items = sum(one.count for one in problem.classes)
        pool = self._covering(inside)
        while True:
            matrix, upper = self._rows(pool)
            result = linear(-np.ones(len(pool)), A_ub=matrix, b_ub=upper)
            self.steps.spend(LINEAR)
            if result.x is None or self.steps.done:
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
            pool = np.union1d(pool, sample(free, SAMPLE - len(pool)))
        return pool

    def _covering(self, inside: Ints) -> Ints:
        """A first pool of chains in which every piece occurs a few times, if it occurs at all."""
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

    def _priced(self, inside: Ints, dual: Floats) -> Floats:
        """What each chain uses up, valued at the dual prices of the rows of `_rows`."""
        pieces = self.chains.problem.pieces
        value = np.append(dual[:pieces], 0.0)[self.chains.table[inside]].sum(axis=1)
        value += dual[pieces + self.chains.kind[inside]] + dual[-1] * self.chains.cost[inside]
        return np.asarray(value)

    def _rows(self, inside: Ints) -> tuple[csr_array, Floats]:
        """Rows of the packing: each piece once, each class its items, all joints the least cost."""
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
        """A choice from the chains given, by HiGHS; and whether there is certainly none."""
        problem = self.chains.problem
        if len(inside) == 0:
            return None, True
        if self.steps.done:
            return None, False
        matrix, upper = self._rows(inside)
        lower = np.zeros(len(upper))
        lower[problem.pieces : -1] = upper[problem.pieces : -1]
        result = integer(
            np.zeros(len(inside)),
            constraints=LinearConstraint(matrix, lower, upper),
            options={"node_limit": NODES},
        )
        self.steps.spend(INTEGER + int(result.mip_node_count or 0) // 10)
        if result.x is None:
            return None, bool(result.status == 2)
        picked: Ints = inside[np.flatnonzero(np.asarray(result.x) > 0.5)]
        return picked, False
