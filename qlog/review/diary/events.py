"""Events: what was logged of a part, each as one fact with its day; corrections are told too."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import UTC, datetime
from enum import StrEnum
from typing import Any

from qlog.drawing.plan import Part
from qlog.frozen import frozen, replace
from qlog.logbook.facts import Disposition, Done, Entry, Fact, Gap, Note, Reading, Setting, Shipment
from qlog.logbook.part_log import PartLog
from qlog.logbook.renames import making
from qlog.review.homeless import Homeless
from qlog.review.moments import moment
from qlog.review.part.batch import SeriesView
from qlog.review.views import Correction, PhotoView, ReadingView

#: When a photo without a time was taken: after everything else.
_NEVER = datetime.max.replace(tzinfo=UTC)


class What(StrEnum):
    """What happened."""

    DONE = "done"
    BEGUN = "begun"
    SETUP = "setup"  # the tool was changed, re-touched, offset
    SET = "set"  # what the operation was set to
    READ = "read"
    READ_BESIDE = "read beside"  # by another instrument, whose reading does not decide
    WAS_READ = "was read"  # a value that was corrected later
    CORRECTED = "corrected"  # a reading, when that was entered
    GAP = "gap"
    DECIDED = "decided"
    NOTED = "noted"
    SHIPPED = "shipped"
    BUILT_IN = "built in"
    PHOTO = "photo"
    REMADE = "remade"  # another piece has the number now
    CHECKED = "checked"  # an instrument
    REVISED = "revised"  # a revision of the drawing was used for the first time
    TAKEN_BACK = "taken back"  # an entry made by mistake
    LOGGED = "logged"  # anything else: of an earlier making, a trial, an overall size
    LOST = "lost"  # an entry that names what the plan has not


@frozen
class Event:
    """One thing that happened.

    `name` is that of the operation or dimension that it is about; `entry` what was logged, where
    it is one entry; `reading` that of READ, READ_BESIDE, WAS_READ and CORRECTED, and `beside` the
    one that decides. `part` and `piece` are what it is about, where it is about one.
    """

    made: str  # ISO 8601; "" where nobody knows
    op: int | None
    what: What
    name: str = ""
    entry: Entry[Any] | None = None
    reading: ReadingView | None = None
    beside: ReadingView | None = None
    lost: Homeless | None = None
    settings: tuple[Setting, ...] = ()
    part: str = ""
    piece: int | None = None
    photo: PhotoView | None = None
    correction: Correction | None = None
    reason: str = ""  # why it was taken back
    revision: str = ""  # letter of the one that was used for the first time

    @property
    def when(self) -> datetime:
        """When it was; what nobody knows comes last."""
        return moment(self.made) if self.made else _NEVER

    @property
    def day(self) -> str:
        """ISO 8601 date; "" where nobody knows."""
        return self.made[:10]

    @property
    def number(self) -> int | None:
        """Number of the entry in the logbook; None for a photo and a revision."""
        if self.what is What.WAS_READ and self.correction is not None:
            return self.correction.entry
        if self.reading is not None:
            return self.reading.entry
        return None if self.entry is None else self.entry.id

    @property
    def person(self) -> str:
        """Who entered it; empty where nobody was said."""
        if self.reading is not None:
            return self.reading.person
        return "" if self.entry is None else self.entry.person

    @property
    def dimension(self) -> str | None:
        """Id of the dimension that it is about."""
        about = self.reading or self.photo or (self.entry.fact if self.entry else None)
        return getattr(about, "dimension", None)

    @property
    def instrument(self) -> str | None:
        """Id of the instrument that it was read with, or that was checked."""
        about = self.reading or (self.entry.fact if self.entry else None)
        return getattr(about, "instrument", None)

    @property
    def item(self) -> str | None:
        """Id of the item that it is about."""
        about = self.photo or (self.entry.fact if self.entry else None)
        return getattr(about, "item", None)


def event_of(entry: Entry[Any], what: What, op: int | None = None, name: str = "") -> Event:
    """What one entry says."""
    fact = entry.fact
    return Event(
        entry.made, op, what, name, entry,
        part=getattr(fact, "part", None) or "", piece=getattr(fact, "piece", None),
    )  # fmt: skip


def photo_event(photo: PhotoView, taken: str) -> Event:
    """A photo, when it was taken; `taken` is "" where nobody knows."""
    return Event(
        taken, photo.op, What.PHOTO, part=photo.part or "",
        piece=photo.piece, photo=photo,
    )  # fmt: skip


def op_name(part: Part, op: int | None) -> str:
    """The name of an operation; "" for one that the route has not."""
    return next((o.name for o in part.operations if o.number == op), "")


def readings_told(series: Iterable[SeriesView]) -> Iterator[Event]:
    """Every reading of some series, those beside the deciding ones, and what was corrected."""
    for one in series:
        name = one.dimension.name
        for reading in one.readings:
            yield _read(reading, What.READ, name)
            for other in reading.beside:
                yield replace(_read(other, What.READ_BESIDE, name), beside=reading)
            for by in (reading, *reading.beside):
                yield from _corrected(by, name)


def _corrected(reading: ReadingView, name: str) -> Iterator[Event]:
    """What a reading was before, on the days on which it was read and corrected."""
    for correction in reading.corrections:
        told = replace(_read(reading, What.CORRECTED, name), correction=correction)
        yield replace(told, made=correction.corrected)
        if correction.made != reading.made:
            yield replace(told, what=What.WAS_READ, made=correction.made)


def _read(reading: ReadingView, what: What, name: str) -> Event:
    return Event(
        reading.made, reading.op, what, name, reading=reading,
        part=reading.part, piece=reading.piece,
    )  # fmt: skip


def raw_told(log: PartLog) -> Iterator[Event]:
    """Readings without limits: what is computed from them stands beside them."""
    for dimension in log.part.dimensions:
        if dimension.callout.raw:
            for entries in log.places.get((dimension.id, dimension.op), {}).values():
                yield event_of(entries[-1], What.LOGGED, dimension.op, dimension.name)


def rest_told(log: PartLog) -> Iterator[Event]:
    """What else was logged about the pieces of a part."""
    for gap in log.gaps.values():
        id = gap.fact.dimension
        name = next((d.name for d in log.part.dimensions if d.id == id), id)
        yield event_of(gap, What.GAP, gap.fact.op, name)
    for piece in log.pieces:
        for decision in log.decisions(piece):
            yield event_of(decision, What.DECIDED, decision.fact.op)
    for made_anew in log.remade.values():
        yield event_of(made_anew, What.REMADE)
    for note in log.notes:
        yield event_of(note, What.NOTED, note.fact.op)
    for sent in log.shipments:
        yield event_of(sent, What.SHIPPED, sent.fact.op)
    for built in log.assembly.values():
        yield event_of(built, What.BUILT_IN)


def lost_told(lost: Iterable[Homeless]) -> Iterator[Event]:
    """What names something that the plan has not."""
    for one in lost:
        for entry in one.entries:
            told = event_of(entry, What.LOST, getattr(entry.fact, "op", None))
            yield replace(told, lost=one)


#: Entries of an earlier making that are said like those of the piece that has the number now.
_KINDS: dict[type[Fact], What] = {
    Done: What.DONE,
    Gap: What.GAP,
    Disposition: What.DECIDED,
    Note: What.NOTED,
    Shipment: What.SHIPPED,
}


def earlier_told(part: Part, logged: Mapping[int, Sequence[Entry[Any]]]) -> Iterator[Event]:
    """What was logged of pieces before they were made anew, under the number that they had."""
    for piece, entries in logged.items():
        for entry in entries:
            yield event_before(part, entry, making(piece)[0])


def event_before(part: Part, entry: Entry[Any], number: int) -> Event:
    """An entry of an earlier making, under the number that the piece had."""
    fact = entry.fact
    name = op_name(part, getattr(fact, "op", None))
    if isinstance(fact, Reading | Gap):
        name = next((d.name for d in part.dimensions if d.id == fact.dimension), fact.dimension)
    own = replace(entry, fact=replace(fact, piece=number)) if hasattr(fact, "piece") else entry
    return event_of(own, _KINDS.get(type(fact), What.LOGGED), getattr(fact, "op", None), name)
