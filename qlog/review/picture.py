"""The picture: how the build stands, as frozen values that screen and record only lay out.

Every number that a page or a terminal shows is worked out before it comes here; values that
decide a verdict are Decimal, statistics are float.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum
from typing import TYPE_CHECKING

from qlog.drawing.callouts.callout import Callout
from qlog.drawing.limits import Limits
from qlog.drawing.plan import Build, Dimension, Instrument, Operation, Part
from qlog.logbook.facts import (
    Assembly,
    Clock,
    Disposition,
    Entry,
    GaugeCheck,
    ItemSize,
    Note,
    Photo,
    Placement,
    Setup,
    Shipment,
)
from qlog.review.instrument.experience import Experience
from qlog.study.conformity.verdict import Judgement, Verdict

if TYPE_CHECKING:
    from qlog.review.instrument.gauge_study import StudyView
    from qlog.review.items.mating import JointView, StackView
    from qlog.review.part.deviations import DeviationView
    from qlog.review.part.series_study import SeriesStudy
    from qlog.study.batch.summary import Summary
    from qlog.study.matching.match import Matching


class Standing(StrEnum):
    """What has become of a piece."""

    UNCUT = "uncut"  # nothing logged for it yet
    LIVE = "live"
    REWORK = "rework"
    AS_IS = "use as is"
    SCRAP = "scrap"
    ASSEMBLED = "assembled"
    OUT = "sent out"


class Slot(StrEnum):
    """Why a reading is there or not: blank is not zero."""

    READ = "read"
    NOT_YET = "not yet"
    MISSING = "missing"  # the operation is done, the reading is not there
    SKIPPED = "skipped"
    CANNOT = "cannot be measured"
    SCRAPPED = "scrapped"


class Weight(StrEnum):
    """How much a finding weighs."""

    BAD = "bad"  # out of tolerance, damaged, lost
    WARN = "warn"  # drifting, not proven, suspect, missing evidence
    NOTE = "note"


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing to know about, with where it is and what to do."""

    weight: Weight
    kind: str  # "out", "not proven", "drift", "reading missing", "photo missing", "order" ...
    part: str
    op: int | None
    piece: int | None
    dimension: str | None
    text: str
    remedy: str = ""
    subject: str = ""  # what it is about besides: an instrument, another piece, a lost name


@dataclass(frozen=True, slots=True)
class Correction:
    """An earlier value of a reading and why it was replaced."""

    entry: int
    typed: str
    entered: str
    reason: str  # the reason of the entry that replaced it


@dataclass(frozen=True, slots=True)
class ReadingView:
    """One live reading, judged by the limits of the revision under which it was made."""

    entry: int
    part: str
    op: int
    dimension: str
    piece: int
    typed: str
    value: (
        Decimal | None
    )  # in the unit of the limits, at 20 degrees where corrected; None = counted
    passed: bool | None  # go/no-go and by-eye checks
    unit: str
    instrument: str | None
    made: str
    setup: int  # counts the setups of the batch from 1
    verdict: Verdict | None  # None for counted checks: `passed` tells
    judgement: Judgement | None
    uncertainty: Decimal | None  # standard uncertainty in the unit of the limits
    suspect: bool  # read since the instrument's last good check, before a failed one
    corrections: tuple[Correction, ...] = ()
    note: str = ""
    raw: Decimal | None = None  # as read, before the temperature correction, in the limits' unit
    today: Verdict | None = None  # verdict by today's limits where they differ

    @property
    def word(self) -> str:
        """The verdict in one word or two: `in`, `out high`, `pass`, `fail` ..."""
        if self.verdict is not None:
            return self.verdict.value
        return "pass" if self.passed else "fail"

    @property
    def bad(self) -> bool:
        """Whether it lies outside its limits or failed its check."""
        if self.verdict is None:
            return not self.passed
        return self.verdict in (Verdict.HIGH, Verdict.LOW)


@dataclass(frozen=True, slots=True)
class SlotView:
    """The place of one reading: piece x dimension x requirement."""

    piece: int
    slot: Slot
    reading: ReadingView | None
    why: str = ""


@dataclass(frozen=True, slots=True)
class SetupView:
    """A stretch of pieces made without touching the tool."""

    number: int
    first_piece: int
    last_piece: int
    cause: str
    entry: Entry[Setup] | None


@dataclass(frozen=True, slots=True)
class SeriesView:
    """One dimension of one batch after one operation: everything its chart and table show."""

    part: Part
    dimension: Dimension
    operation: Operation
    callout: Callout
    limits: Limits
    final: bool  # the requirement of the finished piece
    slots: tuple[SlotView, ...]  # in the order of making
    setups: tuple[SetupView, ...]
    summary: Summary | None  # None when nothing numeric was read
    out_low: int
    out_high: int
    not_proven: int
    passed: int  # counted checks
    failed: int
    instrument: Instrument | None
    study: SeriesStudy | None = None  # drift, forecast, capability ...; None when not studied
    otherwise: tuple[int, ...] = ()  # pieces whose reading answers an earlier drawing's question

    @property
    def readings(self) -> tuple[ReadingView, ...]:
        """The readings that are there, in the order of making."""
        return tuple(s.reading for s in self.slots if s.reading is not None)

    @property
    def id(self) -> str:
        """`cup-bore`, or `cup-bore-op20` for the size before a finish."""
        base = f"{self.part.id}-{self.dimension.id}"
        return base if self.final else f"{base}-op{self.operation.number}"


@dataclass(frozen=True, slots=True)
class PhotoView:
    """A photo with its place; `taken` is the corrected local time of taking.

    A place that is only proposed is in `placement` and nowhere else: the photo stays unplaced.
    """

    sha256: str
    photo: Photo
    placement: Placement | None  # None: never placed
    taken: str | None
    taken_certain: bool
    part: str | None
    op: int | None
    piece: int | None
    item: str | None
    caption: str
    audience: str
    cover: str
    alt: str  # what the photo shows, in words: part, operation, note
    shown: bool = True  # False: a near-duplicate of a better one
    number: int = 0  # counts all photos in the order of entry, from 1; never changes
    better: int | None = None  # number of the near-duplicate that is shown instead
    salvaged: bool = False  # the file was cut off or damaged when it was taken in
    basis: str = ""  # what the time rests on: see qlog.logbook.capture_time

    @property
    def counts(self) -> bool:
        """Whether it is something to show for its place: seen by somebody, and no duplicate."""
        return self.shown and self.audience != "nobody"


@dataclass(frozen=True, slots=True)
class CellView:
    """One cell of the piece x operation grid."""

    op: int
    done: bool
    due: bool  # an earlier or this operation is due now
    readings: int
    wanted: int
    photos: int
    photos_wanted: int
    bad: bool
    override: str = ""
    applies: bool = True  # False: this piece does not get this operation


@dataclass(frozen=True, slots=True)
class PieceView:
    """One piece with its whole history."""

    part: str
    number: int
    name: str  # "foot-3"
    standing: Standing
    cells: tuple[CellView, ...]
    dispositions: tuple[Entry[Disposition], ...]
    item: str | None
    notes: tuple[Entry[Note], ...]
    made: str | None  # time of the last thing done to it
    spare: bool  # not needed while the others hold


@dataclass(frozen=True, slots=True)
class OpView:
    """One operation of the batch."""

    operation: Operation
    done: int
    open: int  # live pieces that have not had it
    started: str | None
    first: str | None  # time of the first and the last entry: the operation's stretch
    last: str | None
    photos: tuple[PhotoView, ...]
    photos_missing: int
    cautions: tuple[str, ...]
    notes: tuple[Entry[Note], ...]
    shipments: tuple[Entry[Shipment], ...] = ()


@dataclass(frozen=True, slots=True)
class PartView:
    """One part's batch."""

    part: Part
    pieces: tuple[PieceView, ...]
    ops: tuple[OpView, ...]
    series: tuple[SeriesView, ...]
    photos: tuple[PhotoView, ...]
    live: int
    scrapped: int
    margin: int  # live pieces (uncut ones included) minus needed
    finished: int  # live pieces that have had every operation
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class InstrumentView:
    """An instrument and its checks."""

    instrument: Instrument
    checks: tuple[Entry[GaugeCheck], ...]
    fit: bool | None  # by the last check; None when never checked
    readings: int
    suspect: int
    studies: tuple[StudyView, ...] = ()  # repeatability studies, oldest first


@dataclass(frozen=True, slots=True)
class ItemView:
    """One finished thing of the set."""

    id: str  # "bright-1"
    name: str
    group: str
    pieces: tuple[PieceView, ...]
    sizes: tuple[Entry[ItemSize], ...]
    photos: tuple[PhotoView, ...]
    assembled: str | None  # time
    notes: tuple[str, ...]
    assembly: tuple[Entry[Assembly], ...] = ()


@dataclass(frozen=True, slots=True)
class Next:
    """What to do next at the bench."""

    part: str
    op: int
    text: str


@dataclass(frozen=True, slots=True)
class Picture:
    """How the whole build stands."""

    build: Build
    parts: tuple[PartView, ...]
    items: tuple[ItemView, ...]
    instruments: tuple[InstrumentView, ...]
    photos: tuple[PhotoView, ...]
    unplaced: tuple[PhotoView, ...]  # photos that nobody placed
    findings: tuple[Finding, ...]  # of all parts, worst first
    next: tuple[Next, ...]
    clocks: tuple[Entry[Clock], ...]
    first: str | None  # time of the first and of the last entry
    last: str | None
    entries: int
    revisions: int
    experience: Experience = field(
        default_factory=Experience
    )  # what checks and studies showed of the instruments
    deviations: tuple[DeviationView, ...] = ()  # charts across parts, where series were studied
    joints: tuple[JointView, ...] = ()  # these three are filled in by `mating.with_mating`
    stacks: tuple[StackView, ...] = ()
    matching: Matching | None = None
    sum: str = ""  # of the log that it was made from, see `logbook.chain`; "" of an empty one

    def part(self, id: str) -> PartView:
        """The batch of that part. Raises KeyError when the build has none."""
        for view in self.parts:
            if view.part.id == id:
                return view
        raise KeyError(id)
