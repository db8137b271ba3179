"""Examples that a message offers, in the unit of the callout at hand."""

from __future__ import annotations

from qlog.drawing.units import Unit


def size(unit: Unit) -> str:
    """A size with its tolerance."""
    if unit is Unit.INCH:
        return 'a size with its tolerance, such as ".500 ±.005", ".505/.500" or ".505 max"'
    return 'a size with its tolerance, such as "12 ±0.05", "Ø8 H7", "11.95..12.05" or "12 max"'


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
    return f'"{name} {amount}", with datums "{name} {amount} to A"'


def general(unit: Unit) -> str:
    """A general tolerance for the build."""
    if unit is Unit.INCH:
        return 'general = ".XX ±.01, .XXX ±.005, angles ±1°"'
    return 'general = "ISO 2768-m"'
