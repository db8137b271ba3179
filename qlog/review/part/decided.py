"""What is decided about pieces: scrapped, reworked or used as they are; and which are spare."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from qlog.drawing.plan import Build, Part
from qlog.review.picture import PieceView

#: Decisions after which an out-of-limits reading asks for nothing any more.
SETTLED = ("scrap", "use as is")


def decision_on(piece: PieceView) -> str:
    """`scrap`, `use as is`, `rework`, or nothing when nobody has decided about the piece.

    The last decision holds, wherever the piece has gone since; scrap is for good.
    """
    said = [entry.fact.decision for entry in piece.dispositions]
    return "scrap" if "scrap" in said else said[-1] if said else ""


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
