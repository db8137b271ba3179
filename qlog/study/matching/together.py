"""Which finished items go together into a larger one: those most alike in an overall size."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from qlog.frozen import frozen


@frozen
class AlikeItems:
    """Items that go together, and how far apart their sizes are."""

    items: tuple[str, ...]
    spread: Decimal


def together(sizes: Sequence[tuple[str, Decimal]], each: int, count: int) -> tuple[AlikeItems, ...]:
    """`count` groups of `each` items, the largest spread within a group as small as can be.

    Among those the sum of the spreads is smallest. Exact: exchanging two items for their neighbours
    in the order of size never widens a group, so each group is a run of that order, and the runs
    are chosen by dynamic programming. Answers as many groups as there are items for.
    """
    order = sorted(sizes, key=lambda s: (s[1], s[0]))
    count = min(count, len(order) // each)
    zero = Decimal(0)
    # For so many items looked at and so many groups made: worst spread, their sum, the groups.
    best: list[list[tuple[Decimal, Decimal, tuple[AlikeItems, ...]] | None]] = [
        [(zero, zero, ())] + [None] * count for _ in range(len(order) + 1)
    ]
    for seen in range(1, len(order) + 1):
        for made in range(1, count + 1):
            ways = [best[seen - 1][made]]
            before = best[seen - each][made - 1] if seen >= each else None
            if before is not None:
                run = order[seen - each : seen]
                spread = run[-1][1] - run[0][1]
                group = AlikeItems(tuple(sorted(name for name, _ in run)), spread)
                ways.append((max(before[0], spread), before[1] + spread, (*before[2], group)))
            best[seen][made] = min(
                (way for way in ways if way is not None), key=lambda w: w[:2], default=None
            )
    found = best[len(order)][count]
    return () if found is None else found[2]
