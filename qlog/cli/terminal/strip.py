"""Strips: where readings sit between their limits, in one line of text.

`|` stands at the limits, the middle is marked, what lies outside is drawn outside. Plain ASCII,
so that it survives any terminal, font and pipe.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from decimal import Decimal

INSIDE = 21  # cells between the limits; odd, so that there is a middle one
OUTSIDE = 3  # cells beyond each limit


def strip(shares: Iterable[Decimal | float]) -> str:
    """A strip of readings given as places in the tolerance: 0 lower limit, 1 upper.

    `o` is one reading, a digit that many, `+` more than nine. A reading outside is never drawn
    inside, one inside never outside, however near the limit.
    """
    cells = Counter(_cell(float(share)) for share in shares)
    middle = INSIDE // 2
    drawn = []
    for cell in range(-OUTSIDE, INSIDE + OUTSIDE):
        if cell in (0, INSIDE):
            drawn.append("|")
        inside = 0 <= cell < INSIDE
        blank = ":" if cell == middle else ("." if inside else " ")
        drawn.append(_mark(cells[cell], blank))
    return "".join(drawn)


def _cell(share: float) -> int:
    if share < 0:
        return max(-OUTSIDE, int(share * INSIDE) - 1)
    if share > 1:
        return min(INSIDE + OUTSIDE - 1, INSIDE + int((share - 1) * INSIDE))
    return min(INSIDE - 1, int(share * INSIDE))


def _mark(number: int, blank: str) -> str:
    if number == 0:
        return blank
    if number == 1:
        return "o"
    return str(number) if number <= 9 else "+"
