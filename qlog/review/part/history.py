"""The history of one piece: everything that was logged about it, in the order of making."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from qlog.drawing.plan import Build, Part
from qlog.logbook.facts import Assembly, Done, Gap, Shipment
from qlog.logbook.store import Logbook
from qlog.review.assemble import assemble
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


def history_of(build: Build, logbook: Logbook, part: Part, number: int) -> History:
    """Everything logged about one piece. Raises KeyError for a piece that there is not."""
    view = assemble(build, logbook, studied=False).part(part.id)
    piece = next((p for p in view.pieces if p.number == number), None)
    if piece is None:
        raise KeyError(number)
    events: list[Event] = []

    def add(made: str, op: int | None, text: str, verdict: str = "") -> None:
        events.append(Event(moment(made), made[:10], op, text, verdict))

    where = {"part": part.id, "piece": number}
    for done in logbook.live(Done, **where):
        override = f", out of order: {done.fact.override}" if done.fact.override else ""
        name = _op_name(part, done.fact.op)
        add(done.made, done.fact.op, f"{name} done{override}")
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
    for gap in logbook.live(Gap, **where):
        kind = "skipped on purpose" if gap.fact.kind == "skipped" else "cannot be measured"
        why = f": {gap.fact.why}" if gap.fact.why else ""
        name = next((d.name for d in part.dimensions if d.id == gap.fact.dimension), "")
        add(gap.made, gap.fact.op, f"{name or gap.fact.dimension} {kind}{why}")
    for decision in piece.dispositions:
        words = {"scrap": "scrapped", "rework": "to be reworked", "use as is": "used as is"}
        add(
            decision.made, decision.fact.op, f"{words[decision.fact.decision]}: {decision.fact.why}"
        )
    for note in piece.notes:
        add(note.made, note.fact.op, f"note: {note.fact.text}")
    for sent in logbook.live(Shipment, **where):
        way = "out to" if sent.fact.direction == "out" else "back from"
        add(sent.made, sent.fact.op, f"{way} {sent.fact.who}")
    for built in logbook.live(Assembly, **where):
        add(built.made, None, f"built into {built.fact.item}")
    for photo in view.photos:
        if photo.piece == number and photo.taken:
            caption = f": {photo.caption}" if photo.caption else ""
            add(photo.taken, photo.op, f"photo{caption}")
    events.sort(key=lambda e: e.when)
    return History(
        piece.name,
        _state(piece),
        tuple(events),
        bad and not piece.decision,
    )


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
