"""Finishes: what an operation sent out did to the sizes, and what it would do before it goes."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from qlog.drawing.callouts.callout import Kind
from qlog.drawing.limits import Limits
from qlog.drawing.plan import Dimension, Operation, Part
from qlog.drawing.units import Unit
from qlog.frozen import frozen
from qlog.review.part.batch import Batch, SeriesView
from qlog.review.part.series_study import read_apart
from qlog.review.views import ReadingView
from qlog.study.batch.layer import Finished, Layer, Surface, after_finish, implied_layer

_SURFACES = {
    "outside": Surface.OUTSIDE,
    "inside": Surface.INSIDE,
    "length": Surface.LENGTH,
    "depth": Surface.DEPTH,
}


@frozen
class FinishView:
    """One dimension before and after one operation; sizes in the unit of its limits."""

    part: Part
    operation: Operation
    dimension: Dimension
    limits: Limits  # of the finished size
    before: dict[int, Decimal]
    after: dict[int, Decimal]
    layer: Layer | None  # None while fewer than two pieces were read both times
    ahead: tuple[Finished, ...]  # pieces not finished yet, as the ordered layer would leave them

    @property
    def pushed_out(self) -> tuple[int, ...]:
        """Pieces that the ordered layer puts out of limits, or may put out."""
        return tuple(f.piece for f in self.ahead if f.pushed_out or f.may_be_out)


def surface_of(dimension: Dimension) -> Surface | None:
    """How a layer acts on the dimension; None when it cannot be told."""
    callout = dimension.callout
    if callout.kind is Kind.THREAD:
        if "pitch" not in callout.characteristic:
            return None
        internal = any(c.isupper() for c in callout.characteristic.partition("-")[2])
        return Surface.PITCH_INTERNAL if internal else Surface.PITCH_EXTERNAL
    if callout.unit not in (Unit.MM, Unit.INCH):
        return None
    return _SURFACES.get(dimension.measures)


def finish_views(view: Batch, op: int) -> tuple[FinishView, ...]:
    """Every plain size of a part that an operation can have changed, in drawing order."""
    operation = view.part.operation(op)
    found: list[FinishView] = []
    for dimension in view.part.dimensions:
        surface = surface_of(dimension)
        if surface is None:
            continue
        own = [s for s in view.series if s.dimension.id == dimension.id]
        earlier = [s for s in own if s.operation.number < op]
        later = [s for s in own if s.operation.number >= op]
        if not earlier:
            continue
        before = _latest(earlier)
        after = _latest(later[:1])
        final = dimension.requirement_at(op) or dimension.requirements[-1]
        unit = final.callout.unit
        steps = [s.step for s in (earlier[-1], *later[:1])]
        read, again = _values(before), _values(after)
        both = before.keys() & after.keys()
        layer = implied_layer(
            read,
            again,
            surface,
            ordered=operation.layer,
            unit=unit,
            step=max((s for s in steps if s is not None), default=None),
            apart=read_apart([before[p] for p in both], [after[p] for p in both]),
        )
        ahead: tuple[Finished, ...] = ()
        if operation.layer is not None and operation.layer.width is not None:
            waiting = {p: v for p, v in read.items() if p not in after and view.part.takes(op, p)}
            ahead = after_finish(waiting, surface, operation.layer, final.callout.limits)
        found.append(
            FinishView(
                view.part, operation, dimension, final.callout.limits, read, again, layer, ahead
            )
        )
    return tuple(found)


def _values(readings: Mapping[int, ReadingView]) -> dict[int, Decimal]:
    return {piece: r.value for piece, r in readings.items() if r.value is not None}


def _latest(series: list[SeriesView]) -> dict[int, ReadingView]:
    """The newest reading of every piece over some series, by piece."""
    found: dict[int, ReadingView] = {}
    for one in sorted(series, key=lambda s: s.operation.number):
        for reading in one.readings:
            if reading.value is not None:
                found[reading.piece] = reading
    return found
