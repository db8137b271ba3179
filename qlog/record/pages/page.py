"""Pages of a record and their leaves: where each lies, what draws it, and what it is given."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TypeVar

from qlog.frozen import frozen
from qlog.review.part.batch import Batch, SeriesView
from qlog.words.catalogue import Words

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Page:
    """A page; `path` is relative to the record, with forward slashes."""

    path: str
    template: str
    title: str
    context: Mapping[str, object] = field(default_factory=dict)
    section: str = ""  # the entry of the navigation that it belongs to
    dated: bool = False  # whether it says when the record was built
    keyed: bool = False  # whether it is handed what it shows and no more: then it is known by that

    @property
    def root(self) -> str:
        """The way back to the record's folder: `""` or `"../"`."""
        return "../" * self.path.count("/")


@frozen
class Link:
    """An entry of the navigation."""

    section: str
    href: str
    text: str


def piece_href(anchor: str) -> str:
    """The page of a piece, `foot-3`, relative to the record."""
    return f"piece/{anchor}.html"


def series_key(series: SeriesView, view: Batch) -> str:
    """The file name of a series' page; a dimension read again after a later operation says so."""
    same = sum(other.id == series.id for other in view.series)
    return series.id if same == 1 else f"{series.id}-op{series.operation.number}"


def series_href(series: SeriesView, view: Batch) -> str:
    """The page of a series, relative to the record."""
    return f"dimensions/{series_key(series, view)}.html"


@frozen
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
