"""Pages that go on over several leaves, so that none is heavier or taller than can be read."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import TypeVar

from qlog.words.catalogue import Words

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Leaf:
    """One leaf of a page, as the others lead to it."""

    path: str  # relative to the record
    text: str  # what is on it


def leaf_path(path: str, number: int) -> str:
    """Where a leaf lies, counted from 1: `parts.html`, `parts-2.html`; `pieces/foot.2.html`.

    In a folder names come from the plan, where another one may end in -2; none holds a point.
    """
    mark = "." if "/" in path else "-"
    return path if number == 1 else f"{path.removesuffix('.html')}{mark}{number}.html"


def split(things: Iterable[T], weight: Callable[[T], int], most: int) -> list[list[T]]:
    """The things in their order on leaves of no more than `most` each; one leaf at least.

    A thing that is heavier than a leaf has one to itself.
    """
    leaves: list[list[T]] = [[]]
    room = most
    for thing in things:
        own = weight(thing)
        if leaves[-1] and own > room:
            leaves.append([])
            room = most
        leaves[-1].append(thing)
        room -= own
    return leaves


def titled(title: str, path: str, leaves: Sequence[Leaf], words: Words) -> str:
    """The title of a leaf; a page that is whole has its own name alone."""
    if len(leaves) < 2:
        return title
    at = [leaf.path for leaf in leaves].index(path) + 1
    return words("leaves.title", title=title, n=at, of=len(leaves))
