"""The history of one piece: everything that was logged about it, in the order of making."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from enum import StrEnum
from typing import Any

from qlog.drawing.plan import Build, Part
from qlog.logbook.build_log import BuildLog
from qlog.logbook.facts import Disposition, Done, Entry, Fact, Gap, Note, Reading, Setting, Shipment
from qlog.logbook.part_log import PartLog
from qlog.logbook.renames import making
from qlog.logbook.store import Logbook
from qlog.review.assemble import assemble
from qlog.review.homeless import Homeless
from qlog.review.part.batch import SeriesView
from qlog.review.picture import Picture
from qlog.review.times import moment
from qlog.review.views import PieceView, ReadingView


class What(StrEnum):
    """What happened to a piece."""

    DONE = "done"
    BEGUN = "begun"
    SET = "set"  # what the operation was set to
    READ = "read"
    READ_BESIDE = "read beside"  # by another instrument, whose reading does not decide
    GAP = "gap"
    DECIDED = "decided"
    NOTED = "noted"
    SHIPPED = "shipped"
    BUILT_IN = "built in"
    PHOTO = "photo"
    REMADE = "remade"  # another piece has the number now
    LOGGED = "logged"  # anything of an earlier making
    LOST = "lost"  # an entry that names what the plan has not


class Was(StrEnum):
    """What became of an earlier making of a piece."""

    SCRAPPED = "scrapped"
    GIVEN_UP = "given up"


@dataclass(frozen=True, slots=True)
class Event:
    """One thing that happened to a piece.

    `name` is that of the operation or dimension that it is about; `entry` what was logged, where
    it is one entry; `reading` that of READ and READ_BESIDE, and `beside` the one that decides.
    """

    when: datetime
    day: str  # ISO 8601 date
    op: int | None
    what: What
    name: str = ""
    entry: Entry[Any] | None = None
    reading: ReadingView | None = None
    beside: ReadingView | None = None
    lost: Homeless | None = None
    caption: str = ""
    settings: tuple[Setting, ...] = ()

    @property
    def person(self) -> str:
        """Who entered it; empty where nobody was said."""
        if self.reading is not None:
            return self.reading.person
        return "" if self.entry is None else self.entry.person


@dataclass(frozen=True, slots=True)
class History:
    """A piece's standing and its events, oldest first.

    `piece` is None for one that is not planned, and `part` for one whose part the plan has not.
    """

    name: str
    part: Part | None
    piece: PieceView | None
    events: tuple[Event, ...]
    undecided: bool  # a reading is out and nothing was decided about the piece
    lost: bool  # something names what the plan has not
    earlier: tuple[History, ...] = ()  # earlier makings of the piece, the newest first
    was: Was | None = None  # of an earlier making only
    named: bool = False  # several people entered: who entered what is said

    @property
    def due(self) -> int | None:
        """The operation that is due next."""
        cells = () if self.piece is None else self.piece.cells
        return next((c.op for c in cells if c.due), None)


def history_named(build: Build, logbook: Logbook, name: str) -> History | None:
    """Everything logged about the piece of that name; None when it is neither planned nor logged.

    A piece beyond the planned ones, or of a part that the plan has no longer, is found as well.
    """
    id, _, digits = name.rpartition("-")
    if not digits.isdecimal():
        return None
    number, log = int(digits), BuildLog(logbook)
    picture = assemble(build, log, studied=False)
    part = next((p for p in build.parts if p.id == id), None)
    if part is not None:
        return _history(picture, log.part(part), number)
    events = _lost_events(picture, id, number)
    if not events:
        return None
    events.sort(key=lambda e: e.when)
    return History(name, None, None, tuple(events), undecided=False, lost=True)


def _history(picture: Picture, log: PartLog, number: int) -> History | None:
    part = log.part
    view = picture.part(part.id)
    piece = next((p for p in view.pieces if p.number == number), None)
    lost = _lost_events(picture, part.id, number)
    if piece is None:
        found = tuple(sorted(lost, key=lambda e: e.when))
        name = part.named(number)
        return History(name, part, None, found, undecided=False, lost=True) if lost else None
    readings = [
        (series, reading)
        for series in view.series
        for reading in series.readings
        if reading.piece == number
    ]
    events = [
        *_of_route(log, number),
        *_of_readings(readings),
        *_of_raw(log, number),
        *_of_log(log, piece),
        *(
            Event(moment(p.taken), p.taken[:10], p.op, What.PHOTO, caption=p.caption)
            for p in view.photos
            if p.piece == number and p.taken
        ),
        *lost,
    ]
    events.sort(key=lambda e: e.when)
    bad = any(reading.bad for _, reading in readings)
    return History(
        piece.name,
        part,
        piece,
        tuple(events),
        undecided=bad and not piece.decision,
        lost=bool(lost),
        earlier=earlier_makings(part, log.earlier, number),
        named=bool(picture.people),
    )


def _event(entry: Entry[Any], what: What, op: int | None, name: str = "") -> Event:
    return Event(moment(entry.made), entry.made[:10], op, what, name, entry)


def _of_route(log: PartLog, number: int) -> Iterator[Event]:
    """Operations done on the piece, and what was noted when each was begun on the batch."""
    for done in (e for (_, of), e in log.done.items() if of == number):
        op = done.fact.op
        name = next((o.name for o in log.part.operations if o.number == op), "")
        yield _event(done, What.DONE, op, name)
        if held := tuple(e.fact for e in log.settings(op, number).values()):
            when = moment(done.made)
            yield Event(when, done.made[:10], op, What.SET, name, settings=held)
        said: set[str] = set()  # what was noted again, word for word, is one note
        for begun in log.starts:
            if begun.fact.op == op and begun.fact.note and begun.fact.note not in said:
                said.add(begun.fact.note)
                yield _event(begun, What.BEGUN, op, name)


def _of_raw(log: PartLog, number: int) -> Iterator[Event]:
    """Readings without limits: what is computed from them stands beside them."""
    for dimension in log.part.dimensions:
        entry = log.reading(dimension.id, dimension.op, number) if dimension.callout.raw else None
        if entry is not None:
            yield _event(entry, What.LOGGED, dimension.op, dimension.name)


def _of_readings(readings: Iterable[tuple[SeriesView, ReadingView]]) -> Iterator[Event]:
    for series, reading in readings:
        name = series.dimension.name
        yield Event(
            moment(reading.made), reading.made[:10], reading.op, What.READ, name, reading=reading
        )
        for other in reading.beside:
            yield Event(
                moment(other.made), other.made[:10], other.op, What.READ_BESIDE, name,
                reading=other, beside=reading,
            )  # fmt: skip


def _of_log(log: PartLog, piece: PieceView) -> Iterator[Event]:
    """What else was logged about the piece."""
    for gap in (e for (_, _, of), e in log.gaps.items() if of == piece.number):
        id = gap.fact.dimension
        name = next((d.name for d in log.part.dimensions if d.id == id), id)
        yield _event(gap, What.GAP, gap.fact.op, name)
    for decision in piece.dispositions:
        yield _event(decision, What.DECIDED, decision.fact.op)
    if piece.number in log.remade:
        yield _event(log.remade[piece.number], What.REMADE, None)
    for note in piece.notes:
        yield _event(note, What.NOTED, note.fact.op)
    for sent in (e for e in log.shipments if e.fact.piece == piece.number):
        yield _event(sent, What.SHIPPED, sent.fact.op)
    built = log.assembly.get(piece.number)
    if built is not None:
        yield _event(built, What.BUILT_IN, None)


def earlier_makings(
    part: Part, logged: Mapping[int, Sequence[Entry[Any]]], number: int
) -> tuple[History, ...]:
    """What was logged of the pieces that had this number before, the newest first."""
    found: list[History] = []
    for piece in sorted((p for p in logged if making(p)[0] == number), reverse=True):
        entries = logged[piece]
        events = [_event_before(part, e, number) for e in entries]
        events.sort(key=lambda e: e.when)
        scrapped = any(
            isinstance(e.fact, Disposition) and e.fact.decision == "scrap" for e in entries
        )
        name, was = part.named(number), Was.SCRAPPED if scrapped else Was.GIVEN_UP
        found.append(History(name, part, None, tuple(events), False, False, was=was))
    return tuple(found)


#: Entries of an earlier making that are said like those of the piece that has the number now.
_KINDS: dict[type[Fact], What] = {
    Done: What.DONE,
    Gap: What.GAP,
    Disposition: What.DECIDED,
    Note: What.NOTED,
    Shipment: What.SHIPPED,
}


def _event_before(part: Part, entry: Entry[Any], number: int) -> Event:
    """An entry of an earlier making, under the number that the piece had."""
    fact = entry.fact
    name = next((o.name for o in part.operations if o.number == getattr(fact, "op", None)), "")
    if isinstance(fact, Reading | Gap):
        name = next((d.name for d in part.dimensions if d.id == fact.dimension), fact.dimension)
    own = replace(entry, fact=replace(fact, piece=number)) if hasattr(fact, "piece") else entry
    return _event(own, _KINDS.get(type(fact), What.LOGGED), getattr(fact, "op", None), name)


def _lost_events(picture: Picture, part: str, number: int) -> list[Event]:
    """What names this piece and something that the plan has not."""
    return [
        Event(
            moment(entry.made), entry.made[:10], getattr(entry.fact, "op", None), What.LOST,
            entry=entry, lost=lost,
        )
        for lost in picture.homeless
        for entry in lost.of_piece(part, number)
    ]  # fmt: skip
