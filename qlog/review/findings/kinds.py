"""Findings as values: what each has, and the kinds, one frozen class each, with its own facts."""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum
from typing import TYPE_CHECKING, ClassVar

from qlog.frozen import frozen

if TYPE_CHECKING:
    from qlog.drawing.plan import Part
    from qlog.review.homeless import Homeless
    from qlog.review.instrument.instrument_views import InstrumentView
    from qlog.review.items.item_views import ItemView
    from qlog.review.items.overall import OverallSize
    from qlog.review.part.batch import SeriesView
    from qlog.review.part.charts.deviations import DeviationView, ToolDrift
    from qlog.review.part.series_study import SetupStudy
    from qlog.review.views import OpView, PieceView, ReadingView
    from qlog.study.conformity.bias import JawsReadLow, TooCoarse


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


@frozen
class OfReading(Finding):
    """A finding about one reading."""

    series: SeriesView
    reading: ReadingView


@frozen
class Out(OfReading):
    """A reading outside its limits, or a check that failed."""

    decision: str  # `scrap`, `rework`, `use as is`, or nothing when nobody has decided


@frozen
class NotProven(OfReading):
    """A reading too near a limit for its instrument."""

    told_together: ClassVar[bool] = True


@frozen
class DrawingChanged(OfReading):
    """A reading whose verdict is another by today's limits than by those it was made to."""


@frozen
class Outlier(OfReading):
    """A reading that stands apart from the others of its setup."""


@frozen
class OfSeries(Finding):
    """A finding about all readings of one dimension after one operation."""

    series: SeriesView


@frozen
class Drift(OfSeries):
    """A dimension that creeps in the setup that runs, or the last one."""

    setup: SetupStudy
    ahead: bool  # whether pieces are still to come


@frozen
class MachineDrift(Finding):
    """A tool that drifts over the pieces of several parts, each held against its target."""

    view: DeviationView
    tool: ToolDrift


@frozen
class CoarseInstrument(OfSeries):
    """An instrument whose permissible error takes more than a tenth of the tolerance."""

    doubt: TooCoarse

    told_together: ClassVar[bool] = True


@frozen
class JawsInBore(OfSeries):
    """A bore read with caliper jaws, which read it low."""

    doubt: JawsReadLow


@frozen
class ReadingsUnmatched(OfSeries):
    """Readings that do not match the current callout: a check where it asks for a size, or so."""

    pieces: tuple[int, ...]


@frozen
class ReadingMissing(OfSeries):
    """Readings that the operation left owing."""

    pieces: tuple[int, ...]

    of_evidence: ClassVar[bool] = True


@frozen
class PhotoMissing(Finding):
    """Photos that an operation left owing."""

    view: OpView
    part: Part

    of_evidence: ClassVar[bool] = True


@frozen
class OutOfOrder(Finding):
    """A piece on which an operation was done before an earlier one."""

    piece: PieceView
    open: int
    later: int

    of_evidence: ClassVar[bool] = True
    told_together: ClassVar[bool] = True


@frozen
class MixedUp(Finding):
    """Two pieces that look exchanged between two operations."""

    one: str  # "cup-3"
    other: str
    before: int
    after: int


@frozen
class OfStock(Finding):
    """A finding about the number of pieces of a part."""

    part: Part
    live: int


@frozen
class Short(OfStock):
    """Fewer good pieces than are needed."""


@frozen
class NoSpare(OfStock):
    """As many good pieces as are needed, and not one more, after some were scrapped."""


@frozen
class SentOut(Finding):
    """Pieces that are out for an operation and not back."""

    part: Part
    pieces: tuple[int, ...]

    of_evidence: ClassVar[bool] = True


@frozen
class Suspect(Finding):
    """Readings taken since the last good check of an instrument that failed the next one."""

    view: InstrumentView


@frozen
class Unplaced(Finding):
    """Photos that nobody has placed."""

    photos: int
    proposed: int  # of them, those with a proposal

    of_evidence: ClassVar[bool] = True


@frozen
class NotInThePlan(Finding):
    """Entries that name what the plan does not have."""

    lost: Homeless


@frozen
class OfItem(Finding):
    """A finding about an overall size that was measured on a finished item."""

    item: ItemView
    size: OverallSize


@frozen
class OverallOut(OfItem):
    """An overall size outside its limits."""


@frozen
class OverallNotProven(OfItem):
    """An overall size too near a limit for what it was measured with."""


@frozen
class NoMatching(Finding):
    """Pieces to be kept together or apart contradict each other, or what is assembled."""


@frozen
class Together(Finding):
    """Several findings of one kind, part and weight, told in one line."""

    findings: tuple[Finding, ...]
