"""How close the sizes of an item came, said with a thing that one knows."""

from __future__ import annotations

from decimal import ROUND_CEILING, Decimal

from qlog.drawing.units import Unit, convert
from qlog.review.items.finished import Closeness
from qlog.words.catalogue import Words
from qlog.words.values import fixed, with_unit

#: A human hair is about so thick, in millimetres (0.05 to 0.1; common knowledge, rounded).
HAIR = Decimal("0.07")
#: Decimals of the distance, which is rounded up so that the sentence stays true.
_DECIMALS = {Unit.MM: 3, Unit.INCH: 4}


def closeness_text(found: Closeness | None, words: Words) -> str:
    """One sentence on the distance from the middle and one on the hair; "" for nothing known."""
    if found is None:
        return ""
    decimals = _DECIMALS[found.unit]
    shown = found.within.quantize(Decimal(1).scaleb(-decimals), ROUND_CEILING)
    typical = with_unit(words.number(fixed(shown, decimals)), found.unit.symbol)
    said = words("closeness.half", n=found.count, typical=typical)
    hair = _hair(convert(found.within, found.unit, Unit.MM), words)
    return f"{said} {hair}" if hair else said


def _hair(within: Decimal, words: Words) -> str:
    if within * 2 > HAIR:
        return words("closeness.hair") if within <= HAIR * Decimal("1.5") else ""
    times = int((HAIR / within).to_integral_value()) if within else 0
    if 2 <= times <= 20:
        return words("closeness.hair_part", times=words(f"times.{times}"))
    return words("closeness.tiny")
