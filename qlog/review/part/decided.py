"""What is decided about pieces: scrapped, reworked or used as they are; and which are spare."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from qlog.drawing.plan import Build, Part
from qlog.review.picture import PieceView, ReadingView, SeriesView

#: Decisions after which an out-of-limits reading asks for nothing any more.
SETTLED = ("scrap", "use as is")


def decision_on(piece: PieceView) -> str:
    """`scrap`, `use as is`, `rework`, or nothing when nobody has decided about the piece.

    The last decision holds, wherever the piece has gone since; scrap is for good.
    """
    said = [entry.fact.decision for entry in piece.dispositions]
    return "scrap" if "scrap" in said else said[-1] if said else ""


def failed_readings(
    pieces: Sequence[PieceView], series: Sequence[SeriesView]
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
    open_ = {p.number for p in pieces if decision_on(p) not in SETTLED}
    found: dict[int, tuple[ReadingView, ...]] = {}
    for (piece, _), reading in newest.items():
        if piece in open_ and reading.bad:
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
