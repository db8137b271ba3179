"""The history of one piece: everything that was logged about it, in the order of making."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from enum import StrEnum
from typing import Any

from qlog.drawing.plan import Build, Part
from qlog.frozen import frozen
from qlog.logbook.facts import Disposition, Entry
from qlog.logbook.part_log import PartLog
from qlog.logbook.renames import making
from qlog.logbook.store import Logbook
from qlog.review.diary.events import (
    Event,
    What,
    event_before,
    event_of,
    lost_told,
    op_name,
    photo_event,
    raw_told,
    readings_told,
    rest_told,
)
from qlog.review.picture import Picture
from qlog.review.views import PieceView
from qlog.review.whole import picture_from


class Was(StrEnum):
    """What became of an earlier making of a piece."""

    SCRAPPED = "scrapped"
    GIVEN_UP = "given up"


@frozen
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
    number = int(digits)
    picture = picture_from(build, logbook, studied=False)
    part = next((p for p in build.parts if p.id == id), None)
    if part is not None:
        return _history(picture, PartLog.read(logbook, part), number)
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
    told = [*readings_told(view.series), *raw_told(log), *rest_told(log)]
    events = [
        *_of_route(log, number),
        # What a reading was before is said with the reading.
        *(e for e in told if e.piece == number and e.correction is None),
        *(photo_event(p, p.taken) for p in view.photos if p.piece == number and p.taken),
        *lost,
    ]
    events.sort(key=lambda e: e.when)
    bad = any(r.bad for s in view.series for r in s.readings if r.piece == number)
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


def _of_route(log: PartLog, number: int) -> Iterator[Event]:
    """Operations done on the piece, and what was noted when each was begun on the batch."""
    for done in (e for (_, of), e in log.done.items() if of == number):
        op = done.fact.op
        name = op_name(log.part, op)
        yield event_of(done, What.DONE, op, name)
        if held := tuple(e.fact for e in log.settings(op, number).values()):
            yield Event(done.made, op, What.SET, name, settings=held)
        said: set[str] = set()  # what was noted again, word for word, is one note
        for begun in log.starts:
            if begun.fact.op == op and begun.fact.note and begun.fact.note not in said:
                said.add(begun.fact.note)
                yield event_of(begun, What.BEGUN, op, name)


def earlier_makings(
    part: Part, logged: Mapping[int, Sequence[Entry[Any]]], number: int
) -> tuple[History, ...]:
    """What was logged of the pieces that had this number before, the newest first."""
    found: list[History] = []
    for piece in sorted((p for p in logged if making(p)[0] == number), reverse=True):
        entries = logged[piece]
        events = [event_before(part, e, number) for e in entries]
        events.sort(key=lambda e: e.when)
        scrapped = any(
            isinstance(e.fact, Disposition) and e.fact.decision == "scrap" for e in entries
        )
        name, was = part.named(number), Was.SCRAPPED if scrapped else Was.GIVEN_UP
        found.append(History(name, part, None, tuple(events), False, False, was=was))
    return tuple(found)


def _lost_events(picture: Picture, part: str, number: int) -> list[Event]:
    """What names this piece and something that the plan has not."""
    return [e for e in lost_told(picture.homeless) if (e.part, e.piece) == (part, number)]
