"""Stock: the pieces of a part that are left, what became of the rest, and whether it is enough."""

from __future__ import annotations

from dataclasses import dataclass

from qlog.drawing.plan import Part
from qlog.review.part.batch import Batch
from qlog.review.views import PieceView, Standing
from qlog.study.batch.counts import chance_from_here

#: Share of the pieces lost at every operation when planning; common practice.
LOSS = 0.02

#: Chance of coming out with enough pieces that the blanks are counted for.
WANTED = 0.95


@dataclass(frozen=True, slots=True)
class Lost:
    """A piece about which something was decided: when, where in the route, and why."""

    piece: str  # "collar-6"
    decision: str
    op: int | None
    why: str
    made: str


@dataclass(frozen=True, slots=True)
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
    blanks: int  # to start with, for WANTED
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
        ),
        chance=chance_from_here(view.part.needed, [_left(p) for p in live], loss),
        blanks=_blanks(view.part, loss),
        loss=loss,
    )


def percent(share: float) -> str:
    """A share as whole per cent, rounded down: 94.9 % is not yet 95."""
    return f"{int(share * 100 + 1e-9)} %"


def _blanks(part: Part, loss: float) -> int:
    """Blanks to start with for WANTED; those beyond the planned pieces get what all pieces get."""
    left: list[int] = []
    for piece in range(1, 100 * part.needed + 1):
        left.append(sum(part.takes(o.number, piece) for o in part.operations))
        if piece >= part.needed and chance_from_here(part.needed, left, loss) >= WANTED:
            return piece
    raise ValueError(f"no number of blanks is enough with {percent(loss)} lost at each operation")


def _left(piece: PieceView) -> int:
    """Operations that the piece still has before it."""
    return sum(c.applies and not c.done for c in piece.cells)
