"""Sent out and back: pieces counted out, pieces counted in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from qlog.drawing.plan import Part
from qlog.intake.route import scrapped
from qlog.logbook.facts import Assembly, Done, Shipment
from qlog.logbook.store import Logbook
from qlog.problem import Problem
from qlog.words import pieces as named


class ShipmentError(Problem):
    """Pieces that cannot be sent or taken back as asked."""


@dataclass(frozen=True, slots=True)
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


def parcels(logbook: Logbook, part: Part, op: int | None = None) -> tuple[Parcel, ...]:
    """The parcels of a part, oldest first."""
    groups: dict[str, list[Shipment]] = {}
    for entry in logbook.live(Shipment, part=part.id):
        if op is None or entry.fact.op == op:
            groups.setdefault(entry.fact.parcel, []).append(entry.fact)
    return tuple(
        Parcel(
            id,
            part.id,
            facts[0].op,
            facts[0].who,
            tuple(sorted(f.piece for f in facts if f.direction == "out")),
            tuple(sorted(f.piece for f in facts if f.direction == "back")),
        )
        for id, facts in groups.items()
    )


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
    """Count pieces out for an operation; by default every live piece that waits for it.

    Raises ShipmentError for pieces that are scrapped, away already, done already, not at that
    operation yet, or built into an item.
    """
    dead = scrapped(logbook, part)
    done = {(e.fact.op, e.fact.piece) for e in logbook.live(Done, part=part.id)}
    known = parcels(logbook, part)
    away = {p for parcel in known for p in parcel.away}
    if pieces is None:
        pieces = [
            p
            for p in part.pieces
            if p not in dead | away and part.takes(op, p) and (op, p) not in done
        ]
    if not pieces:
        raise ShipmentError(f"no {part.id} waits for op {op}; nothing was sent")
    open_ops = {
        p: [o.number for o in part.operations
            if o.number < op and part.takes(o.number, p) and (o.number, p) not in done]
        for p in pieces
    }  # fmt: skip
    built = {e.fact.piece: e.fact.item for e in logbook.live(Assembly, part=part.id)}
    for wrong, why in (
        ([p for p in pieces if p in dead], "was scrapped"),
        ([p for p in pieces if p in away], "is away already"),
        ([p for p in pieces if (op, p) in done], f"has had op {op} already"),
        ([p for p in pieces if not part.takes(op, p)], f"does not get op {op} in build.toml"),
        ([p for p in pieces if open_ops[p]], "has an earlier operation open"),
        (
            [p for p in pieces if p in built and not even_assembled],
            "is built into an item; say --assembled to send it all the same",
        ),
    ):
        if wrong:
            raise ShipmentError(f"{named(part.id, wrong)} {why}; nothing was sent")
    id = f"{part.id}-op{op}-{sum(p.op == op for p in known) + 1}"
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
    before = [p for p in parcels(logbook, part, op) if p.away]
    away = {piece: parcel for parcel in before for piece in parcel.away}
    if pieces is None:
        pieces = sorted(away)
    if not pieces:
        raise ShipmentError(f"no {part.id} is away for op {op}")
    if strange := [p for p in pieces if p not in away]:
        raise ShipmentError(f"{named(part.id, strange)} was not sent out; nothing was taken back")
    facts: list[Shipment | Done] = []
    for piece in pieces:
        facts.append(Shipment(away[piece].id, "back", part.id, op, piece, away[piece].who, note))
        facts.append(Done(part.id, op, piece))
    logbook.append_all(facts, made=made)
    touched = {away[p].id for p in pieces}
    return tuple(p for p in parcels(logbook, part, op) if p.id in touched)
