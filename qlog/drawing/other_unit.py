"""Limits shown in the other unit of length beside their own, never wider than they are."""

from __future__ import annotations

from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from qlog.drawing.limits import Limits
from qlog.drawing.units import Unit, convert

_OTHER = {Unit.MM: Unit.INCH, Unit.INCH: Unit.MM}
#: What is lost by rounding stays below this share of the tolerance at each limit.
_SHARE = Decimal(50)
#: Decimals where no tolerance says how fine: the ten-thousandth of an inch, the hundredth of a mm.
_PLACES = {Unit.INCH: 4, Unit.MM: 3}
_MOST = 9


def in_other_unit(limits: Limits) -> Limits | None:
    """Limits in mm as inches and the other way round, rounded towards the inside.

    The step of the rounding is a fiftieth of the tolerance or finer, so that what is inside the
    limits shown is inside those of the drawing. None for what is no length in mm or inches.
    """
    unit = _OTHER.get(limits.unit)
    if unit is None:
        return None
    lower = None if limits.lower is None else convert(limits.lower, limits.unit, unit)
    upper = None if limits.upper is None else convert(limits.upper, limits.unit, unit)
    if lower is not None and upper is not None:
        if lower == upper:
            return Limits(lower, upper, unit)
        grid = _grid(upper - lower, 0)
    else:
        alone = upper if upper is not None else lower
        grid = _grid(abs(alone or Decimal(0)), _PLACES[unit])
    return Limits(
        None if lower is None else lower.quantize(grid, ROUND_CEILING),
        None if upper is None else upper.quantize(grid, ROUND_FLOOR),
        unit,
    )


def _grid(width: Decimal, least: int) -> Decimal:
    """The step of the rounding: a fiftieth of the width or finer, of at least so many decimals."""
    fine = width / _SHARE
    places = next(n for n in range(least, _MOST + 1) if n == _MOST or Decimal(1).scaleb(-n) <= fine)
    return Decimal(1).scaleb(-places)
