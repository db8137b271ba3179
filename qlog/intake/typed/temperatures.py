"""Temperatures as they are typed, in degrees Celsius."""

from __future__ import annotations

from decimal import Decimal, InvalidOperation

from qlog.intake.typed.values import SPELLINGS, Refusal, TypedError
from qlog.problem import ToSay

#: What a workpiece or an instrument may be at when it is measured by hand, on every road. Below
#: is no workshop; above nobody holds a piece, its expansion is no longer that at 20 °C, and the
#: number is far more often a reading in the wrong column.
COLDEST, HOTTEST = Decimal(-20), Decimal(200)


def celsius(text: str) -> Decimal:
    """A temperature; `23.5`, `23,5 C` and `23.5 °C` alike. Raises TypedError."""
    plain = text.translate(SPELLINGS).strip().upper()
    plain = plain.removesuffix("C").rstrip(" °").removesuffix("DEG").strip().replace(",", ".")
    try:
        value = Decimal(plain)
    except InvalidOperation:
        value = Decimal("NaN")
    if not value.is_finite() or not COLDEST <= value <= HOTTEST:
        raise TypedError(
            Refusal.TEMPERATURE,
            text,
            ToSay("error.workshop_temperature"),
            ToSay("error.write_degrees_celsius", coldest=COLDEST, hottest=HOTTEST),
        )
    return value
