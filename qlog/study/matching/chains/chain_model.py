"""What a choice of chains depends on, and what comes out: frozen types."""

from __future__ import annotations

from typing import TYPE_CHECKING

from qlog.frozen import frozen

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Ints = NDArray[np.int64]


@frozen
class Edge:
    """A joint between two places of an item: cost[i][j] for piece i in `a` and piece j in `b`."""

    a: int
    b: int
    cost: Ints


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

    terms: tuple[tuple[tuple[int, int, Ints], ...] | None, ...]
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
