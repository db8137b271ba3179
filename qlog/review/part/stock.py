"""Stock: the pieces of a part that are left, what became of the rest, and whether it is enough."""

from __future__ import annotations

from qlog.drawing.plan import Part
from qlog.frozen import frozen
from qlog.logbook.facts import Disposition, Entry
from qlog.logbook.renames import making
from qlog.problem import ToSay
from qlog.review.part.batch import Batch
from qlog.review.views import PieceView, Standing
from qlog.study.batch.counts import Outlook, chance_from_here

#: Blanks for every needed piece; where more are needed, no number is said to be enough.
_MOST = 20
#: Share of the pieces lost at every operation when planning; common practice.
LOSS = 0.02

#: Chance of coming out with enough pieces that the blanks are counted for.
WANTED = 0.95


@frozen
class Lost:
    """A piece about which something was decided: when, where in the route, and why."""

    piece: str  # "pan-6"
    decision: str
    op: int | None
    why: str
    made: str
    anew: bool = False  # another piece has the number by now


@frozen
class Stock:
    """The pieces of one part; `chance` is that of enough coming through all that is before them."""

    part: Part
    live: int
    uncut: int  # of the live ones, those on which nothing was done yet
    finished: int
    spare: tuple[int, ...]  # live pieces that are not needed while the others hold
    margin: int
    decided: tuple[Lost, ...]
    chance: float
    remade: tuple[str, ...]  # pieces made anew under the number of an earlier one
    more: int  # blanks to cut besides the live pieces, for WANTED
    loss: float


def stock_of(view: Batch, loss: float = LOSS) -> Stock:
    """Count one batch. Raises ValueError for a loss outside 0..1, or one that nothing outlives."""
    live = [p for p in view.pieces if p.standing is not Standing.SCRAP]
    return Stock(
        part=view.part,
        live=len(live),
        uncut=sum(p.standing is Standing.UNCUT for p in live),
        finished=view.finished,
        spare=tuple(p.number for p in live if p.spare),
        margin=view.margin,
        decided=tuple(
            Lost(p.name, e.fact.decision, e.fact.op, e.fact.why, e.made)
            for p in view.pieces
            for e in p.dispositions
        )
        + tuple(_given_up(view.part, e) for e in view.given_up),
        remade=tuple(view.part.named(e.fact.piece) for e in view.remade),
        chance=chance_from_here(view.part.needed, [_left(p) for p in live], loss),
        more=_more(view, [_left(p) for p in live], loss),
        loss=loss,
    )


def _given_up(part: Part, entry: Entry[Disposition]) -> Lost:
    """What was decided about a piece whose number another one has by now."""
    fact = entry.fact
    name = part.named(making(fact.piece)[0])
    return Lost(name, fact.decision, fact.op, fact.why, entry.made, anew=True)


def _more(view: Batch, left: list[int], loss: float) -> int:
    """Blanks to cut besides the live pieces for WANTED; each gets what a piece of its number gets.

    Scrapped pieces count for nothing, and neither do the places of the plan that they took.
    """
    part = view.part
    following = max((p.number for p in view.pieces), default=0) + 1
    outlook = Outlook(part.needed, left, loss)
    for more in range(_MOST * part.needed + 1):
        if outlook.chance >= WANTED:
            return more
        outlook.add(sum(part.takes(o.number, following + more) for o in part.operations))
    raise ValueError(ToSay("error.number_blanks_enough", loss=loss))


def _left(piece: PieceView) -> int:
    """Operations that the piece still has before it."""
    return sum(c.applies and not c.done for c in piece.cells)
