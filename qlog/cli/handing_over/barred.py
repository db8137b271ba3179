"""Pieces that are not to be given away as they stand: why, and what to do about it."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from qlog.review.items.mating import Barred


def why_barred(piece: Barred) -> str:
    """What is wrong with it: "bore 8.031 is out high", "still sent out"."""
    said = [
        f"{reading.dimension} {reading.typed} is {reading.word}"
        if reading.verdict is not None
        else f"{reading.dimension} {reading.typed} failed"
        for reading in piece.failed
    ]
    if piece.away:
        said.append("it is still sent out")
    return ", ".join(said)


def said_of(piece: Barred) -> str:
    """One line about it, with what to type."""
    todo = (
        f"qlog piece {piece.id} scrap|rework|use-as-is"
        if piece.failed
        else f"qlog back, when {piece.id} is here"
    )
    if piece.item is not None:
        return f"{piece.id} is in {piece.item}: {why_barred(piece)} ({todo})"
    return f"left out: {piece.id}, {why_barred(piece)} ({todo})"
