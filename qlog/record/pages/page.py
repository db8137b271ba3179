"""One page of a record: where it lies, what draws it, and what it is given."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from qlog.review.part.batch import Batch, SeriesView


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


@dataclass(frozen=True, slots=True)
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
