"""What tells finished items apart, and how close their sizes came: on figures known by hand."""

from decimal import Decimal
from types import SimpleNamespace
from typing import Any

from qlog.drawing.callouts.callout import Kind
from qlog.drawing.limits import Limits
from qlog.drawing.units import Unit
from qlog.review.items.finished import Closeness, closeness, differ


def size(value: str, u: str | None, *, part: str = "cup", piece: int = 1, dim: str = "bore") -> Any:
    return SimpleNamespace(
        piece=SimpleNamespace(part=part, number=piece),
        series=SimpleNamespace(dimension=SimpleNamespace(id=dim)),
        value=Decimal(value),
        reading=SimpleNamespace(uncertainty=None if u is None else Decimal(u)),
    )


def test_a_difference_counts_above_four_times_its_standard_uncertainty() -> None:
    """u of the difference: sqrt(3^2 + 4^2) = 5 um, so that 20 um is not yet certain."""
    one = [size("8.000", "0.003")]
    assert not differ(one, [size("8.020", "0.004")])
    assert differ(one, [size("8.0201", "0.004")])


def test_an_unknown_uncertainty_and_another_dimension_tell_nothing() -> None:
    assert not differ([size("8.000", None)], [size("9.000", "0.001")])
    assert not differ([size("8.000", "0.001")], [size("9.000", "0.001", dim="height")])
    assert not differ([], [])


def test_a_part_that_goes_in_twice_tells_nothing() -> None:
    one = [size("8.000", "0.001"), size("8.100", "0.001", piece=2)]
    other = [size("8.100", "0.001", piece=3), size("8.000", "0.001", piece=4)]
    assert not differ(one, other)


def read(away: str, unit: Unit, kind: Kind = Kind.DIAMETER) -> Any:
    return SimpleNamespace(
        series=SimpleNamespace(callout=SimpleNamespace(kind=kind)),
        reading=SimpleNamespace(
            judgement=SimpleNamespace(
                deviation_from_middle=Decimal(away), limits=Limits(None, None, unit)
            )
        ),
    )


def test_lengths_of_every_unit_count_and_nothing_else() -> None:
    """0.254 mm, 0.02 mm, 0.3 mm; the angle and the runout have no length to come close by."""
    sizes = [
        read("-0.01", Unit.INCH),
        read("20", Unit.MICROMETRE),
        read("0.3", Unit.MM),
        read("2", Unit.DEGREE),
        read("0.001", Unit.MM, Kind.GEOMETRY),
    ]
    assert closeness(sizes, Unit.MM) == Closeness(3, Decimal("0.254"), Unit.MM)
    assert closeness(sizes[:2], Unit.MM) is None
