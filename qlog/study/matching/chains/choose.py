"""The best choice: least cost, then inside the limits, then one spread after the other."""

from __future__ import annotations

import math

import numpy as np

from qlog.frozen import replace
from qlog.problem import ToSay
from qlog.study.matching.chains.chain_model import (
    ChainQuestion,
    Choice,
    Edge,
    NoChoice,
    Numbers,
    Reach,
)
from qlog.study.matching.chains.costs import least_cost
from qlog.study.matching.chains.listing import as_indices, list_chains, sample
from qlog.study.matching.chains.packing import Steps
from qlog.study.matching.chains.search import Search
from qlog.study.matching.chains.solver import Ints

#: Chains searched first when there are many more.
QUICK = 120_000


def choose(problem: ChainQuestion, *, steps: int, gap: float = 0.0, grain: int = 0) -> Choice:
    """The best choice: least cost, then chains within limits, then one spread after the other.

    Stops after so many `steps` of work with the best found and its bounds; a spread is also
    good enough once it is within the fraction `gap`, or within `grain`, of its bound. The same
    problem gives the same choice, always.

    Raises NoChoice when the items cannot be filled.
    """
    problem = _in_arrays(problem)
    search, best, bound = _cheapest(problem, Steps(steps))
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
    spreads: list[Reach] = []
    for k in range(len(problem.criteria)):
        if len(chains) > 2 * QUICK:
            # A few of the chains nearly always hold a choice as good as all of them do.
            few = np.union1d(sample(np.arange(len(chains)), QUICK), best)
            mask = np.zeros(len(chains), dtype=bool)
            mask[few] = True
            quick = search.among(chains.keep(mask))
            quick.complete = False
            quick.steps = search.steps.half()
            best = few[quick.narrow(k, widths, np.searchsorted(few, best), gap, grain)[0]]
        best, reached, low_bound = search.narrow(k, widths, best, gap, grain)
        widths.append(reached)
        spreads.append(Reach(reached, low_bound))
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


def _in_arrays(problem: ChainQuestion) -> ChainQuestion:
    """The same question with its numbers in arrays of numpy."""
    square = (problem.pieces, problem.pieces)

    def numbers(given: Numbers) -> Ints:
        return np.asarray(given, dtype=np.int64)

    classes = tuple(
        replace(
            one, edges=tuple(Edge(e.a, e.b, numbers(e.cost).reshape(square)) for e in one.edges)
        )
        for one in problem.classes
    )
    criteria = tuple(
        replace(
            one,
            terms=tuple(
                None if terms is None else tuple((at, sign, numbers(v)) for at, sign, v in terms)
                for terms in one.terms
            ),
        )
        for one in problem.criteria
    )
    return replace(problem, classes=classes, criteria=criteria)


def _cheapest(problem: ChainQuestion, steps: Steps) -> tuple[Search, Ints, int]:
    """A search over the chains of all cheapest choices, one of these, and a bound on the cost."""
    costs = least_cost(problem)
    chains, complete = list_chains(
        problem, costs.reduced, costs.least - costs.relaxed, costs.chains
    )
    search = Search(chains, costs.least, complete, costs.must, steps)
    first = as_indices(problem, chains, costs.chains, costs.least)
    if first is not None:
        return search, first, costs.least
    # Rings, pins and bans, which the pairs do not see, make it cost more than their bound, or at
    # least another choice: all chains then, and one possible cost after the other.
    chains, complete = list_chains(problem, costs.reduced, math.inf, costs.chains)
    everything = np.arange(len(chains))
    most = int(chains.cost.sum()) + 1
    search = Search(chains, most, complete, np.zeros_like(costs.must), steps)
    first, settled = search.any(everything)
    if first is None:
        raise NoChoice(ToSay("error.match_no_way") if settled else ToSay("error.match_not_found"))
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
        if steps.done:
            break
    else:
        bound = cost if refuted else bound
    keep = chains.price <= cost - costs.relaxed + 1e-6
    keep[first] = True
    narrower = Search(chains.keep(keep), cost, complete, search.must, steps)
    return narrower, (np.cumsum(keep) - 1)[first], cost if refuted and not steps.done else bound


def _totals(problem: ChainQuestion) -> list[int]:
    """All costs that a choice can have, rising: sums of the costs that its pairs can have."""
    totals = {0}
    for one in problem.classes:
        for edge in one.edges:
            values = [int(v) for v in np.unique(edge.cost)]
            for _ in range(one.count):
                totals = {total + value for total in totals for value in values}
    return sorted(totals)
