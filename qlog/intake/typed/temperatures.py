"""Temperatures as they are typed, in degrees Celsius."""

from __future__ import annotations

from decimal import Decimal, InvalidOperation

from qlog.drawing.units import Unit, from_fahrenheit
from qlog.intake.typed.parse import SPELLINGS, Refusal, TypedError
from qlog.problem import ToSay

#: What a workpiece or an instrument may be at when it is measured by hand, on every road. Below
#: is no workshop; above nobody holds a piece, its expansion is no longer that at 20 °C, and the
#: number is far more often a reading in the wrong column.
COLDEST, HOTTEST = Decimal(-20), Decimal(200)


#: Above this a bare number is more likely Fahrenheit, where people think in it.
WARM = Decimal(45)


def celsius(text: str, unit: Unit = Unit.MM) -> Decimal:
    """A temperature; `23.5`, `23,5 C` and `23.5 °C` alike, `72F` and `72 °F`. Raises TypedError.

    Fahrenheit is made Celsius to the hundredth, which no expansion in a workshop tells apart. On
    an inch drawing (`unit`) a bare number that would be a warm room in Fahrenheit is refused: 72
    may be either.
    """
    plain = written = text.translate(SPELLINGS).strip().upper()
    fahrenheit = plain.endswith("F")
    plain = plain.removesuffix("F" if fahrenheit else "C").rstrip(" °").removesuffix("DEG").strip()
    try:
        value = Decimal(plain.replace(",", "."))
    except InvalidOperation:
        value = Decimal("NaN")
    if unit is Unit.INCH and plain == written and value > WARM:
        raise TypedError(
            Refusal.TEMPERATURE,
            text,
            ToSay("error.celsius_or_fahrenheit"),
            ToSay("error.write_which_degrees", value=plain),
        )
    if fahrenheit and value.is_finite() and abs(value) < 1000:
        value = from_fahrenheit(value)
    if not value.is_finite() or not COLDEST <= value <= HOTTEST:
        raise TypedError(
            Refusal.TEMPERATURE,
            text,
            ToSay("error.workshop_temperature"),
            ToSay("error.write_degrees_celsius", coldest=COLDEST, hottest=HOTTEST),
        )
    return value
