"""Examples that a message offers, in the unit of the callout at hand."""

from __future__ import annotations

from qlog.drawing.units import Unit
from qlog.problem import ToSay


def size(unit: Unit) -> str:
    """A size with its tolerance."""
    if unit is Unit.INCH:
        return ToSay("error.size_inch")
    return ToSay("error.size_mm")


def tolerance(unit: Unit) -> str:
    """A tolerance behind a size."""
    return "±.005" if unit is Unit.INCH else "±0.1"


def deviations(unit: Unit) -> str:
    """Two deviations behind a size."""
    return "+.002/-.001" if unit is Unit.INCH else "+0.02/-0.01"


def chamfer(unit: Unit) -> str:
    """A chamfer."""
    return '".03 x 45° ±.01"' if unit is Unit.INCH else '"0.5 x 45° ±0.1"'


def geometry(name: str, unit: Unit) -> str:
    """A geometric tolerance, with and without datums."""
    amount = ".001" if unit is Unit.INCH else "0.02"
    return ToSay("error.geometry", example=f"{name} {amount}")


def general(unit: Unit) -> str:
    """A general tolerance for the build."""
    if unit is Unit.INCH:
        return 'general = ".XX ±.01, .XXX ±.005, angles ±1°"'
    return 'general = "ISO 2768-m"'
