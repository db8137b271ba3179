"""Callouts: a dimension's requirement as written on the drawing, and the limits it means."""

from __future__ import annotations

from decimal import Decimal
from enum import StrEnum

from qlog.drawing.limits import Limits
from qlog.drawing.units import Unit
from qlog.frozen import frozen
from qlog.problem import with_accepted

#: Where limits come from that stand in the callout itself.
AS_WRITTEN = "as written"
#: The same where the drawing's title block says it; behind a comma for what: `.XX`, or fractions.
TITLE_BLOCK, FRACTIONS = "title block", "fractions"


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
    TAPER = "taper"  # a change of diameter over a length: 1:10 is 0.1
    HARDNESS = "hardness"
    CASE_DEPTH = "case depth"
    LAYER = "layer thickness"
    MASS = "mass"
    GLOSS = "gloss"


class CalloutError(ValueError):
    """A callout that cannot be read; `what` is wrong, `accepted` says what would be accepted."""

    def __init__(self, what: str, accepted: str = "") -> None:
        super().__init__(with_accepted(what, accepted))
        self.what = what
        self.accepted = accepted


class NoTolerance(CalloutError):
    """A size without limits where there is no general tolerance either."""


@frozen
class Callout:
    """A callout and what it means; lengths in `unit`, limits exact.

    `spelling.format_callout` writes it in one spelling, which reads back to the same limits.
    """

    text: str  # as written
    kind: Kind
    unit: Unit
    nominal: Decimal | None
    limits: Limits
    source: str  # where the limits come from: "as written", "ISO 286-1 H7", "ISO 2768-1 m" ...
    general: bool = False  # the general tolerance was taken, because none is written
    characteristic: str = ""  # "Ra", "runout", "M6-6H" ... where the kind alone does not tell
    fit_class: str = ""  # the ISO 286 class: "H7"
    datums: str = ""  # a geometric tolerance's datums, as written: "A-B"
    round_zone: bool = False  # a geometric tolerance's zone is a diameter: "position Ø0.1"
    angle: Decimal | None = None  # a chamfer's angle in degrees
    envelope: bool = False  # Ⓔ of ISO 14405-1: form within the size; single readings do not show it
    quantity: int = 1  # how many like features it stands for: "4x Ø5"
    raw: bool = False  # a reading from which another size is computed; it has no limits

    @property
    def attribute(self) -> bool:
        """Whether the reading is a pass or fail and no number to average.

        True for go/no-go and by-eye checks, and for threads and tapers that are gauged and not
        measured.
        """
        return self.kind in (Kind.GO_NO_GO, Kind.BY_EYE) or (
            self.kind in (Kind.THREAD, Kind.TAPER)
            and self.limits.lower is None
            and self.limits.upper is None
        )


@frozen
class Fit:
    """A hole and a shaft of one nominal size; clearance is hole minus shaft, interference below 0.

    The clearance runs from the smallest hole on the largest shaft to the opposite.
    """

    text: str
    hole: Callout
    shaft: Callout
    clearance: Limits
