"""How QIF 3.0 (ISO 23952:2020) names what a callout asks for, and which unit a number carries.

A `Characteristic` says which of the standard's a callout is, and writes what its definition asks
and what its nominal wants. Where the standard has none (a chamfer, a case depth), or asks for
a geometry that no callout holds (the direction of a line profile), it is a user-defined one.
"""

from __future__ import annotations

from decimal import Decimal
from xml.etree.ElementTree import Element, SubElement

from qlog.drawing.callouts.callout import Callout, Kind
from qlog.drawing.limits import Limits
from qlog.drawing.units import Unit
from qlog.frozen import frozen

#: Unit -> its name, the quantity, and its size in the SI unit of that quantity.
#: Lengths and masses are exact by the agreement of 1959; a degree is pi/180 (ISO 80000-3).
UNITS = {
    Unit.MM: ("mm", "Linear", Decimal("0.001")),
    Unit.INCH: ("inch", "Linear", Decimal("0.0254")),
    Unit.MICROMETRE: ("um", "Linear", Decimal("0.000001")),
    Unit.MICROINCH: ("uin", "Linear", Decimal("0.0000000254")),
    Unit.DEGREE: ("degree", "Angular", Decimal("0.017453292519943296")),
    Unit.GRAM: ("g", "Mass", Decimal("0.001")),
    Unit.KILOGRAM: ("kg", "Mass", Decimal(1)),
    Unit.OUNCE: ("oz", "Mass", Decimal("0.028349523125")),
    Unit.POUND: ("lb", "Mass", Decimal("0.45359237")),
}
SI_NAMES = {"Linear": "meter", "Angular": "radian", "Mass": "kilogram"}

_SIZES = {
    Kind.LENGTH: "Length",
    Kind.DIAMETER: "Diameter",
    Kind.RADIUS: "Radius",
    Kind.DEPTH: "Depth",
    Kind.LAYER: "Thickness",
    Kind.ANGLE: "Angle",
}
#: Geometric tolerances by the name in a callout: the characteristic, and what it wants beside the
#: tolerance: a material condition, and the shape of the zone where that is no diameter.
_GEOMETRY = {
    "runout": ("CircularRunout", False, ""),
    "total runout": ("TotalRunout", False, ""),
    "flatness": ("Flatness", False, ""),
    "roundness": ("Circularity", False, ""),
    "cylindricity": ("Cylindricity", False, ""),
    "surface profile": ("SurfaceProfile", False, ""),
    "symmetry": ("Symmetry", False, ""),
    "straightness": ("Straightness", False, "NonDiametricalZone"),
    "concentricity": ("Concentricity", False, "NonDiametricalZone"),
    "position": ("Position", True, "NonDiametricalZone"),
    "parallelism": ("Parallelism", True, "PlanarZone"),
    "perpendicularity": ("Perpendicularity", True, "PlanarZone"),
    "angularity": ("Angularity", True, "PlanarZone"),
}


@frozen
class Characteristic:
    """One of the standard's characteristics, as a callout with its limits fills it."""

    stem: str  # "Diameter": its elements are DiameterCharacteristicDefinition ... Measurement
    callout: Callout
    limits: Limits
    today: bool  # whether these are the callout's limits, not those of an earlier drawing

    @property
    def zoned(self) -> bool:
        """Whether it is a tolerance zone, which has no size to aim at."""
        return self.stem == "SurfaceTexture" or self.stem in _ZONED

    @property
    def value(self) -> str:
        """The element of a measurement that holds the value."""
        return "RoughnessAverageValue" if self.stem == "SurfaceTexture" else "Value"

    def number(self, into: Element, name: str, amount: Decimal) -> Element:
        """An element with a number that carries its unit."""
        unit = self.limits.unit
        made = SubElement(into, name)
        made.text = f"{amount:f}"
        if self.stem == "UserDefinedUnit":
            made.set("unitName", unit_name(unit))
        else:
            called, quantity, _ = UNITS[unit]
            made.set(f"{quantity.lower()}Unit", called)
        return made

    def define(self, into: Element) -> None:
        """What the definition asks: a tolerance with its zone, limits, or none at all."""
        if self.stem == "SurfaceTexture":
            self._upper(into, "RoughnessAverage")
        elif self.stem in _ZONED:
            self._zone(into)
        elif self.stem not in ("UserDefinedUnit", "UserDefinedAttribute"):
            self._limited(into)
        if self.stem.startswith("UserDefined") and self.stem != "UserDefinedUnit":
            SubElement(into, "WhatToMeasure").text = self.callout.text

    def aim(self, into: Element) -> None:
        """What the nominal says: the size on the drawing, or what passes a check."""
        if self.stem == "UserDefinedUnit":
            both = [v for v in (self.limits.lower, self.limits.upper) if v is not None]
            middle = sum(both, Decimal(0)) / len(both)
            wanted = self.callout.nominal
            self.number(into, "TargetValue", middle if wanted is None else wanted)
            self._bounds(into)
        elif self.stem == "UserDefinedAttribute":
            for name, value in (("PassValues", "pass"), ("FailValues", "fail")):
                SubElement(SubElement(into, name, n="1"), "StringValue").text = value
        elif self.today and self.callout.nominal is not None and not self.zoned:
            self.number(into, "TargetValue", self.callout.nominal)

    def _limited(self, into: Element) -> None:
        if self.limits.lower is None and self.limits.upper is None:
            SubElement(into, "NonTolerance").text = "MEASURED"
        else:
            self._bounds(SubElement(into, "Tolerance"))

    def _bounds(self, into: Element) -> None:
        self._upper(into, "MaxValue")
        if self.limits.lower is not None:
            self.number(into, "MinValue", self.limits.lower)
        SubElement(into, "DefinedAsLimit").text = "true"

    def _upper(self, into: Element, name: str) -> None:
        if self.limits.upper is not None:
            self.number(into, name, self.limits.upper)

    def _zone(self, into: Element) -> None:
        self._upper(into, "ToleranceValue")
        _, material, shape = _GEOMETRY[self.callout.characteristic]
        if material:
            SubElement(into, "MaterialCondition").text = "NONE"
        if shape:
            zone = "DiametricalZone" if self.callout.round_zone else shape
            SubElement(SubElement(into, "ZoneShape"), zone)


_ZONED = frozenset(stem for stem, _, _ in _GEOMETRY.values())


def unit_name(unit: Unit) -> str:
    """What a unit is called in the document; a bare number is one of itself."""
    return UNITS[unit][0] if unit in UNITS else unit.value or "1"


def form_of(callout: Callout, limits: Limits, *, today: bool = True) -> Characteristic:
    """Which of the standard's characteristics a callout is, with limits of today or earlier."""
    return Characteristic(_stem(callout, limits), callout, limits, today)


def _stem(callout: Callout, limits: Limits) -> str:
    if callout.attribute:
        return "UserDefinedAttribute"
    quantity = UNITS[limits.unit][1] if limits.unit in UNITS else ""
    one_sided = limits.upper is not None and limits.lower is None
    if callout.kind is Kind.ROUGHNESS and callout.characteristic == "Ra" and one_sided:
        return "SurfaceTexture"
    if callout.kind is Kind.GEOMETRY and callout.characteristic in _GEOMETRY:
        return _GEOMETRY[callout.characteristic][0]
    stem = _SIZES.get(callout.kind, "")
    if stem and quantity == ("Angular" if stem == "Angle" else "Linear"):
        return stem
    if quantity:
        return f"UserDefined{quantity}"
    bounded = limits.lower is not None or limits.upper is not None
    return "UserDefinedUnit" if bounded else "UserDefinedAttribute"
