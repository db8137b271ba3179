"""The assignment problem against worked examples of the operations-research literature.

Sources: docstring of scipy.optimize.linear_sum_assignment (scipy 1.17.1): cost matrix
[[4, 1, 3], [2, 0, 5], [3, 2, 2]], columns [1, 0, 2], total 5. Two standard examples of the
Hungarian method (H. W. Kuhn, Naval Research Logistics Quarterly 2 (1955) 83-97), read with their
answers in the open documentation of two libraries: four by four, total 140; three by three, total
850. An example with five workers and four tasks, whose table was read in a public guide to
optimisation and whose total, 265, in the open tests of a binding of that solver.
"""

from decimal import Decimal

import numpy as np
import pytest

from qlog.study.fit.assignment import cheapest_pairs
from qlog.study.matching.chains.chain_model import ChainQuestion, Criterion, Edge, ItemClass
from qlog.study.matching.chains.choose import choose

COST = np.array([[4, 1, 3], [2, 0, 5], [3, 2, 2]])


def test_pairs_of_the_documented_example() -> None:
    assert cheapest_pairs(COST.tolist(), 3) == (5, ((0, 1), (1, 0), (2, 2)))


@pytest.mark.parametrize(
    ("costs", "total", "columns"),
    [
        (
            [[82, 83, 69, 92], [77, 37, 49, 92], [11, 69, 5, 86], [8, 9, 98, 23]],
            140,
            (2, 1, 0, 3),
        ),
        ([[400, 150, 400], [400, 450, 600], [300, 225, 300]], 850, (1, 0, 2)),
        (
            [
                [90, 80, 75, 70], [35, 85, 55, 65], [125, 95, 90, 95], [45, 110, 95, 115],
                [50, 100, 90, 100],
            ],
            265,
            (3, 2, 1, 0, None),
        ),
    ],
)  # fmt: skip
def test_worked_examples_of_the_assignment_problem(
    costs: list[list[int]], total: int, columns: tuple[int | None, ...]
) -> None:
    found, pairs = cheapest_pairs(costs, min(len(costs), len(costs[0])))
    assert found == total
    assert dict(pairs) == {row: c for row, c in enumerate(columns) if c is not None}
    # The same question to the integer programs that choose whole items.
    rows, wide = len(costs), len(costs[0])
    if rows == wide:
        cost = np.zeros((2 * rows, 2 * rows), dtype=np.int64)
        cost[:rows, rows:] = costs
        sides = (tuple(range(rows)), tuple(range(rows, 2 * rows)))
        problem = ChainQuestion(
            2 * rows, (ItemClass(rows, (0, 1), sides, (Edge(0, 1, cost),)),), ()
        )
        choice = choose(problem, steps=3_000)
        assert choice.cost == choice.cost_bound == total


def test_chains_of_the_documented_example() -> None:
    cost = np.zeros((6, 6), dtype=np.int64)
    cost[:3, 3:] = COST
    problem = ChainQuestion(
        6, (ItemClass(3, (0, 1), ((0, 1, 2), (3, 4, 5)), (Edge(0, 1, cost),)),), ()
    )
    choice = choose(problem, steps=3_000)
    assert choice.cost == choice.cost_bound == 5
    assert choice.chains == (((0, 4), (1, 3), (2, 5)),)


def test_spread_of_a_set_worked_out_by_hand() -> None:
    # 1 + 9, 2 + 8, 4 + 6 all make 10; no other pairing of these six does.
    sizes = np.array([1, 2, 4, 6, 8, 9], dtype=np.int64)
    problem = ChainQuestion(
        6,
        (ItemClass(3, (0, 1), ((0, 1, 2), (3, 4, 5)), ()),),
        (Criterion((((0, 1, sizes), (1, 1, sizes)),), True, (None,)),),
    )
    choice = choose(problem, steps=3_000)
    assert choice.chains == (((0, 5), (1, 4), (2, 3)),)
    assert (choice.spreads[0].reached, choice.spreads[0].bound) == (0, 0)
    assert Decimal(choice.cost) == 0
