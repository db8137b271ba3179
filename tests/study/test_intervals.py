"""Intervals: bad input, and limits that must agree with each other."""

from __future__ import annotations

import math

import pytest
from scipy import stats

from qlog.study.batch.intervals import (
    Interval,
    mean_interval,
    s_factors,
    s_interval,
    t_quantile,
)


def test_an_interval_holds_its_ends() -> None:
    interval = Interval(1.0, 2.0, 0.95)
    assert 1.0 in interval and 2.0 in interval and 2.0001 not in interval


def test_readings_all_alike_give_a_point() -> None:
    assert mean_interval(8, 0, 5) == Interval(8, 8, 0.95)
    assert s_interval(0, 5) == Interval(0, 0, 0.95)


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
        mean_interval(8, 0.1, 1)
    with pytest.raises(ValueError, match="not negative"):
        mean_interval(8, -0.1, 5)
    with pytest.raises(ValueError, match="not negative"):
        s_interval(-0.1, 5)
    with pytest.raises(ValueError, match="probability"):
        t_quantile(1.0, 5)
    with pytest.raises(ValueError, match="confidence"):
        s_factors(5, 95)
