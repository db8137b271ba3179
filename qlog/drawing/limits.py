"""Limits: the smallest and the largest value that a drawing allows, kept exactly."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from qlog.drawing.units import Unit


@dataclass(frozen=True, slots=True)
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
