"""A batch in figures."""

from __future__ import annotations

import statistics
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from qlog.drawing.limits import Limits
from qlog.drawing.units import Unit
from qlog.study.batch.summary import summarise

D = Decimal
BORE = Limits(D("8"), D("8.015"), Unit.MM)


def test_of_what_ends_at_zero_the_largest_uses_up_the_tolerance() -> None:
    runout = Limits(D("0"), D("0.02"), Unit.MM)
    values = [D("0.015"), D("0.016"), D("0.018")]
    assert summarise(values, runout, zero_based=True).share_used == D("0.9")
    assert summarise(values, runout).share_used == D("0.15")
    rough = Limits(None, D("0.8"), Unit.MICROMETRE)
    assert summarise([D("0.4"), D("0.6")], rough, zero_based=True).share_used == D("0.75")
    assert summarise([D("0.4"), D("0.6")], rough).share_used is None


def test_a_batch_of_bores() -> None:
    found = summarise([D(v) for v in ("8.003", "8.016", "7.999", "8.006", "8.017")], BORE)
    assert found.n == 5
    assert found.mean == D("8.0082")
    assert (found.minimum, found.maximum, found.spread) == (D("7.999"), D("8.017"), D("0.018"))
    assert found.median == D("8.006")
    assert found.tolerance == D("0.015") and found.share_used == D("1.2")


def test_readings_on_the_limits_use_all_of_the_tolerance() -> None:
    found = summarise([D("8"), D("8.015")], BORE)
    assert found.share_used == 1
    assert found.median == D("8.0075")


def test_a_single_reading_has_no_spread_to_speak_of() -> None:
    found = summarise([D("8.003")], BORE)
    assert found.s is None and found.spread == 0


def test_one_limit_gives_no_share() -> None:
    found = summarise([D("0.01"), D("0.03")], Limits(None, D("0.02"), Unit.MM))
    assert found.tolerance is None and found.share_used is None


def test_a_float_counts_as_the_number_that_was_typed() -> None:
    assert summarise([0.1, 0.2]).mean == D("0.15")


def test_no_readings_and_no_numbers_are_refused() -> None:
    with pytest.raises(ValueError, match="no readings"):
        summarise([])
    for bad in (D("NaN"), float("inf")):
        with pytest.raises(ValueError, match="finite"):
            summarise([D(1), bad])


@given(st.lists(st.decimals(-1000, 1000, places=4), min_size=2, max_size=30))
def test_against_the_statistics_module(values: list[Decimal]) -> None:
    found = summarise(values)
    assert found.s is not None
    assert abs(found.mean - statistics.mean(values)) < D("1e-20")
    assert abs(found.s - statistics.stdev(values)) < D("1e-20")
    assert found.median == statistics.median(values)


@given(st.lists(st.integers(-50, 50), min_size=2, max_size=12), st.integers(0, 10**12))
def test_leading_digits_cost_nothing(values: list[int], shift: int) -> None:
    plain = summarise([D(v) for v in values])
    shifted = summarise([D(v + shift) for v in values])
    assert shifted.s == plain.s and shifted.spread == plain.spread
    assert abs(shifted.mean - plain.mean - shift) < D("1e-14")
