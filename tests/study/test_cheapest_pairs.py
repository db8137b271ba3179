"""The cheapest pairs in whole numbers, against the reference library and every choice there is."""

from __future__ import annotations

import itertools
import random

import pytest
from scipy.optimize import linear_sum_assignment

from qlog.study.fit.assignment import cheapest_pairs


@pytest.mark.parametrize("size", [1, 2, 5, 12, 30])
def test_a_full_assignment_costs_what_the_reference_library_says(size: int) -> None:
    draw = random.Random(size)
    costs = [[draw.randint(-50, 999) for _ in range(size)] for _ in range(size)]
    cost, pairs = cheapest_pairs(costs, size)
    rows, columns = linear_sum_assignment(costs)
    assert cost == sum(costs[i][j] for i, j in zip(rows, columns, strict=True))
    assert sorted(j for _, j in pairs) == list(range(size))


@pytest.mark.parametrize("seed", range(20))
def test_fewer_pairs_than_pieces_are_the_cheapest_of_all_choices(seed: int) -> None:
    draw = random.Random(seed)
    rows, columns = draw.randint(1, 4), draw.randint(1, 5)
    costs = [[draw.randint(0, 9) for _ in range(columns)] for _ in range(rows)]
    count = draw.randint(0, min(rows, columns))
    best = min(
        sum(costs[i][j] for i, j in zip(some, order, strict=True))
        for some in itertools.combinations(range(rows), count)
        for order in itertools.permutations(range(columns), count)
    )
    cost, pairs = cheapest_pairs(costs, count)
    assert cost == best == sum(costs[i][j] for i, j in pairs)
    assert len({i for i, _ in pairs}) == len({j for _, j in pairs}) == len(pairs) == count


def test_costs_beyond_what_a_float_holds_are_still_told_apart() -> None:
    huge = 10**30
    assert cheapest_pairs([[huge, huge + 1], [huge, huge]], 2) == (2 * huge, ((0, 0), (1, 1)))


def test_more_pairs_than_pieces_are_refused() -> None:
    with pytest.raises(ValueError, match="3 pairs of 2 rows"):
        cheapest_pairs([[1, 2, 3], [1, 2, 3]], 3)
