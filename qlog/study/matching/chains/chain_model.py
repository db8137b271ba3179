"""What a choice of chains depends on, and what comes out: frozen types."""

from __future__ import annotations

from typing import Any

from qlog.frozen import frozen

#: Whole numbers in an array of numpy or of Python's own: a question whose answer is kept is put
#: without loading numpy.
Numbers = Any


@frozen
class Edge:
    """A joint between two places of an item: what piece i in `a` costs with piece j in `b`.

    `cost` has a row for each i and a column for each j; flat, the rows stand behind each other.
    """

    a: int
    b: int
    cost: Numbers


@frozen
class ItemClass:
    """Items that are alike: how many, and for each of their places the pieces allowed in it.

    `parts` names for each place the part, so that two places of one part can be told.
    """

    count: int
    parts: tuple[int, ...]
    allowed: tuple[tuple[int, ...], ...]
    edges: tuple[Edge, ...]


@frozen
class Criterion:
    """A size whose spread among all items is to be small.

    For each class: its terms (place, sign, size of every piece), or None when the size does not
    occur there. `total`: the terms add up; otherwise each is a size of its own. `constant` is
    a size already known for the class, which the terms then do not change.
    """

    terms: tuple[tuple[tuple[int, int, Numbers], ...] | None, ...]
    total: bool
    constant: tuple[int | None, ...]
    within: tuple[int | None, int | None] = (None, None)  # limits that chains should keep


@frozen
class ChainQuestion:
    """Everything that the choice depends on, for `pieces` pieces numbered from 0."""

    pieces: int
    classes: tuple[ItemClass, ...]
    criteria: tuple[Criterion, ...]
    together: tuple[tuple[int, ...], ...] = ()
    apart: tuple[tuple[int, ...], ...] = ()


@frozen
class Reach:
    """Spread reached for one criterion, and the least that any choice could reach."""

    reached: int
    bound: int


@frozen
class Choice:
    """Chosen chains for each class, each a piece for every place."""

    chains: tuple[tuple[tuple[int, ...], ...], ...]
    cost: int
    cost_bound: int
    kept_within: bool  # whether chains that leave the criteria's limits were barred
    spreads: tuple[Reach, ...]


class NoChoice(ValueError):
    """The items cannot all be filled with the pieces and bans given."""
