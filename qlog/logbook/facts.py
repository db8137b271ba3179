"""The facts that a logbook holds: one frozen class for each table, fields as columns.

Numbers that decide anything are text: a value is kept as it was typed, and `value` beside it is
the same number as canonical decimal text, so that no binary float ever touches it.
"""

from __future__ import annotations

from decimal import Decimal
from typing import ClassVar, Generic, TypeVar

from qlog.frozen import frozen


@frozen
class Fact:
    """Common ground of all facts; `KEY` names the fields that identify one live entry.

    Two live entries with the same key and the same `SAME` fields are one fact told twice; with
    other `SAME` fields they contradict each other. A fact without a key may be told often.
    `BESIDE` names the field by which entries of one key may stand beside each other, when that is
    asked for: the same place read with another instrument.
    """

    TABLE: ClassVar[str] = ""
    KEY: ClassVar[tuple[str, ...]] = ()
    SAME: ClassVar[tuple[str, ...]] = ()
    BESIDE: ClassVar[str] = ""

    @classmethod
    def columns(cls) -> tuple[str, ...]:
        """Names of the fact's own columns, in order."""
        return cls.__match_args__

    def key(self) -> tuple[object, ...]:
        """Values of the fields that identify this fact."""
        return tuple(getattr(self, name) for name in self.KEY)


@frozen
class Reading(Fact):
    """One measured value of one dimension on one piece after one operation."""

    TABLE: ClassVar[str] = "reading"
    KEY: ClassVar[tuple[str, ...]] = ("part", "op", "dimension", "piece")
    SAME: ClassVar[tuple[str, ...]] = ("value", "unit", "temperature", "instrument_temperature")
    BESIDE: ClassVar[str] = "instrument"

    part: str
    op: int
    dimension: str
    piece: int
    typed: str  # as it was typed
    value: str  # canonical decimal text in `unit`; "go" or "no-go" where it is counted
    unit: str
    instrument: str | None = None
    temperature: str | None = None  # of the piece, degrees Celsius
    instrument_temperature: str | None = None
    note: str = ""


@frozen
class Gap(Fact):
    """A reading that will not come: skipped on purpose, or cannot be measured."""

    TABLE: ClassVar[str] = "gap"
    KEY: ClassVar[tuple[str, ...]] = ("part", "op", "dimension", "piece")
    SAME: ClassVar[tuple[str, ...]] = ("kind",)

    part: str
    op: int
    dimension: str
    piece: int
    kind: str  # "skipped" or "cannot"
    why: str = ""


@frozen
class Start(Fact):
    """An operation was begun on a batch; it opens the operation's stretch of time."""

    TABLE: ClassVar[str] = "start"

    part: str
    op: int
    note: str = ""


@frozen
class Done(Fact):
    """One piece has had one operation."""

    TABLE: ClassVar[str] = "done"
    KEY: ClassVar[tuple[str, ...]] = ("part", "op", "piece")

    part: str
    op: int
    piece: int
    override: str = ""  # why it was done out of the route's order; empty when in order


@frozen
class Setup(Fact):
    """A new setup begins with this piece: tool change, offset, re-touch, new day."""

    TABLE: ClassVar[str] = "setup"
    KEY: ClassVar[tuple[str, ...]] = ("part", "op", "piece")
    SAME: ClassVar[tuple[str, ...]] = ("cause",)

    part: str
    op: int
    piece: int  # first piece made in the new setup
    cause: str
    note: str = ""


#: What a lathe or a mill is set to, in the order in which it is shown.
SETTINGS = (
    "speed", "feed", "depth", "tool", "stop", "offset", "fluid", "fixture", "blank", "bar",
)  # fmt: skip


@frozen
class Setting(Fact):
    """What an operation was set to - speed, feed, tool - from one piece on, until set anew.

    A quantity is a number in `unit`, anything else words without one. An empty value says that
    nothing is known from that piece on.
    """

    TABLE: ClassVar[str] = "setting"
    KEY: ClassVar[tuple[str, ...]] = ("part", "op", "piece", "what")
    SAME: ClassVar[tuple[str, ...]] = ("value", "unit")

    part: str
    op: int
    piece: int  # the first piece made with it
    what: str  # one of SETTINGS, or a word of the user's own
    typed: str
    value: str
    unit: str


@frozen
class Disposition(Fact):
    """What was decided about a piece: scrap, rework, use as is."""

    TABLE: ClassVar[str] = "disposition"
    KEY: ClassVar[tuple[str, ...]] = ("part", "piece", "op", "decision")

    part: str
    piece: int
    op: int | None  # the operation at which it was decided
    decision: str  # "scrap", "rework" or "use as is"
    why: str = ""


@frozen
class Note(Fact):
    """A remark on a part, an operation or a piece."""

    TABLE: ClassVar[str] = "note"

    part: str
    op: int | None
    piece: int | None
    text: str


@frozen
class Photo(Fact):
    """One original photo in the originals, and what its file says of itself."""

    TABLE: ClassVar[str] = "photo"
    KEY: ClassVar[tuple[str, ...]] = ("sha256",)

    sha256: str
    name: str  # file name as it came
    size: int  # bytes
    format: str  # JPEG, HEIF, PNG ...
    width: int
    height: int
    orientation: int = 1  # EXIF 1..8
    camera: str = ""
    camera_key: str = ""  # tells two cameras of one model apart; a hash, never a serial number
    taken: str | None = None  # local time as the file says, ISO 8601
    offset: str | None = None  # offset of that time as the file says, "+02:00"
    basis: str = ""  # where the time comes from: "original", "digitized", "file" ...
    gps_utc: str | None = None
    located: int = 0  # 1 when the file holds a location
    likeness: str = ""  # perceptual hash, hexadecimal
    sharpness: str = ""  # figure to compare near-duplicates by
    slate: str = ""  # text of a slate card or clock code found in the picture


@frozen
class Placement(Fact):
    """Where a photo belongs and who may see it; `part` is None while it stays unplaced."""

    TABLE: ClassVar[str] = "placement"
    KEY: ClassVar[tuple[str, ...]] = ("sha256",)
    SAME: ClassVar[tuple[str, ...]] = (
        "part",
        "op",
        "piece",
        "item",
        "caption",
        "audience",
        "cover",
        "dimension",
    )

    sha256: str
    part: str | None
    op: int | None = None
    piece: int | None = None
    item: str | None = None  # a finished item instead of a part
    caption: str = ""
    how: str = "by hand"  # "by hand", "confirmed", "slate card", "sheet", or votes: "slate+time"
    proposed: int = 0  # 1 when guessed and not yet confirmed
    audience: str = "both"  # "both", "maker" or "nobody"
    cover: str = ""  # "", "part", "item" or "build"
    best: int = 0  # 1 when chosen by hand among near-duplicates
    dimension: str | None = None  # the dimension of which it is the evidence

    @property
    def looked_at(self) -> bool:
        """Whether somebody placed it or confirmed its place.

        Before votes were counted, a time or a name alone placed nothing unless it was confirmed.
        """
        seen = ("by hand", "confirmed", "time", "name", "sheet")
        return not self.proposed and self.how in seen


@frozen
class Clock(Fact):
    """How far a camera's clock is off: add `seconds` to its photos' times."""

    TABLE: ClassVar[str] = "clock"

    camera: str
    camera_key: str
    seconds: int
    sha256: str  # the photo that showed it
    earlier: int | None = None  # 1 when it holds for the photos before as well


@frozen
class GaugeCheck(Fact):
    """An instrument read against something known: a gauge block, a setting ring, zero."""

    TABLE: ClassVar[str] = "gauge_check"

    instrument: str
    reference: str  # true size of the setting piece, decimal text
    reading: str
    unit: str
    allowed: str  # largest error allowed
    fit: int  # 1 when fit for use
    note: str = ""

    @property
    def error(self) -> Decimal:
        """Reading minus true size, in the check's unit."""
        return Decimal(self.reading) - Decimal(self.reference)


@frozen
class Trial(Fact):
    """One reading of a repeatability study; the study is named by its start."""

    TABLE: ClassVar[str] = "trial"
    KEY: ClassVar[tuple[str, ...]] = ("study", "person", "piece", "trial")
    SAME: ClassVar[tuple[str, ...]] = ("value", "unit")

    study: str
    instrument: str
    part: str
    dimension: str
    person: str
    piece: int
    trial: int
    value: str
    unit: str


@frozen
class Shipment(Fact):
    """One piece sent out, or come back, with its parcel."""

    TABLE: ClassVar[str] = "shipment"
    KEY: ClassVar[tuple[str, ...]] = ("parcel", "direction", "part", "piece")

    parcel: str
    direction: str  # "out" or "back"
    part: str
    op: int
    piece: int
    who: str
    note: str = ""


@frozen
class Assembly(Fact):
    """One piece built into one finished item."""

    TABLE: ClassVar[str] = "assembly"
    KEY: ClassVar[tuple[str, ...]] = ("part", "piece")
    SAME: ClassVar[tuple[str, ...]] = ("item",)

    item: str
    part: str
    piece: int
    note: str = ""  # adhesive, press force


@frozen
class ItemSize(Fact):
    """A measured overall size of a finished item."""

    TABLE: ClassVar[str] = "item_size"
    KEY: ClassVar[tuple[str, ...]] = ("item", "stack")
    SAME: ClassVar[tuple[str, ...]] = ("value", "unit")

    item: str
    stack: str
    typed: str
    value: str
    unit: str
    instrument: str | None = None


@frozen
class Sent(Fact):
    """Something a phone has sent, by the name it gave it: told twice, it is entered once."""

    TABLE: ClassVar[str] = "sent"
    KEY: ClassVar[tuple[str, ...]] = ("name",)

    name: str  # chosen by the sender, never used twice
    act: str  # "reading", "skip", "scrap", "note", "setup", "undo", "start", "photo"
    entries: int  # how many entries just before this one it brought


@frozen
class KeptMatch(Fact):
    """Which pieces were chosen for every item, as the table showed it; a newer one replaces it."""

    TABLE: ClassVar[str] = "kept_match"
    KEY: ClassVar[tuple[str, ...]] = ("what",)
    SAME: ClassVar[tuple[str, ...]] = ("items",)

    what: str  # always "items": one match is in force, for all items
    items: str  # a line an item: "set-1: cup-2 peg-1"


@frozen
class Renamed(Fact):
    """Something of the plan is called otherwise from here on; the entries before it follow."""

    TABLE: ClassVar[str] = "renamed"

    what: str  # "part", "op", "dim", "instrument"
    part: str | None  # whose operation or dimension, by the name it had then
    old: str
    new: str
    why: str = ""


@frozen
class Remade(Fact):
    """A piece was made anew: the number is that of the new one, the entries before are kept."""

    TABLE: ClassVar[str] = "remade"

    part: str
    piece: int
    why: str


@frozen
class Said(Fact):
    """What the maker decided about one sentence or photo on its way to the recipient."""

    TABLE: ClassVar[str] = "said"
    KEY: ClassVar[tuple[str, ...]] = ("what",)
    SAME: ClassVar[tuple[str, ...]] = ("decision", "words", "seen")

    what: str  # "op foot 10 story", "photo <sha256>"
    decision: str  # "approved", "changed" or "hidden"
    words: str  # what is shown in its place when it was changed
    seen: str  # what stood there when it was decided


FACTS: tuple[type[Fact], ...] = (
    Reading, Gap, Start, Done, Setup, Disposition, Note, Photo, Placement, Clock,
    GaugeCheck, Trial, Shipment, Assembly, ItemSize, Sent, KeptMatch, Renamed, Remade,
    Setting, Said,
)  # fmt: skip

F_co = TypeVar("F_co", bound=Fact, covariant=True)


@frozen
class Entry(Generic[F_co]):
    """A fact with its place in the logbook; `id` counts over all kinds in order of entry."""

    id: int
    fact: F_co
    entered: str  # UTC, ISO 8601 with microseconds
    made: str  # time of making, ISO 8601 with offset
    revision: str | None  # SHA-256 of the build.toml in force
    supersedes: int | None
    reason: str  # why it supersedes
    superseded_by: int | None = None
    person: str = ""  # who entered it; empty where nobody was said


#: Kinds of fact that name something of the plan: a part, operation, dimension or instrument.
NAMES_THE_PLAN: tuple[type[Fact], ...] = (
    Reading, Gap, Start, Done, Setup, Disposition, Note, Shipment, Assembly, ItemSize, Trial,
    GaugeCheck, Placement, Setting,
)  # fmt: skip
