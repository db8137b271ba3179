"""A finished item by its readings: its sizes, how close they came, what tells it apart."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from itertools import combinations
from statistics import median_high

from qlog.drawing.plan import Build
from qlog.drawing.units import Unit, convert
from qlog.frozen import frozen
from qlog.review.instrument.judging import ZERO_BASED
from qlog.review.items.item_views import ItemView
from qlog.review.part.batch import Batch, SeriesView
from qlog.review.views import PieceView, ReadingView

#: Two readings differ for certain when they lie further apart than so many times the standard
#: uncertainty of their difference. At 4 (about 1 in 16 000 for a normal distribution) a few hundred
#: comparisons of one set leave a chance of about one in a hundred of a difference that is none.
CERTAIN = 4

#: With fewer lengths than this nothing is said of how close they came.
FEW = 3

_LENGTHS = (Unit.MM, Unit.INCH, Unit.MICROMETRE, Unit.MICROINCH)


@frozen
class FinishedSize:
    """The reading of one dimension of a finished piece; `share` is its place in the tolerance."""

    piece: PieceView
    series: SeriesView
    reading: ReadingView
    value: Decimal

    @property
    def share(self) -> float | None:
        """0 on the lower limit, 1 on the upper one; None with one limit only."""
        judged = self.reading.judgement
        return None if judged is None or judged.share is None else float(judged.share)


@frozen
class Closeness:
    """At least half of `count` lengths were read within so much of the middle of their limits."""

    count: int
    within: Decimal
    unit: Unit


@frozen
class Standout:
    """A size that is for certain larger, or smaller, than that of every sibling."""

    size: FinishedSize
    largest: bool


@frozen
class FinishedItem:
    """An item with the readings of its finished pieces, held against those of its kind."""

    item: ItemView
    sizes: tuple[FinishedSize, ...]
    closeness: Closeness | None  # None with fewer than three lengths between two limits
    siblings: int  # how many others of its kind there are
    alike: tuple[ItemView, ...]  # siblings that were compared and cannot be told from it
    unknown: int  # siblings with which nothing could be compared
    standouts: tuple[Standout, ...]
    beside: tuple[tuple[float, ...], ...]  # for each size: the siblings' places in the tolerance

    @property
    def told_apart(self) -> bool:
        """Whether its readings tell it from every other of its kind for certain."""
        return self.siblings > 0 and not self.alike and not self.unknown


def finished_items(
    build: Build, items: Sequence[ItemView], parts: Iterable[Batch]
) -> tuple[FinishedItem, ...]:
    """Every item with its finished sizes, in the order given."""
    views = {view.part.id: view for view in parts}
    sizes = {
        item.id: tuple(
            size
            for piece in item.pieces
            if piece.part in views
            for size in finished_sizes(piece, views[piece.part])
        )
        for item in items
    }
    alike: dict[str, list[ItemView]] = {}
    for item in items:
        alike.setdefault(item.group, []).append(item)
    same: dict[str, list[ItemView]] = {item.id: [] for item in items}
    for group in alike.values():
        for one, other in combinations(group, 2):
            if not differ(sizes[one.id], sizes[other.id]):
                same[one.id].append(other)
                same[other.id].append(one)
    unit = Unit.INCH if build.unit is Unit.INCH else Unit.MM
    return tuple(
        _finished(item, sizes, [o for o in alike[item.group] if o is not item], same[item.id], unit)
        for item in items
    )


def _finished(
    item: ItemView,
    sizes: Mapping[str, tuple[FinishedSize, ...]],
    siblings: Sequence[ItemView],
    same: Sequence[ItemView],
    unit: Unit,
) -> FinishedItem:
    own = sizes[item.id]
    theirs = [_by_place(sizes[other.id]) for other in siblings]
    beside = tuple(
        tuple(
            share
            for places in theirs
            if (found := places.get(_place(size))) is not None
            and (share := found.share) is not None
        )
        for size in own
    )
    single = _by_place(own)
    return FinishedItem(
        item,
        own,
        closeness(own, unit),
        len(siblings),
        tuple(other for other in same if _comparable(own, sizes[other.id])),
        sum(not _comparable(own, sizes[other.id]) for other in siblings),
        tuple(s for size in single.values() if (s := _standout(size, theirs)) is not None),
        beside,
    )


def _standout(
    size: FinishedSize, theirs: Sequence[Mapping[tuple[str, str], FinishedSize]]
) -> Standout | None:
    """The size where it lies beyond that of every sibling, each held against it; else None."""
    found = [places.get(_place(size)) for places in theirs]
    if not found or not all(other is not None and certain(size, other) for other in found):
        return None
    larger = {size.value > other.value for other in found if other is not None}
    return Standout(size, larger.pop()) if len(larger) == 1 else None


def finished_sizes(piece: PieceView, view: Batch) -> Iterable[FinishedSize]:
    """The numeric readings of a finished piece, one a dimension, in the order of the drawing."""
    for dimension in view.part.dimensions:
        found = final_reading(piece, view, dimension.id)
        if found is not None and found[1].value is not None:
            yield FinishedSize(piece, *found, found[1].value)


def final_reading(
    piece: PieceView, view: Batch, dimension: str
) -> tuple[SeriesView, ReadingView] | None:
    """The reading of the finished piece: the one after the latest operation that has one.

    A piece that does not get the finish is finished by the limits before it.
    """
    found = None
    still_to_come = {
        r.op
        for r in view.part.dimension(dimension).requirements
        if view.part.takes(r.op, piece.number)
    }
    for series in view.series:
        after = series.operation.number
        if series.dimension.id == dimension and all(op <= after for op in still_to_come):
            for reading in series.readings:
                if reading.piece == piece.number:
                    found = series, reading
    return found


def differ(one: Sequence[FinishedSize], other: Sequence[FinishedSize]) -> bool:
    """Whether a size that both items have differs by more than measuring can explain.

    A size counts only where both readings have a standard uncertainty. Of a part that goes into an
    item more than once no size counts: it is not known which piece answers to which.
    """
    theirs = _by_place(other)
    for place, mine in _by_place(one).items():
        if place not in theirs:
            continue
        if certain(mine, theirs[place]):
            return True
    return False


def _comparable(one: Sequence[FinishedSize], other: Sequence[FinishedSize]) -> bool:
    """Whether the two have a size in common of which both uncertainties are known."""
    theirs = _by_place(other)
    return any(
        size.reading.uncertainty and place in theirs and theirs[place].reading.uncertainty
        for place, size in _by_place(one).items()
    )


def certain(one: FinishedSize, other: FinishedSize) -> bool:
    """Whether two sizes differ by more than measuring can explain; both uncertainties known."""
    u, v = one.reading.uncertainty, other.reading.uncertainty
    if not u or not v:
        return False
    return abs(one.value - other.value) > CERTAIN * (u * u + v * v).sqrt()


def _place(size: FinishedSize) -> tuple[str, str]:
    return size.piece.part, size.series.dimension.id


def _by_place(sizes: Sequence[FinishedSize]) -> dict[tuple[str, str], FinishedSize]:
    pieces: dict[str, set[int]] = {}
    for size in sizes:
        pieces.setdefault(size.piece.part, set()).add(size.piece.number)
    return {_place(size): size for size in sizes if len(pieces[size.piece.part]) == 1}


def closeness(sizes: Iterable[FinishedSize], unit: Unit) -> Closeness | None:
    """The upper median of how far the lengths lie from the middle of the limits that judged them.

    Lengths in any unit count, each converted exactly; what can only be zero or more (runout,
    roughness) has no middle to come close to and does not count.
    """
    away = [
        abs(convert(judged.deviation_from_middle, judged.limits.unit, unit))
        for size in sizes
        if (judged := size.reading.judgement) is not None
        and judged.deviation_from_middle is not None
        and judged.limits.unit in _LENGTHS
        and size.series.callout.kind not in ZERO_BASED
    ]
    return None if len(away) < FEW else Closeness(len(away), median_high(away), unit)
