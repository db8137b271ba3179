"""Pieces mixed up: the swap that explains the readings, and none where there is none."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from qlog.study.batch.mixup import Reread, swapped

D = Decimal
S = D("0.002")
DIAMETER = {1: D("19.990"), 2: D("19.978"), 3: D("19.995"), 4: D("19.985")}
LENGTH = {1: D("60.03"), 2: D("60.00"), 3: D("59.98"), 4: D("60.01")}


def exchanged(sizes: dict[int, Decimal], i: int, j: int) -> dict[int, Decimal]:
    return {**sizes, i: sizes[j], j: sizes[i]}


def rounds(i: int, j: int, shift: str = "0") -> list[Reread]:
    return [
        Reread(DIAMETER, {p: v + D(shift) for p, v in exchanged(DIAMETER, i, j).items()}, S),
        Reread(LENGTH, exchanged(LENGTH, i, j), D("0.01")),
    ]


def test_a_swapped_pair_is_named() -> None:
    (found,) = swapped(rounds(2, 3))
    assert found.pieces == (2, 3)
    # By hand: (0.017 / 0.002)^2 + (0.02 / 0.01)^2.
    assert found.gain == pytest.approx(8.5**2 + 2**2)


def test_pieces_in_order_are_left_alone() -> None:
    assert swapped(rounds(1, 1)) == ()


def test_a_common_shift_is_no_swap_and_hides_none() -> None:
    assert swapped(rounds(1, 1, shift="0.02")) == ()
    assert [s.pieces for s in swapped(rounds(2, 3, shift="0.02"))] == [(2, 3)]


def test_two_swaps_name_no_piece_twice() -> None:
    both = [Reread(d.before, exchanged(dict(d.after), 1, 4), d.s) for d in rounds(2, 3)]
    assert {s.pieces for s in swapped(both, least_gain=5)} == {(2, 3), (1, 4)}


def test_one_dimension_is_not_enough() -> None:
    assert swapped(rounds(2, 3)[:1]) == ()
    # Nor are two, when the second was not read again on one of the pair.
    diameter, length = rounds(2, 3)
    pair = {p: diameter.after[p] for p in (2, 3)}
    partly = {2: length.after[2]}
    assert (
        swapped(
            [Reread(diameter.before, pair, diameter.s), Reread(length.before, partly, length.s)]
        )
        == ()
    )


def test_pieces_too_alike_to_tell_stay_unnamed() -> None:
    coarse = [Reread(d.before, d.after, D("0.05")) for d in rounds(2, 3)]
    assert swapped(coarse) == ()


@given(st.lists(st.tuples(*[st.integers(-30, 30)] * 4), min_size=2, max_size=3))
def test_gain_is_what_the_exchange_takes_off_the_sum(rows: list[tuple[int, int, int, int]]) -> None:
    dims = [Reread({1: D(a), 2: D(b)}, {1: D(c), 2: D(d)}, D(3)) for a, b, c, d in rows]
    kept = sum((a - c) ** 2 + (b - d) ** 2 for a, b, c, d in rows) / 18
    turned = sum((a - d) ** 2 + (b - c) ** 2 for a, b, c, d in rows) / 18
    found = swapped(dims, least_gain=0)
    if kept - turned > 1e-9:
        assert found[0].gain == pytest.approx(kept - turned)
    else:
        assert found == () or found[0].gain < 1e-9


def test_the_gain_that_is_asked_for() -> None:
    # 12 exactly is not more than 12: 2 x 3 + 2 x 3 in units of s.
    def pair(second: str) -> list[Reread]:
        first = Reread({1: D(0), 2: D(2)}, {1: D(3), 2: D(0)}, D(1))
        return [first, Reread({1: D(0), 2: D(2)}, {1: D(second), 2: D(0)}, D(1))]

    assert swapped(pair("3")) == ()
    (found,) = swapped(pair("3.1"))
    assert found.gain == pytest.approx(12.2)


def test_an_impossible_s_is_refused() -> None:
    with pytest.raises(ValueError, match="above 0"):
        swapped([Reread({1: D(1)}, {1: D(1)}, D(0))])
