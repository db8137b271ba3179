"""The search behind the matching, with its limits set so low that every path of it is taken."""

import itertools
import os

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from qlog.study.matching.chains import choose as choosing
from qlog.study.matching.chains import listing, packing, search
from qlog.study.matching.chains.chain_model import (
    ChainQuestion,
    Choice,
    Criterion,
    Edge,
    ItemClass,
    NoChoice,
)
from qlog.study.matching.chains.choose import choose
from qlog.study.matching.chains.solver import _quiet

values = st.lists(st.integers(0, 60), min_size=5, max_size=5)


def two_parts(first: list[int], second: list[int], costs: list[int], items: int) -> ChainQuestion:
    sizes = np.array([*first, *second], dtype=np.int64)
    cost = np.zeros((10, 10), dtype=np.int64)
    cost[:5, 5:] = np.array(costs).reshape(5, 5)
    return ChainQuestion(
        10,
        (ItemClass(items, (0, 1), (tuple(range(5)), tuple(range(5, 10))), (Edge(0, 1, cost),)),),
        (Criterion((((0, 1, sizes), (1, 1, sizes)),), True, (None,)),),
    )


def best_of_all(problem: ChainQuestion, items: int) -> tuple[int, int]:
    cost = problem.classes[0].edges[0].cost
    terms = problem.criteria[0].terms[0]
    assert terms is not None
    sizes = terms[0][2]
    tried = []
    for some in itertools.combinations(range(5), items):
        for mates in itertools.permutations(range(5, 10), items):
            total = [int(sizes[i] + sizes[j]) for i, j in zip(some, mates, strict=True)]
            paid = sum(int(cost[i, j]) for i, j in zip(some, mates, strict=True))
            tried.append((paid, max(total) - min(total)))
    return min(tried)


@settings(
    derandomize=True,
    deadline=None,
    max_examples=40,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(
    first=values,
    second=values,
    costs=st.lists(st.sampled_from([0, 0, 0, 11, 12]), min_size=25, max_size=25),
    items=st.integers(2, 5),
)
def test_low_limits_find_the_same_or_say_that_it_is_not_proven(
    monkeypatch: pytest.MonkeyPatch,
    first: list[int],
    second: list[int],
    costs: list[int],
    items: int,
) -> None:
    monkeypatch.setattr(search, "SAMPLE", 6)
    monkeypatch.setattr(packing, "SAMPLE", 6)
    monkeypatch.setattr(packing, "REFUTABLE", 14)
    monkeypatch.setattr(packing, "ROUND", 2)
    monkeypatch.setattr(packing, "DIVES", 6)
    monkeypatch.setattr(choosing, "QUICK", 5)
    problem = two_parts(first, second, costs, items)
    found = choose(problem, steps=3_000)
    cost, spread = best_of_all(problem, items)
    assert found.cost == found.cost_bound == cost
    assert found.spreads[0].bound <= spread <= found.spreads[0].reached
    assert_permitted(problem, found)


def test_a_cut_list_claims_no_bound(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(listing, "MOST_CHAINS", 12)
    problem = two_parts([1, 2, 4, 8, 16], [1, 3, 9, 27, 50], [0] * 25, 5)
    found = choose(problem, steps=3_000)
    assert_permitted(problem, found)
    assert found.spreads[0].bound == 0 < found.spreads[0].reached


def assert_permitted(problem: ChainQuestion, choice: Choice) -> None:
    used = [piece for chains in choice.chains for chain in chains for piece in chain]
    assert len(used) == len(set(used))
    for one, chains in zip(problem.classes, choice.chains, strict=True):
        assert len(chains) == one.count
        for chain in chains:
            assert all(p in allowed for p, allowed in zip(chain, one.allowed, strict=True))


def test_grain_and_gap_end_the_search_early_with_an_honest_bound() -> None:
    problem = two_parts([0, 7, 19, 40, 60], [1, 31, 12, 55, 23], [0] * 25, 5)
    exact = choose(problem, steps=3_000).spreads[0]
    assert exact.bound >= exact.reached
    coarse = choose(problem, steps=3_000, grain=10).spreads[0]
    assert coarse.bound <= exact.reached <= coarse.reached <= coarse.bound + 10


def test_too_few_pieces_are_refused() -> None:
    problem = ChainQuestion(1, (ItemClass(2, (0,), ((0,),), ()),), ())
    with pytest.raises(NoChoice, match="not enough pieces"):
        choose(problem, steps=3_000)


def test_the_solver_does_not_write_to_the_standard_output(
    capfd: pytest.CaptureFixture[str],
) -> None:
    with _quiet():
        os.write(1, b"noise of a library")
    os.write(1, b"kept")
    assert capfd.readouterr().out == "kept"
