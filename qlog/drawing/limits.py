"""Limits: the smallest and the largest value that a drawing allows, kept exactly."""

from __future__ import annotations

from decimal import Decimal

from qlog.drawing.units import Unit, convert
from qlog.frozen import frozen

#: More digits than this are a third or a sixtieth that does not end: an angle written in minutes.
_ENDING = 20


@frozen
class Limits:
    """Lower and upper limit in one unit; either may be absent, never both reversed.

    Raises ValueError when the lower limit lies above the upper one.
    """

    lower: Decimal | None
    upper: Decimal | None
    unit: Unit

    def __post_init__(self) -> None:
        if self.lower is not None and self.upper is not None and self.lower > self.upper:
            raise ValueError(f"lower limit {self.lower} lies above upper limit {self.upper}")

    @property
    def width(self) -> Decimal | None:
        """Tolerance width, upper minus lower limit; None when one of them is absent."""
        if self.lower is None or self.upper is None:
            return None
        return self.upper - self.lower

    @property
    def middle(self) -> Decimal | None:
        """Middle of the tolerance; None when one limit is absent."""
        if self.lower is None or self.upper is None:
            return None
        return (self.lower + self.upper) / 2

    def contains(self, value: Decimal) -> bool:
        """Whether the value lies between the limits, the limits themselves included."""
        return not (
            (self.lower is not None and value < self.lower)
            or (self.upper is not None and value > self.upper)
        )

    def to(self, unit: Unit) -> Limits:
        """The same limits in another unit, exactly.

        Raises ValueError when the two units do not measure the same kind of quantity.
        """
        if unit is self.unit:
            return self
        lower, upper = (
            None if end is None else convert(end, self.unit, unit)
            for end in (self.lower, self.upper)
        )
        return Limits(lower, upper, unit)

    def __str__(self) -> str:
        symbol = self.unit.symbol
        behind = f" {symbol}" if symbol and self.unit is not Unit.DEGREE else ""
        if self.lower is None and self.upper is None:
            return ""
        if self.lower is None and self.upper is not None:
            return f"{format_exact(self.upper, self.unit)}{behind} max"
        if self.upper is None and self.lower is not None:
            return f"{format_exact(self.lower, self.unit)}{behind} min"
        assert self.lower is not None and self.upper is not None
        lower, upper = format_exact(self.lower, self.unit), format_exact(self.upper, self.unit)
        return f"{lower}{between(upper)}{upper}{behind}"


def clearance(inside: Limits, outside: Limits) -> Limits:
    """Inside minus outside at worst: smallest inside on largest outside, and the opposite.

    A limit that is absent leaves its side of the clearance open. Both in the same unit;
    raises ValueError when they are not.
    """
    if inside.unit is not outside.unit:
        raise ValueError(f"{inside.unit} and {outside.unit} in one joint")
    lower = None if inside.lower is None or outside.upper is None else inside.lower - outside.upper
    upper = None if inside.upper is None or outside.lower is None else inside.upper - outside.lower
    return Limits(lower, upper, inside.unit)


def format_exact(value: Decimal, unit: Unit = Unit.NONE) -> str:
    """The value in full, never rounded and never with an exponent; without its unit.

    Inches have no zero before the point (ASME Y14.5).

    Angles carry their degree sign; one whose decimals do not end (10' is 0.1666...°) is
    written in degrees, minutes and seconds, which is exact.
    """
    if unit is Unit.INCH:
        return without_zero(format(value, "f"))
    if unit is not Unit.DEGREE:
        return format(value, "f")
    if len(value.as_tuple().digits) <= _ENDING:
        return f"{value:f}°"
    sign = "-" if value < 0 else ""
    seconds = arc_seconds(abs(value))
    degrees, rest = divmod(seconds, 3600)
    minutes, seconds = divmod(rest, 60)
    text = f"{sign}{degrees:f}°" if degrees or not minutes else sign
    if minutes:
        text += f"{minutes:f}'"
    if seconds:
        text += f'{seconds:f}"'
    return text


def between(upper: str) -> str:
    """What stands between two limits: three points in a row would hide where the number begins."""
    return " .. " if upper.startswith(".") else ".."


def without_zero(text: str) -> str:
    """A number as inch drawings write it: .375, -.002 and ±.001, but 0 and 1.25 (ASME Y14.5)."""
    sign = text[:1] if text[:1] in ("-", "+", "±", "\N{MINUS SIGN}") else ""
    digits = text[len(sign) :]
    return sign + digits[1:] if digits.startswith(("0.", "0,")) else text


def arc_seconds(degrees: Decimal) -> Decimal:
    """Degrees back to the arc seconds that they came from, to a millionth of a second."""
    seconds = (degrees * 3600).quantize(Decimal("0.000001")).normalize()
    return seconds if seconds.as_tuple().exponent <= 0 else seconds.quantize(Decimal(1))  # type: ignore[operator]
