"""A page of several lists, gone on over as many leaves as it needs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from qlog.record.pages.leaves import Leaf, leaf_path, titled
from qlog.record.pages.lookup.room import Room, cut
from qlog.record.pages.page import Page
from qlog.words.catalogue import Words

#: Room for a line of findings, a row of a table, a line of text, a photo among others.
FINDING, ROW, TEXT, PHOTO = Room(48, 750), Room(62, 600), Room(34, 200), Room(95, 2_700)


@dataclass(frozen=True, slots=True)
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
