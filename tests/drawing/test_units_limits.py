"""Units and limits: exact, and printed in full."""

from decimal import Decimal

import pytest

from qlog.drawing.limits import Limits, arc_seconds, format_exact
from qlog.drawing.units import Unit, convert

D = Decimal


def test_the_inch_is_exact():
    assert convert(D("0.375"), Unit.INCH, Unit.MM) == D("9.525")
    assert convert(D("25.4"), Unit.MM, Unit.INCH) == 1
    assert convert(D("0.8"), Unit.MICROMETRE, Unit.MM) == D("0.0008")
    assert convert(D("32"), Unit.MICROINCH, Unit.MICROMETRE) == D("0.8128")
    assert convert(D(3), Unit.DEGREE, Unit.DEGREE) == 3


@pytest.mark.parametrize(
    "pair", [(Unit.DEGREE, Unit.MM), (Unit.MM, Unit.EACH), (Unit.NONE, Unit.MM)]
)
def test_what_does_not_convert(pair):
    with pytest.raises(ValueError, match="no conversion"):
        convert(D(1), *pair)


def test_limits():
    limits = Limits(D("11.95"), D("12.05"), Unit.MM)
    assert limits.width == D("0.10")
    assert limits.middle == 12
    assert limits.contains(D("12.05")) and limits.contains(D("11.95"))
    assert not limits.contains(D("12.0500000001"))
    assert not limits.contains(D("11.9499999999"))
    assert str(limits) == "11.95..12.05 mm"


def test_limits_on_one_side():
    upper = Limits(None, D("0.8"), Unit.MICROMETRE)
    assert upper.width is None and upper.middle is None
    assert upper.contains(D(0)) and not upper.contains(D("0.81"))
    assert str(upper) == "0.8 µm max"
    assert str(Limits(D(3), None, Unit.EACH)) == "3 min"
    assert str(Limits(None, None, Unit.NONE)) == ""


def test_reversed_limits():
    with pytest.raises(ValueError, match="above upper limit"):
        Limits(D(2), D(1), Unit.MM)


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (D("8.015"), Unit.MM, "8.015"),
        (D("8.000"), Unit.MM, "8.000"),
        (D("1E+2"), Unit.MM, "100"),
        (D("0E-9"), Unit.MM, "0.000000000"),
        (D("1E-9"), Unit.MM, "0.000000001"),
        (D("44.5"), Unit.DEGREE, "44.5°"),
        (D(44) + D(50) / 60, Unit.DEGREE, "44°50'"),
        (D(1) / 3600, Unit.DEGREE, '0°1"'),
        (-D(10) / 60, Unit.DEGREE, "-10'"),
        (D(10 * 3600 + 61) / 3600, Unit.DEGREE, "10°1'1\""),
    ],
)
def test_printed_in_full(value, unit, text):
    assert format_exact(value, unit) == text


def test_seconds_come_back_from_degrees():
    for seconds in (0, 1, 59, 600, 3599, 3600, 161_400):
        assert arc_seconds(D(seconds) / 3600) == seconds


def test_symbols():
    assert [u.symbol for u in Unit][:6] == ["mm", "in", "°", "µm", "µin", ""]
