"""The route: operations marked as done, in order."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from qlog.drawing.plan import Part
from qlog.frozen import frozen
from qlog.logbook.facts import Done, Start
from qlog.logbook.part_log import PartLog
from qlog.logbook.store import Appended, Logbook
from qlog.problem import Problem, ToSay


class RouteError(Problem):
    """An operation that cannot be marked as asked."""


@frozen
class Held:
    """Pieces that are not ready for an operation, and why.

    Either earlier operations are open, or `dimension`, which is read after `read_at`, cannot be
    reached any more.
    """

    part: str
    op: int
    pieces: tuple[int, ...]
    open_ops: tuple[int, ...] = ()
    dimension: str = ""
    read_at: int = 0


class OrderRefused(RouteError):
    """An operation marked before what has to come first; a reason given overrides it."""

    def __init__(self, held: Held) -> None:
        self.held = held
        first = held.open_ops[0] if held.open_ops else held.read_at
        super().__init__(ToSay("error.op_comes_after", op=held.op, part=held.part, first=first))


@frozen
class Marked:
    """Pieces newly marked, those that were marked before, and those that are not ready for it."""

    new: tuple[int, ...]
    known: tuple[int, ...]
    held: tuple[Held, ...] = ()  # why the others were left out


def mark_done(
    logbook: Logbook,
    part: Part,
    op: int,
    pieces: Sequence[int] | None = None,
    *,
    made: str | None = None,
    override: str = "",
) -> Marked:
    """Mark an operation as done on the pieces that are ready for it; by default on all that wait.

    A piece is not ready while an earlier operation of it is open, or a dimension unread that this
    operation puts out of reach; an `override` says why it was done all the same. Raises RouteError
    when a named piece is scrapped, and OutOfOrder when none of the pieces is ready; nothing is
    written then.
    """

    log = PartLog.read(logbook, part)
    if pieces is None:
        pieces = [
            p
            for p in part.pieces
            if p not in log.scrapped and (op, p) not in log.done and part.takes(op, p)
        ]
    if gone := sorted(set(pieces) & set(log.scrapped)):
        raise RouteError(ToSay("error.scrapped_nothing_marked", pieces=part.listed(gone)))
    fresh = [p for p in pieces if (op, p) not in log.done]
    late = {p: ops for p in fresh if (ops := log.open_ops(op, p))}
    unread = sealed_unread(log, op, fresh)
    odd = set(late) | {p for owing in unread.values() for p in owing}
    held = _held(part, op, late, unread) if odd and not override.strip() else ()
    ready = [p for p in pieces if not held or p not in odd]
    if held and not any(p in fresh for p in ready):
        raise OrderRefused(held[0])
    facts = [Done(part.id, op, p, override.strip() if p in odd else "") for p in ready]
    entries = logbook.append_all(facts, made=made)
    return Marked(
        tuple(e.fact.piece for e in entries if e.new),
        tuple(e.fact.piece for e in entries if not e.new),
        held,
    )


def _held(
    part: Part, op: int, late: Mapping[int, Sequence[int]], unread: Mapping[str, Sequence[int]]
) -> tuple[Held, ...]:
    """What keeps pieces from having the operation, one reason a cause."""
    held: list[Held] = []
    if late:
        first = sorted({n for ops in late.values() for n in ops})
        held.append(Held(part.id, op, tuple(late), tuple(first)))
    for name, owing in unread.items():
        at = part.dimension(name).requirements[0].op
        held.append(Held(part.id, op, tuple(owing), dimension=name, read_at=at))
    return tuple(held)


def sealed_unread(log: PartLog, op: int, pieces: Sequence[int]) -> dict[str, list[int]]:
    """Dimensions that `op` puts out of reach, and the pieces on which they were never read.

    Skipped on purpose counts as read: that was decided.
    """
    found: dict[str, list[int]] = {}
    for dimension in log.part.dimensions:
        if dimension.derived is not None:  # what it is computed from is asked for by itself
            continue
        known = {p for (name, _), at in log.places.items() if name == dimension.id for p in at}
        known |= {p for name, _, p in log.gaps if name == dimension.id}
        owing = [p for p in pieces if log.part.sealed_by(dimension, p) == op and p not in known]
        if owing:
            found[dimension.id] = owing
    return found


def start(
    logbook: Logbook, part: Part, op: int, *, note: str = "", made: str | None = None
) -> Appended[Start]:
    """An operation is begun on the batch: photos taken from now on belong to it."""
    fact = Start(part.id, op, note)
    return logbook.append(fact, made=made)
