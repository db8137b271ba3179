"""Allowances learnt from before and after."""

from decimal import Decimal

import pytest

from qlog.study.batch.allowance import learn, ordered

dec = Decimal


def test_median_of_before_minus_after() -> None:
    found = learn(
        [(dec("8.020"), dec("8.012")), (dec("8.018"), dec("8.011")), (dec("8.025"), dec("7.925"))]
    )
    assert found is not None
    assert (found.amount, found.count, found.spread) == (dec("0.008"), 3, dec("0.093"))


def test_plating_grows_and_is_negative() -> None:
    found = learn([(dec("7.980"), dec("7.990")), (dec("7.982"), dec("7.991"))])
    assert found is not None
    assert found.amount == dec("-0.0095")
    size, uncertainty = found.predict(dec("7.981"), dec("0.002"))
    assert size == dec("7.9905")
    # s of 10 and 9 micrometres is 0.000707; with the median of two: s² (1 + pi/4).
    assert uncertainty is not None
    expected = (0.002**2 + 0.5e-6 * (1 + 3.14159265 / 4)) ** 0.5
    assert float(uncertainty) == pytest.approx(expected, rel=1e-6)


def test_one_piece_tells_no_scatter_and_none_tells_nothing() -> None:
    found = learn([(dec("5"), dec("4.9"))])
    assert found is not None
    assert (found.spread, found.uncertainty) == (None, None)
    assert found.predict(dec("5"), dec("0.01")) == (dec("4.9"), None)
    assert learn([]) is None


def test_an_order_promises_its_middle_and_a_rectangle() -> None:
    # A plain diameter grows by twice the layer; JCGM 100:2008, 4.3.7: u = a / sqrt(3), here
    # a = 2 x 0.001.
    found = ordered(2, dec("0.004"), dec("0.006"))
    assert (found.amount, found.count, found.spread) == (dec("-0.010"), 0, dec("0.004"))
    assert found.uncertainty is not None
    assert abs(float(found.uncertainty) - 0.002 / 3**0.5) < 1e-15
    assert ordered(-2, dec("0.004"), dec("0.006")).amount == dec("0.010")  # a bore shrinks
    assert ordered(2, dec("-0.03"), dec("-0.02")).amount == dec("0.05")  # electropolish takes off
    with pytest.raises(ValueError, match="wrong way round"):
        ordered(2, dec("0.006"), dec("0.004"))
