"""Units of the drawing and the exact factor between inch and millimetre."""

from __future__ import annotations

from decimal import Decimal
from enum import StrEnum

#: Exact by definition since 1959 (international yard and pound agreement; ISO 80000-3).
MM_PER_INCH = Decimal("25.4")


class Unit(StrEnum):
    """The unit in which a dimension's limits and its readings are given."""

    MM = "mm"
    INCH = "in"
    DEGREE = "deg"
    MICROMETRE = "um"
    MICROINCH = "uin"
    EACH = "each"
    NONE = ""

    @property
    def symbol(self) -> str:
        """The unit as it is printed behind a value."""
        return {"deg": "°", "um": "µm", "uin": "µin", "each": ""}.get(self.value, self.value)


def convert(value: Decimal, from_unit: Unit, to_unit: Unit) -> Decimal:
    """Convert a length or angle exactly.

    Raises ValueError when the two units do not measure the same kind of quantity.
    """
    if from_unit is to_unit:
        return value
    to_mm = {
        Unit.MM: Decimal(1),
        Unit.INCH: MM_PER_INCH,
        Unit.MICROMETRE: Decimal("0.001"),
        Unit.MICROINCH: MM_PER_INCH / 1_000_000,
    }
    if from_unit not in to_mm or to_unit not in to_mm:
        raise ValueError(f"no conversion from {from_unit.value or 'no unit'} to {to_unit.value}")
    return value * to_mm[from_unit] / to_mm[to_unit]
