"""Room on a leaf: a long list cut so that a page opens fast and is not scrolled for minutes.

How tall a block will stand at 1280 px, and how heavy it is, is reckoned from what is in it: close
enough for a page to stay far below what nobody wants to scroll. A benchmark measures the pages.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TypeVar

T = TypeVar("T")

#: What a leaf may hold: pixels of height and bytes of HTML.
_TALL, _HEAVY = 6_000, 200_000
#: A line of a list: its height, and how many characters stand on it.
_LINE, _CHARACTERS = 30, 110
#: A photo as it stands and as it opens: bytes; a row of them: pixels, and how many stand in it.
_PHOTO, _ROW, _IN_ROW = 2_600, 215, 5


@dataclass(frozen=True, slots=True)
class Room:
    """How much room a block takes."""

    tall: int  # pixels
    heavy: int  # bytes

    def __add__(self, other: Room) -> Room:
        return Room(self.tall + other.tall, self.heavy + other.heavy)

    @property
    def fits(self) -> bool:
        """Whether it fits a leaf."""
        return self.tall <= _TALL and self.heavy <= _HEAVY


def line(characters: int, marks: int = 0) -> Room:
    """A line of text with so many signs or links in it, broken where it is longer than a line."""
    return Room(
        _LINE * max(1, math.ceil(characters / _CHARACTERS)), 60 + 2 * characters + 350 * marks
    )


def photos(count: int) -> Room:
    """So many small photos beside each other."""
    return Room(_ROW * math.ceil(count / _IN_ROW), _PHOTO * count)


def cut(blocks: Iterable[T], size: Callable[[T], Room]) -> list[list[T]]:
    """Blocks in leaves, in their order; one that is larger than a leaf has one of its own."""
    leaves: list[list[T]] = []
    held = Room(0, 0)
    for block in blocks:
        own = size(block)
        if leaves and (held + own).fits:
            leaves[-1].append(block)
            held += own
        else:
            leaves.append([block])
            held = own
    return leaves
