"""The route: operations marked as done, in order."""

from __future__ import annotations

from collections.abc import Sequence

from qlog.drawing.plan import Part
from qlog.frozen import frozen
from qlog.logbook.facts import Disposition, Done, Gap, Reading, Start
from qlog.logbook.store import Appended, Logbook
from qlog.problem import Problem


class RouteError(Problem):
    """An operation that cannot be marked as asked."""


class OutOfOrder(RouteError):
    """An operation marked before what has to come first; a reason given overrides it."""


@frozen
class Marked:
    """Pieces newly marked, and those that were marked before."""

    new: tuple[int, ...]
    known: tuple[int, ...]


def scrapped(logbook: Logbook, part: Part) -> frozenset[int]:
    """Numbers of the part's scrapped pieces."""
    return frozenset(
        e.fact.piece for e in logbook.live(Disposition, part=part.id) if e.fact.decision == "scrap"
    )


def mark_done(
    logbook: Logbook,
    part: Part,
    op: int,
    pieces: Sequence[int] | None = None,
    *,
    made: str | None = None,
    override: str = "",
) -> Marked:
    """Mark an operation as done on pieces, by default on all live ones that wait for it.

    Raises RouteError when a named piece is scrapped, and OutOfOrder when an earlier operation of
    it is open, or a dimension unread that this operation puts out of reach, and no `override`
    says why; nothing is written then.
    """
    from qlog.counting import pieces as named

    dead = scrapped(logbook, part)
    done = {(e.fact.op, e.fact.piece) for e in logbook.live(Done, part=part.id)}
    if pieces is None:
        pieces = [
            p for p in part.pieces if p not in dead and (op, p) not in done and part.takes(op, p)
        ]
    if gone := sorted(set(pieces) & dead):
        raise RouteError(f"{named(part.id, gone)} was scrapped; nothing was marked")
    earlier = [o.number for o in part.operations if o.number < op]
    late = {
        p: [n for n in earlier if (n, p) not in done and part.takes(n, p)]
        for p in pieces
        if (op, p) not in done
    }
    late = {p: ops for p, ops in late.items() if ops}
    if late and not override.strip():
        first = sorted({n for ops in late.values() for n in ops})
        raise OutOfOrder(
            f"op {', '.join(map(str, first))} is open on {named(part.id, late)}; mark it first "
            f"(`qlog done {part.id} {first[0]}`), or say why with --override"
        )
    unread = sealed_unread(logbook, part, op, [p for p in pieces if (op, p) not in done])
    if unread and not override.strip():
        name, owing = next(iter(unread.items()))
        at = part.dimension(name).requirements[0].op
        raise OutOfOrder(
            f"{name} of {named(part.id, owing)} is not read, and cannot be reached after op {op}; "
            f"read it first (`qlog read {part.id} {at} {name}`), or say why with --override"
        )
    odd = set(late) | {p for owing in unread.values() for p in owing}
    facts = [Done(part.id, op, p, override.strip() if p in odd else "") for p in pieces]
    entries = logbook.append_all(facts, made=made)
    return Marked(
        tuple(e.fact.piece for e in entries if e.new),
        tuple(e.fact.piece for e in entries if not e.new),
    )


def sealed_unread(
    logbook: Logbook, part: Part, op: int, pieces: Sequence[int]
) -> dict[str, list[int]]:
    """Dimensions that `op` puts out of reach, and the pieces on which they were never read.

    Skipped on purpose counts as read: that was decided.
    """
    found: dict[str, list[int]] = {}
    for dimension in part.dimensions:
        sealed = [p for p in pieces if part.sealed_by(dimension, p) == op]
        if not sealed:
            continue
        where = {"part": part.id, "dimension": dimension.id}
        known = {e.fact.piece for e in logbook.live(Reading, **where)}
        known |= {e.fact.piece for e in logbook.live(Gap, **where)}
        owing = [p for p in sealed if p not in known]
        if owing:
            found[dimension.id] = owing
    return found


def start(
    logbook: Logbook, part: Part, op: int, *, note: str = "", made: str | None = None
) -> Appended[Start]:
    """An operation is begun on the batch: photos taken from now on belong to it."""
    fact = Start(part.id, op, note)
    return logbook.append(fact, made=made)
