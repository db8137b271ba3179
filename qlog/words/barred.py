"""Pieces that are not to be given away as they stand: why, and what to do about it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from qlog.drawing.decimals import as_typed
from qlog.words.catalogue import Words
from qlog.words.values import verdict_word

if TYPE_CHECKING:
    from qlog.review.items.mating import Barred


def why_barred(piece: Barred, words: Words) -> str:
    """What is wrong with it: "bore 8.031 is out high", "it is still sent out"."""
    said = [
        words(
            "barred.out" if reading.verdict is not None else "barred.failed",
            dimension=reading.dimension,
            value=as_typed(reading.typed),
            verdict=verdict_word(words, reading),
        )
        for reading in piece.failed
    ]
    if piece.away:
        said.append(words("barred.away"))
    return ", ".join(said)


def said_of_barred(piece: Barred, words: Words) -> str:
    """One line about it, with what to type."""
    about = {
        "piece": words.piece(piece.part, piece.piece),
        "item": words.item(piece.item or ""),
        "why": why_barred(piece, words),
    }
    todo = words("barred.decide" if piece.failed else "barred.back", **about)
    return words(
        "barred.built_in" if piece.item is not None else "barred.left_out", todo=todo, **about
    )
