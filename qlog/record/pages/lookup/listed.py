"""Lists gone on over as many leaves as they need: by the room that each block takes."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import TypeVar

from qlog.frozen import frozen, replace
from qlog.record.pages.page import Leaf, Page, leaf_path, titled
from qlog.words.catalogue import Words

T = TypeVar("T")

#: What a leaf may hold: pixels of height and bytes of HTML.
_TALL, _HEAVY = 6_000, 200_000
#: A line of a list: its height, and how many characters stand on it.
_LINE, _CHARACTERS = 30, 110
#: A photo as it stands and as it opens: bytes; a row of them: pixels, and how many stand in it.
_PHOTO, _ROW, _IN_ROW = 2_600, 215, 5


@frozen
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


#: Room for a line of findings, a row of a table, a line of text, a photo among others.
FINDING, ROW, TEXT, PHOTO = Room(48, 750), Room(62, 600), Room(34, 200), Room(95, 2_700)


@frozen
class ListOn:
    """One list of a page, under the name that its template knows it by."""

    name: str
    title: str
    things: Sequence[object]
    room: Room  # of each


def first_places(path: str, anchors: Sequence[str], room: Room) -> dict[str, str]:
    """Leaf and place of everything in the first list of a page, by its anchor."""
    leaves = enumerate(cut(anchors, lambda _: room), start=1)
    return {a: f"{leaf_path(path, n)}#{a}" for n, leaf in leaves for a in leaf}


def list_pages(
    page: Page, lists: Sequence[ListOn], words: Words, context: Mapping[str, object]
) -> Iterator[Page]:
    """The leaves of a page: each is given its share of every list, and whether it is the first."""
    blocks = [(own, thing) for own in lists for thing in own.things]
    shares = cut(blocks, lambda block: block[0].room) or [[]]
    leaves = [
        Leaf(leaf_path(page.path, n), share[0][0].title if share else page.title)
        for n, share in enumerate(shares, start=1)
    ]
    for leaf, share in zip(leaves, shares, strict=True):
        held: dict[str, list[object]] = {own.name: [] for own in lists}
        for own, thing in share:
            held[own.name].append(thing)
        title = titled(page.title, leaf.path, leaves, words)
        shown = [replace(own, things=held[own.name]) for own in lists if held[own.name]]
        more = {"leaves": leaves, "first": leaf is leaves[0], "lists": shown, **held}
        yield Page(leaf.path, page.template, title, {**context, **more}, page.section)
