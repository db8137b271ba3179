"""Places of shown numbers: from callout and display, in both units."""

from decimal import Decimal

import pytest

from qlog.drawing.callouts.callout import Callout, Kind
from qlog.drawing.decimals import places_for, shortened
from qlog.drawing.limits import Limits
from qlog.drawing.units import Unit

D = Decimal


def callout(lower: str, upper: str, unit: Unit) -> Callout:
    return Callout("", Kind.DIAMETER, unit, None, Limits(D(lower), D(upper), unit), "as written")


@pytest.mark.parametrize(
    ("written", "unit", "step", "step_unit", "places"),
    [
        (callout("22", "22.05", Unit.MM), Unit.MM, None, None, 2),
        (callout("22", "22.05", Unit.MM), Unit.MM, D("0.001"), Unit.MM, 3),
        (callout("22", "22.05", Unit.MM), Unit.INCH, D("0.001"), Unit.MM, 5),  # 0.00004 in
        (callout("0.5000", "0.5010", Unit.INCH), Unit.INCH, D("0.0005"), Unit.INCH, 4),
        (callout("0.5000", "0.5010", Unit.INCH), Unit.MM, D("0.0005"), Unit.INCH, 3),  # 0.0025 mm
    ],
)
def test_places(
    written: Callout, unit: Unit, step: Decimal | None, step_unit: Unit | None, places: int
) -> None:
    assert places_for(written, unit, step, step_unit) == places


def test_a_shortened_number_is_rounded_and_never_nothing() -> None:
    assert str(shortened(D("0.8659842519685039370078740157"), 5)) == "0.86598"
    assert str(shortened(D("0.0000003"), 3)) == "3E-7"
    assert str(shortened(D("22.031"), 4)) == "22.031"
