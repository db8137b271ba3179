"""ISO 2768-1 general tolerances: what a dimension without a tolerance is held to.

Table: `tables/iso2768_1.csv`, each row with its source.
"""

from __future__ import annotations

from decimal import Decimal

from qlog.drawing.callouts.callout import CalloutError
from qlog.drawing.standards.tables import rows

CLASSES = ("f", "m", "c", "v")


def deviation(nominal: Decimal, general: str, *, edge: bool = False) -> Decimal:
    """Plus and minus deviation in mm of a size in mm without a tolerance.

    `edge` takes the table of broken edges: external radii and chamfer heights.
    Raises CalloutError outside the table.
    """
    kind = "external_radius_or_chamfer_height_mm" if edge else "linear_mm"
    if nominal < Decimal("0.5"):
        raise CalloutError(
            f"ISO 2768-1 does not hold below 0.5 mm, and {nominal} has no tolerance of its own",
            f'the tolerance with the size: "{nominal} ±0.05"',
        )
    found = _value(kind, nominal, general)
    if found is None:
        raise CalloutError(
            f"ISO 2768-1 {general} has no value at {nominal} mm", "a tolerance with the size"
        )
    return found


def angle_seconds(side: Decimal, general: str) -> Decimal:
    """Plus and minus deviation in arc seconds of an angle by its shorter side in mm."""
    if side <= 0:
        raise CalloutError("the shorter side has no length", "a length in mm above 0")
    found = _value("angle_arcmin_by_shorter_side_mm", side, general)
    assert found is not None
    return found * 60


def _value(kind: str, size: Decimal, general: str) -> Decimal | None:
    if general not in CLASSES:
        raise CalloutError(f"{general} is no class of ISO 2768-1", "f, m, c or v")
    for row in rows("iso2768_1"):
        over, upto = Decimal(row["over_mm(0.5=from 0.5 incl)"]), row["up_to_incl_mm"]
        if row["kind"] != kind or (upto and size > Decimal(upto)):
            continue
        if size > over or size == over == Decimal("0.5"):
            return Decimal(row[general]) if row[general] else None
    return None
