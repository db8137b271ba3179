"""Units of the drawing, and the exact factors between those that measure the same quantity."""

from __future__ import annotations

from decimal import Decimal
from enum import StrEnum

#: Exact by definition since 1959 (international yard and pound agreement; ISO 80000-3).
MM_PER_INCH = Decimal("25.4")
#: Exact by the same agreement; an ounce (avoirdupois) is a sixteenth of a pound.
GRAMS_PER_POUND = Decimal("453.59237")


class Unit(StrEnum):
    """The unit in which a dimension's limits and its readings are given."""

    MM = "mm"
    INCH = "in"
    DEGREE = "deg"
    MICROMETRE = "um"
    MICROINCH = "uin"
    EACH = "each"
    GRAM = "g"
    KILOGRAM = "kg"
    OUNCE = "oz"
    POUND = "lb"
    HRA = "HRA"  # Rockwell, ISO 6508
    HRB = "HRB"
    HRC = "HRC"
    HV = "HV"  # Vickers, ISO 6507
    HBW = "HBW"  # Brinell, ISO 6506
    HK = "HK"  # Knoop, ISO 4545
    SHORE_A = "Shore A"  # ISO 868
    SHORE_D = "Shore D"
    GLOSS = "GU"  # gloss units, ISO 2813
    NONE = ""

    @property
    def symbol(self) -> str:
        """The unit as it is printed behind a value."""
        return {"deg": "°", "um": "µm", "uin": "µin", "each": ""}.get(self.value, self.value)


#: Hardness scales: numbers of two scales are never converted into one another.
HARDNESS = (Unit.HRA, Unit.HRB, Unit.HRC, Unit.HV, Unit.HBW, Unit.HK, Unit.SHORE_A, Unit.SHORE_D)

_TO_MM = {
    Unit.MM: Decimal(1),
    Unit.INCH: MM_PER_INCH,
    Unit.MICROMETRE: Decimal("0.001"),
    Unit.MICROINCH: MM_PER_INCH / 1_000_000,
}
_TO_GRAM = {
    Unit.GRAM: Decimal(1),
    Unit.KILOGRAM: Decimal(1000),
    Unit.OUNCE: GRAMS_PER_POUND / 16,
    Unit.POUND: GRAMS_PER_POUND,
}


def convert(value: Decimal, from_unit: Unit, to_unit: Unit) -> Decimal:
    """Convert a length, a mass or an angle exactly.

    Raises ValueError when the two units do not measure the same kind of quantity.
    """
    if from_unit is to_unit:
        return value
    for factors in (_TO_MM, _TO_GRAM):
        if from_unit in factors and to_unit in factors:
            return value * factors[from_unit] / factors[to_unit]
    raise ValueError(f"no conversion from {from_unit.value or 'no unit'} to {to_unit.value}")


def from_fahrenheit(degrees: Decimal) -> Decimal:
    """Degrees Fahrenheit as Celsius, to the hundredth: 68 is 20 (NIST SP 811:2008, B.8)."""
    return ((degrees - 32) * 5 / 9).quantize(Decimal("0.01")).normalize() + 0
