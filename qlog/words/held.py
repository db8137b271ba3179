"""Why pieces are not ready for an operation, said with what to type."""

from __future__ import annotations

from qlog.intake.bench.route import Held
from qlog.words.catalogue import Words


def held_text(held: Held, words: Words) -> str:
    """What has to come first on these pieces."""
    pieces = words.pieces(held.part, held.pieces)
    if held.open_ops:
        return words(
            "held.open",
            ops=", ".join(map(str, held.open_ops)),
            first=held.open_ops[0],
            pieces=pieces,
            part=held.part,
        )
    return words(
        "held.unread",
        name=held.dimension,
        pieces=pieces,
        op=held.op,
        part=held.part,
        at=held.read_at,
    )
