"""All chains that may be needed, listed as arrays."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from qlog.study.matching.chains.chain_model import ChainQuestion, Criterion, ItemClass
from qlog.study.matching.chains.solver import Flags, Floats, Ints

#: Most chains listed; beyond it a fixed random choice of them is searched, and no bound claimed.
MOST_CHAINS = 3_000_000

NEVER = 1 << 60  # size of a chain to which a criterion does not apply


class Chains:
    """All chains that may be needed, as arrays."""

    def __init__(
        self,
        problem: ChainQuestion,
        table: Ints,
        kind: Ints,
        cost: Ints,
        price: Floats,
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

    def keep(self, mask: Flags) -> Chains:
        """The chains of the mask only."""
        return Chains(
            self.problem, self.table[mask], self.kind[mask], self.cost[mask], self.price[mask]
        )

    def chain(self, index: int) -> tuple[int, ...]:
        """The pieces of one chain."""
        return tuple(int(p) for p in self.table[index] if p < self.problem.pieces)


def list_chains(
    problem: ChainQuestion,
    reduced: Sequence[Sequence[Floats]],
    slack: float,
    known: Sequence[Sequence[tuple[int, ...]]],
) -> tuple[Chains, bool]:
    """All chains whose reduced costs add up to no more than `slack`; and whether these are all.

    Where there are too many, the chains of the `known` choice are among the ones that are kept.
    """
    complete = True
    tables: list[Ints] = []
    costs: list[Ints] = []
    prices: list[Floats] = []
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
                kept = sample(np.arange(len(chains)), max(MOST_CHAINS // len(options), 1))
                for chain in known[k]:
                    same = (chains == np.array(_canonical(one, chain))[order[:step]]).all(axis=1)
                    kept = np.union1d(kept, np.flatnonzero(same))
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
    listed = Chains(
        problem, np.concatenate(tables), kind, np.concatenate(costs), np.concatenate(prices)
    )
    return listed, complete


def as_indices(
    problem: ChainQuestion,
    chains: Chains,
    choice: tuple[tuple[tuple[int, ...], ...], ...],
    least: int,
) -> Ints | None:
    """The choice as indices into the list of chains; None when pins, bans or cost bar it."""
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


def sample(among: Ints, size: int) -> Ints:
    """A fixed random choice of at most `size` of the indices, in their order."""
    if len(among) <= size:
        return among
    random = np.random.Generator(np.random.PCG64(len(among)))
    picked: Ints = among[np.sort(random.choice(len(among), size, replace=False))]
    return picked


def lattice_of(low: Ints, high: Ints) -> int:
    """Largest step of which every difference of sizes is a multiple; 1 at least."""
    applies = low < NEVER
    sizes = np.unique(np.concatenate([low[applies], high[applies]]))
    if len(sizes) < 2:
        return 1
    return max(int(np.gcd.reduce(np.diff(sizes))), 1)


def _sizes(criterion: Criterion, kind: Ints, table: Ints) -> tuple[Ints, Ints]:
    """Smallest and largest size of a criterion in every chain."""
    lows = np.full(len(kind), NEVER)
    highs = np.full(len(kind), -NEVER)
    for k, (constant, terms) in enumerate(zip(criterion.constant, criterion.terms, strict=True)):
        here = kind == k
        if constant is not None:
            lows[here] = highs[here] = constant
        elif terms is not None:
            each = np.stack([sign * values[table[here, place]] for place, sign, values in terms])
            lows[here] = each.sum(axis=0) if criterion.total else each.min(axis=0)
            highs[here] = each.sum(axis=0) if criterion.total else each.max(axis=0)
    return lows, highs


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


def _canonical(one: ItemClass, chain: tuple[int, ...]) -> tuple[int, ...]:
    """The chain with exchangeable places filled in rising order, as they are listed."""
    result = list(chain)
    for part in set(one.parts):
        places = [p for p in _order(one) if one.parts[p] == part]
        if len(places) > 1 and _alike(one, places[0]):
            for place, piece in zip(places, sorted(chain[p] for p in places), strict=True):
                result[place] = piece
    return tuple(result)
