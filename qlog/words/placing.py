"""Why a photo lies where it lies, or nowhere: votes and doubts in words."""

from __future__ import annotations

from qlog.intake.photos.place import Vote, Why
from qlog.words.catalogue import Words


def by_text(how: str, words: Words) -> str:
    """What placed or proposes a photo, from what its placement keeps: "by card and log"."""
    return words.list(
        [words.maybe(f"photo.by.{vote.replace(' ', '_')}", vote) for vote in how.split("+")]
    )


def why_text(why: Why | None, words: Words) -> str:
    """What speaks against a photo's place; "" for nothing."""
    if why is None:
        return ""
    said = words.list([_vote(vote, words) for vote in why.votes])
    return words(f"photo.why.{why.doubt.value}", votes=said, what=why.what)


def _vote(vote: Vote, words: Words) -> str:
    where = vote.part if vote.piece is None else words.piece(vote.part, vote.piece)
    op = f" op {vote.op}" if vote.op else ""
    return words(f"photo.vote.{vote.by.value}", place=f"{where}{op}")
