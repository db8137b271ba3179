"""Sent out and back: pieces counted out, pieces counted in."""

from __future__ import annotations

from collections.abc import Sequence

from qlog.drawing.plan import Part
from qlog.frozen import frozen
from qlog.logbook.facts import Done, Shipment
from qlog.logbook.part_log import PartLog
from qlog.logbook.store import Logbook
from qlog.problem import Problem, ToSay


class ShipmentError(Problem):
    """Pieces that cannot be sent or taken back as asked."""


@frozen
class Parcel:
    """One parcel: what went out, what is back, what is still away."""

    id: str
    part: str
    op: int
    who: str
    out: tuple[int, ...]
    back: tuple[int, ...]

    @property
    def away(self) -> tuple[int, ...]:
        """Pieces that are out and not back."""
        return tuple(p for p in self.out if p not in self.back)


def parcels(log: PartLog, op: int | None = None) -> tuple[Parcel, ...]:
    """The parcels of a part, oldest first."""
    groups: dict[str, list[Shipment]] = {}
    for entry in log.shipments:
        if op is None or entry.fact.op == op:
            groups.setdefault(entry.fact.parcel, []).append(entry.fact)
    return tuple(
        Parcel(
            id,
            log.part.id,
            facts[0].op,
            facts[0].who,
            tuple(sorted(f.piece for f in facts if f.direction == "out")),
            tuple(sorted(f.piece for f in facts if f.direction == "back")),
        )
        for id, facts in groups.items()
    )


def waiting(log: PartLog, op: int) -> tuple[list[int], list[int]]:
    """Live pieces here that have an operation before them: those ready for it, and those not yet.

    Not ready is a piece with an earlier operation open, a blank that was never begun for one.
    """
    ready: list[int] = []
    held: list[int] = []
    for piece in log.part.pieces:
        gone = piece in log.scrapped or piece in log.away
        if not gone and log.part.takes(op, piece) and (op, piece) not in log.done:
            (held if log.open_ops(op, piece) else ready).append(piece)
    return ready, held


def send(
    logbook: Logbook,
    part: Part,
    op: int,
    pieces: Sequence[int] | None,
    who: str,
    *,
    note: str = "",
    made: str | None = None,
    even_assembled: bool = False,
) -> Parcel:
    """Count pieces out for an operation; by default every piece that is ready for it.

    Raises ShipmentError for pieces that are scrapped, away already, done already, not at that
    operation yet, or built into an item.
    """
    log = PartLog.read(logbook, part)
    if pieces is None:
        ready, held = waiting(log, op)
        pieces = ready or held  # of which it is then said why they cannot go
    if not pieces:
        raise ShipmentError(ToSay("error.waits_op_nothing", part=part.id, op=op))
    for wrong, why in (
        ([p for p in pieces if p in log.scrapped], ToSay("error.is_scrapped")),
        ([p for p in pieces if p in log.away], ToSay("error.away_already")),
        ([p for p in pieces if (op, p) in log.done], ToSay("error.op_done_already", op=op)),
        ([p for p in pieces if not part.takes(op, p)], ToSay("error.no_op", op=op)),
        ([p for p in pieces if log.open_ops(op, p)], ToSay("error.earlier_op_open")),
        (
            [p for p in pieces if p in log.assembly and not even_assembled],
            ToSay("error.send_assembled"),
        ),
    ):
        if wrong:
            raise ShipmentError(ToSay("error.nothing_sent", pieces=part.listed(wrong), why=why))
    id = f"{part.id}-op{op}-{len(parcels(log, op)) + 1}"
    facts = [Shipment(id, "out", part.id, op, p, who, note) for p in sorted(pieces)]
    logbook.append_all(facts, made=made)
    return Parcel(id, part.id, op, who, tuple(sorted(pieces)), ())


def take_back(
    logbook: Logbook,
    part: Part,
    op: int,
    pieces: Sequence[int] | None,
    *,
    note: str = "",
    made: str | None = None,
) -> tuple[Parcel, ...]:
    """Count pieces in; by default all that are away. They have then had the operation.

    Raises ShipmentError for a piece that is not away.
    """
    before = [p for p in parcels(PartLog.read(logbook, part), op) if p.away]
    away = {piece: parcel for parcel in before for piece in parcel.away}
    if pieces is None:
        pieces = sorted(away)
    if not pieces:
        raise ShipmentError(ToSay("error.away_op", part=part.id, op=op))
    if strange := [p for p in pieces if p not in away]:
        raise ShipmentError(ToSay("error.sent_out_nothing", pieces=part.listed(strange)))
    facts: list[Shipment | Done] = []
    for piece in pieces:
        facts.append(Shipment(away[piece].id, "back", part.id, op, piece, away[piece].who, note))
        facts.append(Done(part.id, op, piece))
    logbook.append_all(facts, made=made)
    touched = {away[p].id for p in pieces}
    return tuple(p for p in parcels(PartLog.read(logbook, part), op) if p.id in touched)
