"""Limits in the other unit: inside those of the drawing, and fine enough for the tolerance."""

from decimal import Decimal

import pytest

from qlog.drawing.limits import Limits
from qlog.drawing.other_unit import in_other_unit
from qlog.drawing.units import Unit, convert

D = Decimal


@pytest.mark.parametrize(
    ("lower", "upper", "unit", "shown"),
    [
        # 8 / 25.4 = .314960..., 8.015 / 25.4 = .315551...: rounded up and down
        ("8", "8.015", Unit.MM, (".31497", ".31555")),
        # 11.9 / 25.4 = .468503..., 12.1 / 25.4 = .476377...
        ("11.9", "12.1", Unit.MM, (".4686", ".4763")),
        # .495 x 25.4 = 12.573, .505 x 25.4 = 12.827
        (".495", ".505", Unit.INCH, ("12.573", "12.827")),
        (None, "0.02", Unit.MM, (None, ".00078")),
        ("1.5", None, Unit.INCH, ("38.100", None)),
    ],
)
def test_rounded_towards_the_inside(lower, upper, unit, shown) -> None:
    limits = Limits(D(lower) if lower else None, D(upper) if upper else None, unit)
    other = in_other_unit(limits)
    assert other is not None and other.unit is not unit
    assert (other.lower, other.upper) == tuple(D(s) if s else None for s in shown)
    for own, there in ((limits.lower, other.lower), (limits.upper, other.upper)):
        if own is not None and there is not None:
            assert limits.contains(convert(there, other.unit, unit))


def test_what_is_no_length_in_mm_or_inches_has_no_other_unit() -> None:
    assert in_other_unit(Limits(D(58), D(62), Unit.HRC)) is None
    assert in_other_unit(Limits(None, D("0.8"), Unit.MICROMETRE)) is None
