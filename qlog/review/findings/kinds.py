"""The kinds of findings: one frozen class each, with what it is about."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from qlog.review.findings.finding import Finding

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


@dataclass(frozen=True, slots=True)
class OfReading(Finding):
    """A finding about one reading."""

    series: SeriesView
    reading: ReadingView


@dataclass(frozen=True, slots=True)
class Out(OfReading):
    """A reading outside its limits, or a check that failed."""

    decision: str  # `scrap`, `rework`, `use as is`, or nothing when nobody has decided


@dataclass(frozen=True, slots=True)
class NotProven(OfReading):
    """A reading too near a limit for its instrument."""

    told_together: ClassVar[bool] = True


@dataclass(frozen=True, slots=True)
class DrawingChanged(OfReading):
    """A reading whose verdict is another by today's limits than by those it was made to."""


@dataclass(frozen=True, slots=True)
class Outlier(OfReading):
    """A reading that stands apart from the others of its setup."""


@dataclass(frozen=True, slots=True)
class OfSeries(Finding):
    """A finding about all readings of one dimension after one operation."""

    series: SeriesView


@dataclass(frozen=True, slots=True)
class Drift(OfSeries):
    """A dimension that creeps in the setup that runs, or the last one."""

    setup: SetupStudy
    ahead: bool  # whether pieces are still to come


@dataclass(frozen=True, slots=True)
class MachineDrift(Finding):
    """A tool that drifts over the pieces of several parts, each held against its target."""

    view: DeviationView
    tool: ToolDrift


@dataclass(frozen=True, slots=True)
class CoarseInstrument(OfSeries):
    """An instrument whose permissible error takes more than a tenth of the tolerance."""

    doubt: TooCoarse

    told_together: ClassVar[bool] = True


@dataclass(frozen=True, slots=True)
class JawsInBore(OfSeries):
    """A bore read with caliper jaws, which read it low."""

    doubt: JawsReadLow


@dataclass(frozen=True, slots=True)
class ReadingsUnmatched(OfSeries):
    """Readings that do not match the current callout: a check where it asks for a size, or so."""

    pieces: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class ReadingMissing(OfSeries):
    """Readings that the operation left owing."""

    pieces: tuple[int, ...]

    of_evidence: ClassVar[bool] = True


@dataclass(frozen=True, slots=True)
class PhotoMissing(Finding):
    """Photos that an operation left owing."""

    view: OpView
    part: Part

    of_evidence: ClassVar[bool] = True


@dataclass(frozen=True, slots=True)
class OutOfOrder(Finding):
    """A piece on which an operation was done before an earlier one."""

    piece: PieceView
    open: int
    later: int

    of_evidence: ClassVar[bool] = True
    told_together: ClassVar[bool] = True


@dataclass(frozen=True, slots=True)
class MixedUp(Finding):
    """Two pieces that look exchanged between two operations."""

    one: str  # "cup-3"
    other: str
    before: int
    after: int


@dataclass(frozen=True, slots=True)
class OfStock(Finding):
    """A finding about the number of pieces of a part."""

    part: Part
    live: int


@dataclass(frozen=True, slots=True)
class Short(OfStock):
    """Fewer good pieces than are needed."""


@dataclass(frozen=True, slots=True)
class NoSpare(OfStock):
    """As many good pieces as are needed, and not one more, after some were scrapped."""


@dataclass(frozen=True, slots=True)
class SentOut(Finding):
    """Pieces that are out for an operation and not back."""

    part: Part
    pieces: tuple[int, ...]

    of_evidence: ClassVar[bool] = True


@dataclass(frozen=True, slots=True)
class Suspect(Finding):
    """Readings taken since the last good check of an instrument that failed the next one."""

    view: InstrumentView


@dataclass(frozen=True, slots=True)
class Unplaced(Finding):
    """Photos that nobody has placed."""

    photos: int
    proposed: int  # of them, those with a proposal

    of_evidence: ClassVar[bool] = True


@dataclass(frozen=True, slots=True)
class NotInThePlan(Finding):
    """Entries that name what the plan does not have."""

    lost: Homeless


@dataclass(frozen=True, slots=True)
class OfItem(Finding):
    """A finding about an overall size that was measured on a finished item."""

    item: ItemView
    size: OverallSize


@dataclass(frozen=True, slots=True)
class OverallOut(OfItem):
    """An overall size outside its limits."""


@dataclass(frozen=True, slots=True)
class OverallNotProven(OfItem):
    """An overall size too near a limit for what it was measured with."""


@dataclass(frozen=True, slots=True)
class NoMatching(Finding):
    """Pieces to be kept together or apart contradict each other, or what is assembled."""


@dataclass(frozen=True, slots=True)
class Together(Finding):
    """Several findings of one kind, part and weight, told in one line."""

    findings: tuple[Finding, ...]
