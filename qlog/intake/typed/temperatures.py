"""Temperatures as they are typed, in degrees Celsius."""

from __future__ import annotations

from decimal import Decimal, InvalidOperation

from qlog.problem import Problem

COLDEST, HOTTEST = Decimal(-20), Decimal(200)


def celsius(text: str) -> Decimal:
    """A temperature; `23.5`, `23,5 C` and `23.5 °C` alike. Raises Problem."""
    plain = text.strip().upper().removesuffix("C").rstrip(" °").replace(",", ".")
    try:
        value = Decimal(plain)
    except InvalidOperation:
        value = Decimal("NaN")
    if not value.is_finite() or not COLDEST <= value <= HOTTEST:
        raise Problem(f"{text!r} is no workshop temperature; write degrees Celsius, such as 23.5")
    return value
