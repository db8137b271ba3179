"""Where a photo lies and why, or why it was not taken in: places, votes and doubts in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from qlog.words.catalogue import Words

if TYPE_CHECKING:
    from qlog.intake.photos.files import Skipped
    from qlog.intake.photos.photo_file import Remark
    from qlog.intake.photos.place import Proposal, Vote, Why
    from qlog.intake.photos.taking import PhotoPlace
    from qlog.logbook.facts import Placement
    from qlog.review.views import PhotoView


def place_text(place: Placement | PhotoView | PhotoPlace | Proposal | Vote, words: Words) -> str:
    """`foot-3 op 20`, `tall-1`, `the whole set`; empty where nothing is said."""
    if place.part:
        name = place.part if place.piece is None else words.piece(place.part, place.piece)
        return words("photo.place.op", name=name, op=place.op) if place.op else name
    item, cover = getattr(place, "item", None), getattr(place, "cover", "")
    return words.item(item or "") or (words("place.set") if cover == "build" else "")


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
    return words(f"photo.vote.{vote.by.value}", place=place_text(vote, words))


def left_out_text(skipped: Skipped, words: Words) -> str:
    """Why a file was not taken in."""
    from qlog.words.problems import in_words

    return words(f"left_out.{skipped.why.value}", error=in_words(words, skipped.error))


def remark_text(remark: Remark, words: Words) -> str:
    """What is odd about a photo that was taken in all the same."""
    return words(f"remark.{remark.oddity.value}", found=remark.found, detail=remark.detail)
