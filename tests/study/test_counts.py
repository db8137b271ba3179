"""Counts of good and bad pieces, and blanks to cut."""

from __future__ import annotations

from math import comb

import pytest

from qlog.study.batch.counts import (
    at_most,
    binomial_interval,
    chance_from_here,
    count,
)


def test_none_bad_of_eight_still_allows_a_third() -> None:
    found = count(passed=8, failed=0)
    assert found.n == 8
    assert round(found.failing_at_most, 2) == 0.31
    assert found.failing.low == 0 and round(found.failing.high, 3) == 0.369


def test_all_bad_allows_everything() -> None:
    found = count(passed=0, failed=3)
    assert found.failing_at_most == 1 and found.failing.high == 1
    assert 0 < found.failing.low < 1


def test_good_and_bad_mirror_each_other() -> None:
    bad, good = binomial_interval(3, 10), binomial_interval(7, 10)
    assert bad.low == pytest.approx(1 - good.high) and bad.high == pytest.approx(1 - good.low)


def test_bad_counts_are_refused() -> None:
    for found, n in ((0, 0), (-1, 5), (6, 5)):
        with pytest.raises(ValueError, match="no count"):
            binomial_interval(found, n)
        with pytest.raises(ValueError, match="no count"):
            at_most(found, n)
    with pytest.raises(ValueError, match="confidence"):
        at_most(1, 5, 95)


@pytest.mark.parametrize(("needed", "percent"), [(4, 84), (8, 60), (16, 26)])
def test_one_spare_is_not_much(needed: int, percent: int) -> None:
    # 2 % lost per operation, 8 operations, one spare: the sum by hand for 4 pieces is
    # 5 p^4 (1 - p) + p^5 with p = 0.98^8.
    assert round(100 * chance_from_here(needed, [8] * (needed + 1), 0.02)) == percent
    if needed == 4:
        p = 0.98**8
        assert chance_from_here(4, [8] * 5, 0.02) == pytest.approx(5 * p**4 * (1 - p) + p**5)


def test_impossible_plans_are_refused() -> None:
    with pytest.raises(ValueError, match="loss"):
        chance_from_here(4, [8] * 5, 2)
    with pytest.raises(ValueError, match="counted from 0"):
        chance_from_here(4, [-1] * 5, 0.02)
    assert chance_from_here(4, [8] * 3, 0.02) == 0


def test_pieces_that_stand_at_different_operations() -> None:
    # Against the sum over every way in which the pieces can live or die.
    from itertools import product

    left, loss = (0, 1, 3, 8, 8), 0.07
    good = [(1 - loss) ** n for n in left]
    for needed in range(7):
        ways = 0.0
        for lives in product((0, 1), repeat=len(left)):
            if sum(lives) >= needed:
                chance = 1.0
                for alive, p in zip(lives, good, strict=True):
                    chance *= p if alive else 1 - p
                ways += chance
        assert chance_from_here(needed, left, loss) == pytest.approx(ways, abs=1e-12)


@pytest.mark.parametrize(("needed", "blanks"), [(4, 5), (8, 9), (16, 17), (8, 8), (3, 2)])
def test_with_all_of_them_at_the_start_it_is_the_binomial(needed: int, blanks: int) -> None:
    good = 0.98**8
    binomial = sum(comb(blanks, k) * good**k * (1 - good) ** (blanks - k)
                   for k in range(needed, blanks + 1))  # fmt: skip
    assert chance_from_here(needed, [8] * blanks, 0.02) == pytest.approx(binomial, abs=1e-12)


def test_impossible_counts_from_here() -> None:
    with pytest.raises(ValueError, match="counted from 0"):
        chance_from_here(1, [2, -1], 0.02)
    with pytest.raises(ValueError, match="loss"):
        chance_from_here(1, [2], 1.2)
