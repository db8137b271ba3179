"""Allowances learnt from before and after."""

from decimal import Decimal as D

import pytest

from qlog.study.allowance import learn


def test_median_of_before_minus_after() -> None:
    found = learn([(D("8.020"), D("8.012")), (D("8.018"), D("8.011")), (D("8.025"), D("7.925"))])
    assert found is not None
    assert (found.amount, found.count, found.spread) == (D("0.008"), 3, D("0.093"))


def test_plating_grows_and_is_negative() -> None:
    found = learn([(D("7.980"), D("7.990")), (D("7.982"), D("7.991"))])
    assert found is not None
    assert found.amount == D("-0.0095")
    size, uncertainty = found.predict(D("7.981"), D("0.002"))
    assert size == D("7.9905")
    # s of 10 and 9 micrometres is 0.000707; with the median of two: s² (1 + pi/4).
    assert uncertainty is not None
    expected = (0.002**2 + 0.5e-6 * (1 + 3.14159265 / 4)) ** 0.5
    assert float(uncertainty) == pytest.approx(expected, rel=1e-6)


def test_one_piece_tells_no_scatter_and_none_tells_nothing() -> None:
    found = learn([(D("5"), D("4.9"))])
    assert found is not None
    assert (found.spread, found.uncertainty) == (None, None)
    assert found.predict(D("5"), D("0.01")) == (D("4.9"), None)
    assert learn([]) is None
