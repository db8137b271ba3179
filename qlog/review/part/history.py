"""The history of one piece: everything that was logged about it, in the order of making."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from qlog.drawing.plan import Build, Part
from qlog.logbook.build_log import BuildLog
from qlog.logbook.facts import Disposition, Done, Entry, Gap, Note, Reading, Shipment
from qlog.logbook.part_log import PartLog
from qlog.logbook.renames import making
from qlog.logbook.store import Logbook
from qlog.review.assemble import assemble
from qlog.review.homeless import Homeless
from qlog.review.picture import Picture
from qlog.review.times import moment
from qlog.review.views import PieceView, Standing

_DECIDED = {"scrap": "scrapped", "rework": "to be reworked", "use as is": "used as is"}


@dataclass(frozen=True, slots=True)
class Event:
    """One thing that happened to a piece."""

    when: datetime
    day: str  # ISO 8601 date
    op: int | None
    text: str
    verdict: str = ""  # of a reading: "in", "out high", "pass" ...


@dataclass(frozen=True, slots=True)
class History:
    """A piece's standing and its events, oldest first."""

    name: str
    state: str
    events: tuple[Event, ...]
    undecided: bool  # a reading is out and nothing was decided about the piece
    lost: bool  # something names what the plan has not
    earlier: tuple[History, ...] = ()  # earlier makings of the piece, the newest first


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
    return History(name, f"build.toml has no part {id}", tuple(events), undecided=False, lost=True)


def _history(picture: Picture, log: PartLog, number: int) -> History | None:
    part = log.part
    view = picture.part(part.id)
    piece = next((p for p in view.pieces if p.number == number), None)
    lost = _lost_events(picture, part.id, number)
    if piece is None:
        state = "not planned"
        found = tuple(sorted(lost, key=lambda e: e.when))
        return History(f"{part.id}-{number}", state, found, False, True) if lost else None
    events: list[Event] = []

    def add(made: str, op: int | None, text: str, verdict: str = "") -> None:
        events.append(Event(moment(made), made[:10], op, text, verdict))

    for done in (e for (_, of), e in log.done.items() if of == number):
        override = f", out of order: {done.fact.override}" if done.fact.override else ""
        name = _op_name(part, done.fact.op)
        add(done.made, done.fact.op, f"{name} done{override}")
        # What was noted when the batch was begun holds for every piece that had it.
        for begun in log.starts:
            if begun.fact.op == done.fact.op and begun.fact.note:
                add(begun.made, begun.fact.op, f"{name} begun: {begun.fact.note}")
    bad = False
    for series in view.series:
        for reading in series.readings:
            if reading.piece != number:
                continue
            bad = bad or reading.bad
            text = f"{series.dimension.name} {reading.typed}"
            text += "".join(f" (was {c.typed}: {c.reason})" for c in reading.corrections)
            text += ", in doubt: its instrument failed a check" if reading.suspect else ""
            text += f", {reading.note}" if reading.note else ""
            add(reading.made, reading.op, text, reading.word)
            for other in reading.beside:
                decides = f"{reading.instrument or 'another reading'} decides"
                add(
                    other.made,
                    other.op,
                    f"{series.dimension.name} {other.typed} by "
                    f"{other.instrument or 'no named instrument'}; {decides}",
                    other.word,
                )
    for gap in (e for (_, _, of), e in log.gaps.items() if of == number):
        kind = "skipped on purpose" if gap.fact.kind == "skipped" else "cannot be measured"
        why = f": {gap.fact.why}" if gap.fact.why else ""
        name = next((d.name for d in part.dimensions if d.id == gap.fact.dimension), "")
        add(gap.made, gap.fact.op, f"{name or gap.fact.dimension} {kind}{why}")
    for decision in piece.dispositions:
        said = f"{_DECIDED[decision.fact.decision]}: {decision.fact.why}"
        add(decision.made, decision.fact.op, said)
    if number in log.remade:
        remade = log.remade[number]
        add(remade.made, None, f"made anew: {remade.fact.why}")
    for note in piece.notes:
        add(note.made, note.fact.op, f"note: {note.fact.text}")
    for sent in (e for e in log.shipments if e.fact.piece == number):
        way = "out to" if sent.fact.direction == "out" else "back from"
        add(sent.made, sent.fact.op, f"{way} {sent.fact.who}")
    built = log.assembly.get(number)
    if built is not None:
        add(built.made, None, f"built into {built.fact.item}")
    for photo in view.photos:
        if photo.piece == number and photo.taken:
            caption = f": {photo.caption}" if photo.caption else ""
            add(photo.taken, photo.op, f"photo{caption}")
    events += lost
    events.sort(key=lambda e: e.when)
    return History(
        piece.name,
        _state(piece),
        tuple(events),
        undecided=bad and not piece.decision,
        lost=bool(lost),
        earlier=earlier_makings(log, number),
    )


def earlier_makings(log: PartLog, number: int) -> tuple[History, ...]:
    """What was logged of the pieces that had this number before, the newest first."""
    found: list[History] = []
    for piece in sorted((p for p in log.earlier if making(p)[0] == number), reverse=True):
        entries = log.earlier[piece]
        events = [
            Event(moment(e.made), e.made[:10], getattr(e.fact, "op", None), _said(log.part, e.fact))
            for e in entries
        ]
        events.sort(key=lambda e: e.when)
        scrapped = any(
            isinstance(e.fact, Disposition) and e.fact.decision == "scrap" for e in entries
        )
        state = "scrapped" if scrapped else "given up"
        found.append(History(f"{log.part.id}-{number}", state, tuple(events), False, False))
    return tuple(found)


def _said(part: Part, fact: Any) -> str:
    """An entry of an earlier making in a few words."""
    match fact:
        case Reading():
            name = next((d.name for d in part.dimensions if d.id == fact.dimension), fact.dimension)
            return f"{name} {fact.typed}"
        case Done():
            return f"{_op_name(part, fact.op)} done"
        case Disposition():
            return f"{_DECIDED[fact.decision]}: {fact.why}"
        case Note():
            return f"note: {fact.text}"
        case Gap():
            return f"{fact.dimension} left out"
        case Shipment():
            return f"{'out to' if fact.direction == 'out' else 'back from'} {fact.who}"
    return str(fact.TABLE)


def _lost_events(picture: Picture, part: str, number: int) -> list[Event]:
    """What names this piece and something that the plan has not."""
    found: list[Event] = []
    for lost in picture.homeless:
        for entry in lost.of_piece(part, number):
            text, op = _without_home(lost, entry)
            found.append(Event(moment(entry.made), entry.made[:10], op, text))
    return found


def _without_home(lost: Homeless, entry: Entry[Any]) -> tuple[str, int | None]:
    """An entry that names what the plan has not, in words, and its operation."""
    fact = entry.fact
    gone = f"build.toml has no {lost.gone.value} {lost.name}"
    if isinstance(fact, Reading):
        return f"{fact.dimension} {fact.typed}, a reading without a home: {gone}", fact.op
    named = getattr(fact, "dimension", None) or getattr(fact, "item", None) or ""
    return f"{fact.TABLE} {named}".rstrip() + f", without a home: {gone}", getattr(fact, "op", None)


def _op_name(part: Part, op: int) -> str:
    return next((o.name for o in part.operations if o.number == op), f"op {op}")


def _state(piece: PieceView) -> str:
    due = next((c.op for c in piece.cells if c.due), None)
    words = {
        Standing.UNCUT: "not begun",
        Standing.LIVE: "live",
        Standing.REWORK: "to be reworked",
        Standing.AS_IS: "used as is",
        Standing.SCRAP: "scrapped",
        Standing.ASSEMBLED: f"built into {piece.item}",
        Standing.OUT: "sent out",
    }
    state = words[piece.standing]
    if piece.standing is Standing.SCRAP:
        return state
    spare = ", a spare" if piece.spare else ""
    return f"{state}{spare}; " + ("finished" if due is None else f"next is op {due}")
