"""Callouts: a dimension's requirement as written on the drawing, and the limits it means."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from qlog.drawing.limits import Limits
from qlog.drawing.units import Unit


class Kind(StrEnum):
    """What a callout asks for."""

    LENGTH = "length"
    DIAMETER = "diameter"
    RADIUS = "radius"
    ANGLE = "angle"
    CHAMFER = "chamfer"
    DEPTH = "depth"
    ROUGHNESS = "roughness"
    THREAD = "thread"
    GEOMETRY = "geometry"  # zero-based: runout, roundness, parallelism ...
    GO_NO_GO = "go/no-go"
    BY_EYE = "by eye"
    COUNT = "count"


class CalloutError(ValueError):
    """A callout that cannot be read; the message says what and what would be accepted."""


@dataclass(frozen=True, slots=True)
class Callout:
    """A callout and what it means; lengths in `unit`, limits exact."""

    text: str  # as written
    kind: Kind
    unit: Unit
    nominal: Decimal | None
    limits: Limits
    source: str  # where the limits come from: "as written", "ISO 286-1 H7", "ISO 2768-1 m" ...
    general: bool = False  # the general tolerance was taken, because none is written
    characteristic: str = ""  # "Ra", "runout", "M6-6H" ... where the kind alone does not tell

    @property
    def counted(self) -> bool:
        """Whether the reading is a pass or fail and no number to average."""
        return self.kind in (Kind.GO_NO_GO, Kind.BY_EYE)
