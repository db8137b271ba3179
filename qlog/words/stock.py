"""How far a part is, said: how many pieces are left, and what to do next."""

from __future__ import annotations

from typing import TYPE_CHECKING

from qlog.words.catalogue import Words
from qlog.words.entries import cause_text

if TYPE_CHECKING:
    from qlog.review.views import Next


def margin_text(margin: int, words: Words) -> str:
    """Live pieces beyond those needed: some to spare, none, or so many still to be made."""
    if margin > 0:
        return words("margin.over", n=margin)
    return words("margin.none") if margin == 0 else words("margin.short", n=-margin)


def percent(share: float, words: Words) -> str:
    """A share as whole per cent, rounded down: 94.9 % is not yet 95."""
    return words("stock.percent", n=int(share * 100 + 1e-9))


def next_text(step: Next, words: Words) -> str:
    """One step of one part in a line, with the command that logs it."""
    operation = step.operation
    named = words.pieces(step.part, step.pieces)
    counted = words.count("n.pieces", len(step.pieces))
    return words(
        f"next.{step.step.name.lower()}",
        part=step.part,
        op=operation.number,
        name=operation.name,
        pieces=named,
        named=words.piece(step.part, step.pieces[0]),
        piece=words.called(step.part, step.pieces[0]),
        who=operation.sent_out,
        dimensions=words.list([d.name for d in step.dimensions]),
        dimension=step.dimensions[0].id if step.dimensions else "",
        cause=cause_text(step.cause, words),
        count=counted,
        which=named if step.some else counted,
    )
