"""Pieces mixed up: the same sizes read again after an operation that leaves them alone."""

from __future__ import annotations

from collections import defaultdict
from decimal import Decimal
from itertools import pairwise

from qlog.review.findings.kinds import Finding, MixedUp, Place, Weight
from qlog.review.part.batch import Batch, SeriesView
from qlog.study.batch.mixup import Reread, swapped


def mixups(view: Batch) -> tuple[Finding, ...]:
    """Pairs of pieces that look exchanged between two operations.

    Dimensions count that were read after both operations under the same callout: those are the
    ones that nothing in between was to change. Two or more are needed.
    """
    again: dict[tuple[int, int], list[Reread]] = defaultdict(list)
    for dimension in view.part.dimensions:
        own = [s for s in view.series if s.dimension.id == dimension.id and s.summary is not None]
        for first, second in pairwise(own):
            if first.callout != second.callout:
                continue
            s = _scatter(first)
            if s is not None:
                key = (first.operation.number, second.operation.number)
                again[key].append(Reread(_values(first), _values(second), s))
    found: list[Finding] = []
    for (before, after), dimensions in sorted(again.items()):
        if len(dimensions) < 2:
            continue
        for swap in swapped(dimensions):
            one, other = (view.part.named(n) for n in swap.pieces)
            place = Place(view.part.id, after, swap.pieces[0])
            found.append(MixedUp(Weight.WARN, place, one, other, before, after))
    return tuple(found)


def _values(series: SeriesView) -> dict[int, Decimal]:
    return {r.piece: r.value for r in series.readings if r.value is not None}


def _scatter(series: SeriesView) -> Decimal | None:
    """Standard deviation of one reading: the largest uncertainty stated for any of them."""
    known = [r.uncertainty for r in series.readings if r.uncertainty]
    return max(known) if known else None
