"""Intervals: bad input, and limits that must agree with each other."""

from __future__ import annotations

import math

import pytest
from scipy import stats

from qlog.study.batch.intervals import (
    Interval,
    s_factors,
    scatter_interval,
    size_interval,
    t_quantile,
)


def test_an_interval_holds_its_ends() -> None:
    interval = Interval(1.0, 2.0, 0.95)
    assert 1.0 in interval and 2.0 in interval and 2.0001 not in interval


def test_readings_all_alike_give_a_point() -> None:
    assert size_interval(8, 0, 5) == Interval(8, 8, 0.95)
    assert scatter_interval(0, 5) == Interval(0, 0, 0.95)


def test_more_pieces_narrow_every_interval() -> None:
    low = [s_factors(n)[0] for n in (3, 8, 20, 100)]
    high = [s_factors(n)[1] for n in (3, 8, 20, 100)]
    assert low == sorted(low) and high == sorted(high, reverse=True)
    assert low[-1] < 1 < high[-1]


def test_quantile_of_t_without_end_is_the_normal_one() -> None:
    assert math.isclose(t_quantile(0.975, math.inf), 1.959964, rel_tol=1e-6)
    assert math.isclose(t_quantile(0.975, 1e9), t_quantile(0.975, math.inf), rel_tol=1e-6)


@pytest.mark.parametrize("nu", [1, 3.5, 10, 200])
def test_quantile_of_t_against_scipy(nu: float) -> None:
    for p in (0.001, 0.2, 0.5, 0.9, 0.975, 0.9999):
        expected = float(stats.t.ppf(p, nu))
        assert t_quantile(p, nu) == pytest.approx(expected, rel=1e-9, abs=1e-12)


def test_bad_input_is_refused() -> None:
    with pytest.raises(ValueError, match="at least 2"):
        size_interval(8, 0.1, 1)
    with pytest.raises(ValueError, match="not negative"):
        size_interval(8, -0.1, 5)
    with pytest.raises(ValueError, match="probability"):
        t_quantile(1.0, 5)
    with pytest.raises(ValueError, match="confidence"):
        s_factors(5, 95)


def test_ten_equal_readings_do_not_give_a_point_when_the_display_has_steps() -> None:
    # Ten times 30.02 on a display of 0.02: the mean may lie anywhere in the step.
    found = size_interval(30.02, 0.0, 10, step=0.02)
    assert (found.low, found.high) == pytest.approx((30.01, 30.03))
    scatter = scatter_interval(0.0, 10, step=0.02)
    assert scatter.low == 0 and 0 < scatter.high < 0.02


def test_an_error_that_all_readings_share_is_not_averaged_away() -> None:
    few = size_interval(30.02, 0.001, 5, shared=0.012)
    many = size_interval(30.02, 0.001, 100, shared=0.012)
    assert many.high - many.low > 2 * 1.95 * 0.012
    assert few.high - few.low > many.high - many.low


def test_without_steps_and_shared_error_it_is_the_textbook_interval() -> None:
    plain = size_interval(8, 0.1, 9)
    assert (plain.low, plain.high) == pytest.approx(stats.t.interval(0.95, 8, 8, 0.1 / 3))
    # s sqrt((n - 1) / chi2), NIST/SEMATECH e-Handbook 1.3.5.8.
    ends = [0.1 * math.sqrt(8 / stats.chi2.ppf(p, 8)) for p in (0.975, 0.025)]
    scatter = scatter_interval(0.1, 9)
    assert (scatter.low, scatter.high) == pytest.approx(ends)
    # Far above the step rounding hardly shows.
    far = size_interval(8, 0.1, 9, step=0.01)
    assert far.high == pytest.approx(plain.high, abs=1e-9)


def test_what_cannot_be_negative_has_no_interval_below_zero() -> None:
    assert size_interval(0.01, 0.02, 4, floor=0.0).low == 0.0


def test_wrong_spreads_are_refused() -> None:
    for bad in ({"step": -0.1}, {"shared": -0.1}):
        with pytest.raises(ValueError, match="not negative"):
            size_interval(8, 0.1, 5, **bad)
    with pytest.raises(ValueError, match="not negative"):
        scatter_interval(-0.1, 5)
