"""Views: pieces, readings and photos as frozen values that screen and record lay out.

Every number that a page or a terminal shows is worked out before it comes here; values that
decide a verdict are Decimal, statistics are float.
"""

from __future__ import annotations

from decimal import Decimal
from enum import StrEnum

from qlog.drawing.limits import Limits
from qlog.drawing.plan import Dimension, Operation
from qlog.frozen import frozen
from qlog.logbook.facts import Disposition, Entry, Note, Photo, Placement, Shipment, Start
from qlog.review.cautions.caution import Caution
from qlog.review.instrument.derived import Raw
from qlog.review.moments import moment
from qlog.review.part.settings import SetView
from qlog.study.conformity.verdict import Judgement, Verdict


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
    SPARED = "not in the sample"  # the plan has it read on every so-manieth piece


@frozen
class Correction:
    """An earlier value of a reading, and the entry that replaced it."""

    entry: int
    typed: str
    became: str  # as the replacing entry was typed
    corrected: str  # when that was entered, in the zone of the reading
    reason: str  # why
    made: str  # when the earlier value was read


@frozen
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
    temperature: str | None = None  # of the piece, degrees Celsius
    beside: tuple[ReadingView, ...] = ()  # the same place by other instruments, which decide less
    raws: tuple[Raw, ...] = ()  # what it was computed from; () where it was read
    places: int = 3  # decimals that its value is shown with, wherever it is shown
    person: str = ""  # who entered it; empty where nobody was said
    shared: Decimal | None = None  # part of `uncertainty` common to the instrument's readings
    revision: str = ""  # letter of the plan's revision under which it was made

    @property
    def limits(self) -> Limits | None:
        """The limits that it was judged by, in today's unit; None for a check."""
        return None if self.judgement is None else self.judgement.limits

    @property
    def expanded(self) -> Decimal | None:
        """Expanded uncertainty U = k u with k = 2 (JCGM 100:2008, 6.2), in the limits' unit."""
        return None if self.uncertainty is None else 2 * self.uncertainty

    @property
    def unguarded(self) -> bool:
        """Whether the guarded rule was asked for and nothing is known to guard with."""
        judged = self.judgement
        return judged is not None and judged.rule is not judged.rule_used

    @property
    def word(self) -> str:
        """The verdict in one word or two: `good`, `out high`, `pass`, `fail` ..."""
        if self.verdict is not None:
            return self.verdict.value
        return "pass" if self.passed else "fail"

    @property
    def bad(self) -> bool:
        """Whether it lies outside its limits or failed its check."""
        if self.verdict is None:
            return not self.passed
        return self.verdict in (Verdict.HIGH, Verdict.LOW)


@frozen
class SlotView:
    """The place of one reading: piece x dimension x requirement."""

    piece: int
    slot: Slot
    reading: ReadingView | None
    why: str = ""
    again: bool = False  # it was cut again since it was read: another reading is to come

    @property
    def owed(self) -> bool:
        """Whether the operation is done and a reading of it is to come."""
        return self.slot is Slot.MISSING or self.again


@frozen
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
    number: int = 0  # counts all photos in the order of entry, from 1; never changes
    better: int | None = None  # number of the near-duplicate that is shown instead
    salvaged: bool = False  # the file was cut off or damaged when it was taken in
    basis: str = ""  # what the time rests on: see qlog.logbook.photos.capture_time
    dimension: str | None = None  # the dimension of which it is the evidence

    @property
    def shown(self) -> bool:
        """Whether it is shown: no near-duplicate of a better one."""
        return self.better is None

    @property
    def is_paper(self) -> bool:
        """Whether it is the photo of a filled-in bench sheet: kept, and no picture of the work."""
        return self.placement is not None and self.placement.how == "sheet"

    @property
    def waits(self) -> bool:
        """Whether it waits to be looked at: not placed, or placed by votes alone."""
        if self.audience == "nobody":
            return False
        said = self.placement
        if said is not None and (said.item or said.cover):
            return False
        return said is None or not said.part or not said.looked_at

    @property
    def counts(self) -> bool:
        """Whether it is something to show for its place: seen by somebody, and no duplicate."""
        return self.shown and self.audience != "nobody"


@frozen
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
    made: str | None = None  # when it was done


@frozen
class PieceView:
    """One piece with its whole history."""

    part: str
    number: int
    name: str  # as it is called: "foot-3", or by its mark
    standing: Standing
    cells: tuple[CellView, ...]
    dispositions: tuple[Entry[Disposition], ...]
    item: str | None
    notes: tuple[Entry[Note], ...]
    decision: str  # the decision in force: "scrap", "rework", "use as is" or "" for none
    made: str | None  # time of the last thing done to it
    spare: bool  # not needed while the others hold
    owes: int = 0  # readings that the operations done on it left owing
    mark: str = ""  # what is punched or written on it

    @property
    def anchor(self) -> str:
        """Where it stands on its page: `foot-3`, whatever it is marked with."""
        return f"{self.part}-{self.number}"


@frozen
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
    cautions: tuple[Caution, ...]
    notes: tuple[Entry[Note], ...]
    shipments: tuple[Entry[Shipment], ...] = ()
    settings: tuple[SetView, ...] = ()
    begun: tuple[Entry[Start], ...] = ()

    @property
    def remarks(self) -> tuple[tuple[str, str], ...]:
        """When what was written down about it, the first first: at its beginnings, and else."""
        said = [(e.made, e.fact.note) for e in self.begun if e.fact.note]
        said += [(e.made, e.fact.text) for e in self.notes]
        said.sort(key=lambda one: moment(one[0]))
        first: dict[str, str] = {}  # what was written again, word for word, is one remark
        for when, text in said:
            first.setdefault(text, when)
        return tuple((when, text) for text, when in first.items())


class Pending(StrEnum):
    """What a part waits for."""

    READ_FIRST_OF_SETUP = "read the first of a setup"
    READ = "read"
    TAKE_BACK = "take back"  # all of its pieces that are due are away
    SEND = "send"
    DO = "do"
    START = "start"


@frozen
class Next:
    """What to do next at the bench for one part."""

    step: Pending
    part: str
    operation: Operation
    pieces: tuple[int, ...]
    dimensions: tuple[Dimension, ...] = ()  # what is to be read
    cause: str = ""  # of the new setup
    some: bool = False  # the operation is done on other pieces already

    @property
    def op(self) -> int:
        """The number of the operation."""
        return self.operation.number
