"""Sizes that no instrument reads at once: by which rule one is computed, and from what.

The rules, and where they are published, stand in `formulas`; the sums in `study.derived`.
"""

from __future__ import annotations

import re
from decimal import Decimal

from qlog.drawing.units import Unit
from qlog.frozen import frozen


@frozen
class Input:
    """What one name of a rule stands for: a dimension that is read, or a size that is known."""

    name: str
    dimension: str | None
    value: Decimal | None = None
    half: Decimal = Decimal(0)  # the known size lies within -+ this
    unit: Unit = Unit.MM


@frozen
class Derived:
    """How a dimension is computed."""

    rule: str
    inputs: tuple[Input, ...]

    @property
    def read(self) -> tuple[str, ...]:
        """Ids of the dimensions that are read for it, each once."""
        return tuple(dict.fromkeys(i.dimension for i in self.inputs if i.dimension is not None))


_KNOWN = r"\s*(\d*[.,]?\d+)\s*(?:(?:±|\+/?-)\s*(\d*[.,]?\d+))?\s*(mm|in|inch|\"|°|deg)?\s*"


def known_size(text: str, unit: Unit) -> tuple[Decimal, Decimal, Unit] | None:
    """A size known beforehand with what it may be off by: `0.895 ±0.0005`; None for no size.

    `unit` holds where none is written.
    """
    found = re.fullmatch(_KNOWN, text)
    if found is None:
        return None
    value, half = (Decimal((found[n] or "0").replace(",", ".")) for n in (1, 2))
    written = {"mm": Unit.MM, "°": Unit.DEGREE, "deg": Unit.DEGREE, None: unit}
    return value, half, written.get(found[3], Unit.INCH)
