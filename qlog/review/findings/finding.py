"""What every finding has: how much it weighs, and where in the build it belongs."""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum
from typing import ClassVar

from qlog.frozen import frozen


class Weight(StrEnum):
    """How much a finding weighs."""

    BAD = "bad"  # out of tolerance, damaged, lost
    WARN = "warn"  # drifting, not proven, suspect, missing evidence
    NOTE = "note"


@frozen
class Place:
    """Where in the build: a part and, as far as they are known, operation, piece, dimension."""

    part: str = ""  # "" for what belongs to no part
    op: int | None = None
    piece: int | None = None
    dimension: str | None = None


@frozen
class Finding:
    """One thing to know about; every kind is a class of its own."""

    weight: Weight
    place: Place

    #: Whether it tells of evidence that is not there.
    of_evidence: ClassVar[bool] = False
    #: Whether several of one part are told in one line.
    told_together: ClassVar[bool] = False


_ORDER = {Weight.BAD: 0, Weight.WARN: 1, Weight.NOTE: 2}


def worst_first(found: Iterable[Finding]) -> tuple[Finding, ...]:
    """The same findings, the weightiest first; those of one weight in their order."""
    return tuple(sorted(found, key=lambda finding: _ORDER[finding.weight]))
