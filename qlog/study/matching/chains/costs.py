"""The least that the joints of all items can cost, and which pairs a cheapest choice can hold."""

from __future__ import annotations

import itertools
from collections.abc import Set

import numpy as np
from scipy.optimize import LinearConstraint
from scipy.sparse import csr_array

from qlog.frozen import frozen
from qlog.problem import ToSay
from qlog.study.matching.chains.chain_model import ChainQuestion, NoChoice
from qlog.study.matching.chains.solver import Flags, Floats, integer, linear


@frozen
class Costs:
    """What the pairs alone tell about the cost of the joints."""

    least: int  # no choice is cheaper
    relaxed: float  # the same with fractions allowed
    reduced: list[list[Floats]]  # for each class and edge, of every pair
    must: Flags  # pieces that are in every cheapest choice
    chains: tuple[tuple[tuple[int, ...], ...], ...]  # one choice


@frozen
class _Programme:
    """The integer programme: columns of pieces and pairs, equal rows first, then one a piece."""

    use: dict[tuple[int, int, int], int]  # class, place, piece -> column
    pair: dict[tuple[int, int, int, int], int]  # class, edge, piece, piece -> column
    cost: Floats
    matrix: csr_array
    right: list[float]
    equal: int  # so many rows hold exactly, the others at most


def least_cost(problem: ChainQuestion) -> Costs:
    """Least cost of the joints, by an integer programme over pieces and pairs.

    Variables: a piece in a place of a class, and a pair in a joint of a class. Joints that close
    a ring, pins and bans are left out, so that the cost is a lower bound; the choice returned
    may break them, which the caller checks.

    Raises NoChoice when there are not enough pieces.
    """
    size = problem.pieces
    made = _programme(problem)
    cost, right, equal = made.cost, made.right, made.equal
    must = np.zeros(size, dtype=bool)
    if not cost.any():
        # Nothing to fit: the pieces first made are used, the last ones stay spare.
        weights = np.zeros(len(cost))
        for (_, _, piece), c in made.use.items():
            weights[c] = piece + 1
        relaxed, least_reduced = 0.0, np.zeros(len(cost))
    else:
        weights = cost
        relaxation = linear(
            cost,
            A_ub=made.matrix[equal:],
            b_ub=right[equal:],
            A_eq=made.matrix[:equal],
            b_eq=right[:equal],
        )
        if relaxation.x is None:
            raise NoChoice(ToSay("error.match_too_few"))
        relaxed = float(relaxation.fun)
        least_reduced = np.maximum(np.asarray(relaxation.lower.marginals), 0.0)
        must |= np.asarray(relaxation.ineqlin.marginals) < -1e-7
    result = integer(
        weights,
        constraints=LinearConstraint(
            made.matrix, np.array([*right[:equal], *([0.0] * size)]), np.array(right)
        ),
    )
    if result.x is None:
        raise NoChoice(ToSay("error.match_too_few"))
    reduced = [[np.zeros((size, size)) for _ in one.edges] for one in problem.classes]
    for (k, e, i, j), c in made.pair.items():
        reduced[k][e][i, j] = least_reduced[c]
    taken = {c for c in range(len(cost)) if result.x[c] > 0.5}
    for piece in range(size):
        # A part without spares, as far as one class can tell: each of its pieces is needed.
        must[piece] |= any(
            piece in allowed and len(allowed) <= one.count * one.allowed.count(allowed)
            for one in problem.classes
            for allowed in one.allowed
        )
    least = round(float(cost @ result.x))
    return Costs(least, relaxed, reduced, must, _chains(problem, made, taken))


def _programme(problem: ChainQuestion) -> _Programme:
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
    for piece in range(problem.pieces):
        row = len(right)
        right.append(1.0)
        for (_, _, other), c in use.items():
            if other == piece:
                entries.append((row, c, 1.0))
    rows, columns, data = zip(*entries, strict=True)
    matrix = csr_array((data, (rows, columns)), shape=(len(right), len(objective)))
    return _Programme(use, pair, np.array(objective), matrix, right, equal)


def _chains(
    problem: ChainQuestion, made: _Programme, taken: Set[int]
) -> tuple[tuple[tuple[int, ...], ...], ...]:
    """The choice that the columns taken stand for: for each class, the pieces of each chain."""
    use, pair = made.use, made.pair
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
    return tuple(chosen)
