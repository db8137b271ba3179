"""Known biases of a way of measuring: said as warnings, never corrected silently."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from qlog.drawing.units import Unit, convert

#: Flats and gap of a caliper's inside jaws together, mm (common practice; measure your own).
JAW_FLAT_MM = Decimal("0.5")


class Weight(StrEnum):
    """How much a finding matters."""

    NOTE = "note"
    WARNING = "warning"


@dataclass(frozen=True, slots=True)
class Finding:
    """Something about a way of measuring that the reader must know."""

    weight: Weight
    text: str
    amount: Decimal  # unit of the dimension
    share: Decimal  # of the tolerance


def bore_with_jaws(
    diameter: Decimal, tolerance: Decimal, unit: Unit = Unit.MM, flat: Decimal | None = None
) -> Finding | None:
    """A bore read with caliper jaws: reads low because the jaws' flats lie on a chord.

    The chord of a flat w in a bore D is D minus about w^2 / 2D (geometry; the exact
    D - sqrt(D^2 - w^2) is used). `diameter`, `tolerance` and `flat` in `unit`; without a flat,
    0.5 mm. None when it is no more than a tenth of the tolerance.

    Raises ValueError when the jaws do not go into the bore, or the tolerance is not above 0.
    """
    width = convert(JAW_FLAT_MM, Unit.MM, unit) if flat is None else flat
    if diameter <= width:
        raise ValueError(f"jaws {width} wide do not go into a bore of {diameter}")
    _check(tolerance)
    amount = diameter - (diameter * diameter - width * width).sqrt()
    if 10 * amount <= tolerance:
        return None
    return Finding(
        weight=Weight.WARNING,
        text=(
            f"caliper jaws read this bore low by about {_short(amount)} {unit.symbol}: "
            "use a pin, a plug or a bore gauge"
        ),
        amount=amount,
        share=amount / tolerance,
    )


def too_coarse(error: Decimal, tolerance: Decimal, unit: Unit = Unit.MM) -> Finding | None:
    """An instrument whose error limit takes too much of the tolerance, both in `unit`.

    A tenth of the tolerance is wanted and a fifth is often the practical best (NPL, frequently
    asked questions on length): a note above a tenth, a warning above a fifth, else None.

    Raises ValueError for a negative error or a tolerance that is not above 0.
    """
    if error < 0:
        raise ValueError(f"an error limit is 0 or more, not {error}")
    _check(tolerance)
    if 10 * error <= tolerance:
        return None
    coarse = 5 * error > tolerance
    part = "more than a fifth" if coarse else "more than a tenth"
    return Finding(
        weight=Weight.WARNING if coarse else Weight.NOTE,
        text=(
            f"the instrument may be off by {error:f} {unit.symbol}, {part} of the tolerance of "
            f"{tolerance:f} {unit.symbol}"
            + (": take a finer one where there is one" if coarse else "")
        ),
        amount=error,
        share=error / tolerance,
    )


def _short(amount: Decimal) -> str:
    """One significant digit more than the first, without an exponent."""
    return f"{amount.quantize(Decimal(1).scaleb(amount.adjusted() - 1)):f}"


def _check(tolerance: Decimal) -> None:
    if not tolerance > 0:
        raise ValueError(f"a tolerance is above 0, not {tolerance}")
