"""What is decided about pieces: scrapped, reworked or used as they are; and which are spare."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from qlog.drawing.plan import Build, Part
from qlog.logbook.part_log import AS_IS, REWORK, SCRAP, PartLog
from qlog.review.part.series import Series
from qlog.review.views import PieceView, ReadingView

#: Decisions after which an out-of-limits reading asks for nothing any more.
SETTLED = (SCRAP, AS_IS)


def decision_on(log: PartLog, piece: int) -> str:
    """`scrap`, `use as is`, `rework`, or nothing when no decision about the piece stands.

    The last decision holds, wherever the piece has gone since; scrap is for good, and a rework is
    over when what was cut again was read again.
    """
    if piece in log.scrapped:
        return SCRAP
    said = log.decisions(piece)
    if not said or (said[-1].fact.decision == REWORK and not log.in_rework(piece)):
        return ""
    return said[-1].fact.decision


def failed_readings(
    pieces: Sequence[PieceView], series: Sequence[Series]
) -> dict[int, tuple[ReadingView, ...]]:
    """The readings that are out or no-go on pieces that nobody decided to use as they are.

    For each dimension the reading after the last operation counts: what a later cut put right is
    no longer out. Scrapped pieces are not named, they are gone. Only pieces that failed have an
    entry.
    """
    newest: dict[tuple[int, str], ReadingView] = {}
    for one in sorted(series, key=lambda s: s.operation.number):
        for reading in one.readings:
            newest[reading.piece, one.dimension.id] = reading
    undecided = {p.number for p in pieces if p.decision not in SETTLED}
    found: dict[int, tuple[ReadingView, ...]] = {}
    for (piece, _), reading in newest.items():
        if piece in undecided and reading.bad:
            found[piece] = (*found.get(piece, ()), reading)
    return found


def spare_pieces(
    build: Build, part: Part, good: Sequence[int], built_in: Collection[int]
) -> frozenset[int]:
    """Pieces that are not needed while the others hold, out of the good ones.

    A piece that was built into an item is needed, and so are as many of the pieces reserved for a
    group of items as that group takes; the rest are needed in the order of making.
    """
    first = sorted(good, key=lambda piece: piece not in built_in)
    needed = [piece for piece in first if piece in built_in]
    for group in build.groups:
        reserved, takes = dict(group.only).get(part.id, ()), dict(group.takes).get(part.id, 0)
        own = [piece for piece in first if piece in reserved][: group.count * takes]
        needed += [piece for piece in own if piece not in needed]
    needed += [piece for piece in first if piece not in needed]
    return frozenset(needed[part.needed :])
