"""What a choice of pieces depends on and what comes out: sizes, items, spreads; frozen types."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from qlog.drawing.limits import Limits
from qlog.drawing.plan import ItemGroup
from qlog.frozen import frozen
from qlog.study.conformity.verdict import Judgement
from qlog.study.fit.joints import Pair, Sized

#: A piece: part id and number.
Key = tuple[str, int]


@frozen
class JointSizes:
    """A joint, with the size of every piece on both sides."""

    id: str
    inside: tuple[Sized, ...]
    outside: tuple[Sized, ...]
    wanted: Limits


@frozen
class StackSizes:
    """A stack: signs and, for each term, the size of every piece; its own limits if it has any."""

    id: str
    terms: tuple[tuple[int, tuple[Sized, ...]], ...]
    limits: Limits | None = None
    times: tuple[tuple[str, int], ...] = ()  # parts of which it goes over exactly so many pieces

    def of_item(self, own: Sequence[str]) -> bool:
        """Whether an item with a piece of each of these parts, one for each piece, has the size."""
        return all(pieces[0].part in own for _, pieces in self.terms) and all(
            own.count(part) == number for part, number in self.times
        )


@frozen
class VisibleSizes:
    """A dimension that the recipient sees, with the size of every piece."""

    id: str
    pieces: tuple[Sized, ...]


@frozen
class Fixed:
    """Pieces already assembled into an item; they stay put. `item` counts from 1 in its group.

    `sizes` holds overall sizes measured on it: stack id, size, standard uncertainty.
    """

    group: str
    item: int
    pieces: tuple[Key, ...]
    sizes: tuple[tuple[str, Decimal, Decimal | None], ...] = ()


@frozen
class ItemJoint:
    """A joint in one item."""

    joint: str
    pair: Pair


@frozen
class MatchedSize:
    """An overall size of one item, predicted from its pieces or measured when it is assembled."""

    stack: str
    size: Decimal
    judgement: Judgement | None  # None for a stack without limits
    measured: bool


@frozen
class MatchedItem:
    """One finished thing and the pieces chosen for it."""

    group: str
    number: int  # from 1 in its group
    pieces: tuple[Key, ...]
    fixed: tuple[Key, ...]  # those of its pieces that were assembled before
    joints: tuple[ItemJoint, ...]
    sizes: tuple[MatchedSize, ...]


@frozen
class SizeSpread:
    """Spread of one size among the items: largest minus smallest, and what could be had at best."""

    id: str
    reached: Decimal
    bound: Decimal  # no arrangement with as good fits can have less
    in_making_order: Decimal | None  # of sizes predicted; None where making order fills no two

    @property
    def proven(self) -> bool:
        """Whether no arrangement with as good fits has a smaller spread."""
        return self.bound >= self.reached


@frozen
class Counts:
    """How many joints of an arrangement are in, not proven and out."""

    inside: int
    not_proven: int
    out: int


@frozen
class Shortage:
    """A part of which some groups want more pieces than are live and measured."""

    part: str
    groups: tuple[ItemGroup, ...]
    wanted: int
    free: int


@frozen
class Matching:
    """The pieces of the whole set."""

    items: tuple[MatchedItem, ...]
    spares: tuple[Key, ...]  # live pieces that no item takes
    unmeasured: tuple[Key, ...]  # live pieces left out because a size is missing
    shortages: tuple[Shortage, ...]  # why not all items could be filled
    joints: Counts
    joints_proven: bool  # whether no arrangement has better fits
    making_order: Counts  # the fits in making order
    sizes_inside: bool  # whether arrangements with an overall size outside its limits were barred
    spreads: tuple[SizeSpread, ...]

    @property
    def proven(self) -> bool:
        """Whether nothing better is possible in any respect."""
        return self.joints_proven and all(spread.proven for spread in self.spreads)
