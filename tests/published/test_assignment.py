"""The assignment problem against the example in scipy's own documentation.

Source: docstring of scipy.optimize.linear_sum_assignment (scipy 1.17.1): cost matrix
[[4, 1, 3], [2, 0, 5], [3, 2, 2]], columns [1, 0, 2], total 5.
"""

from decimal import Decimal

import numpy as np

from qlog.study.fit.assignment import cheapest_pairs
from qlog.study.matching.chains import Criterion, Edge, ItemClass, Problem, choose

COST = np.array([[4, 1, 3], [2, 0, 5], [3, 2, 2]])


def test_pairs_of_the_documented_example() -> None:
    assert cheapest_pairs(COST.tolist(), 3) == (5, ((0, 1), (1, 0), (2, 2)))


def test_chains_of_the_documented_example() -> None:
    cost = np.zeros((6, 6), dtype=np.int64)
    cost[:3, 3:] = COST
    problem = Problem(
        6,
        (ItemClass(3, (0, 1), ((0, 1, 2), (3, 4, 5)), (Edge(0, 1, cost),)),),
        (),
    )
    choice = choose(problem, steps=3_000)
    assert choice.cost == choice.cost_bound == 5
    assert choice.chains == (((0, 4), (1, 3), (2, 5)),)


def test_spread_of_a_set_worked_out_by_hand() -> None:
    # 1 + 9, 2 + 8, 4 + 6 all make 10; no other pairing of these six does.
    sizes = np.array([1, 2, 4, 6, 8, 9], dtype=np.int64)
    problem = Problem(
        6,
        (ItemClass(3, (0, 1), ((0, 1, 2), (3, 4, 5)), ()),),
        (Criterion((((0, 1, sizes), (1, 1, sizes)),), True, (None,)),),
    )
    choice = choose(problem, steps=3_000)
    assert choice.chains == (((0, 5), (1, 4), (2, 3)),)
    assert (choice.spreads[0].reached, choice.spreads[0].bound) == (0, 0)
    assert Decimal(choice.cost) == 0
