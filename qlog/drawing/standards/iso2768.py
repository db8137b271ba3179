"""ISO 2768-1 general tolerances: what a dimension without a tolerance is held to.

Table: `tables/iso2768_1.csv`, each row with its source.
"""

from __future__ import annotations

from decimal import Decimal

from qlog.drawing.callouts.callout import CalloutError
from qlog.drawing.standards.published import rows
from qlog.problem import ToSay

CLASSES = ("f", "m", "c", "v")


def deviation(nominal: Decimal, general: str, *, edge: bool = False) -> Decimal:
    """Plus and minus deviation in mm of a size in mm without a tolerance.

    `edge` takes the table of broken edges: external radii and chamfer heights.
    Raises CalloutError outside the table.
    """
    kind = "external_radius_or_chamfer_height_mm" if edge else "linear_mm"
    if nominal < Decimal("0.5"):
        what = ToSay("error.iso_does_hold", nominal=nominal)
        raise CalloutError(what, ToSay("error.write_tolerance_such_as", nominal=str(nominal)))
    found = _value(kind, nominal, general)
    if found is None:
        what = ToSay("error.iso_value_mm", general=general, nominal=nominal)
        raise CalloutError(what, ToSay("error.write_tolerance"))
    return found


def angle_seconds(side: Decimal, general: str) -> Decimal:
    """Plus and minus deviation in arc seconds of an angle by its shorter side in mm."""
    if side <= 0:
        raise CalloutError(ToSay("error.shorter_side_length"), ToSay("error.length_mm_above"))
    found = _value("angle_arcmin_by_shorter_side_mm", side, general)
    assert found is not None
    return found * 60


def _value(kind: str, size: Decimal, general: str) -> Decimal | None:
    if general not in CLASSES:
        raise CalloutError(
            ToSay("error.class_iso", general=general), ToSay("error.general_classes")
        )
    for row in rows("iso2768_1"):
        over, upto = Decimal(row["over_mm(0.5=from 0.5 incl)"]), row["up_to_incl_mm"]
        if row["kind"] != kind or (upto and size > Decimal(upto)):
            continue
        if size > over or size == over == Decimal("0.5"):
            return Decimal(row[general]) if row[general] else None
    return None
