"""What an operation was set to, over the pieces of a batch: enough to make one more."""

from __future__ import annotations

from qlog.frozen import frozen
from qlog.logbook.facts import SETTINGS, Entry, Setting
from qlog.logbook.part_log import PartLog


@frozen
class SetView:
    """One thing that an operation was set to, with the pieces that were or will be made so."""

    what: str
    value: str
    unit: str
    pieces: tuple[int, ...]
    made: str  # when it was set
    entry: int
    last: bool  # what the next piece is made with


def set_views(log: PartLog, op: int) -> tuple[SetView, ...]:
    """All that an operation was set to, thing by thing, in the order of the pieces."""
    held: dict[str, dict[int, tuple[Entry[Setting], list[int]]]] = {}
    pieces = [p for p in log.pieces if log.part.takes(op, p)]
    for piece in pieces:
        for what, entry in log.settings(op, piece).items():
            of = held.setdefault(what, {}).setdefault(entry.id, (entry, []))
            of[1].append(piece)
    now = {
        e.id
        for e in log.settings(op, _next_piece(log, op, pieces)).values()
    }  # fmt: skip
    return tuple(
        SetView(
            what, entry.fact.value, entry.fact.unit, tuple(of), entry.made, entry.id,
            entry.id in now,
        )
        for what in (*SETTINGS, *sorted(set(held) - set(SETTINGS)))
        for entry, of in held.get(what, {}).values()
    )  # fmt: skip


def _next_piece(log: PartLog, op: int, pieces: list[int]) -> int:
    """The piece that is made next, or the last one where all are made."""
    waits = (p for p in pieces if (op, p) not in log.done and p not in log.scrapped)
    return next(waits, pieces[-1] if pieces else 1)
