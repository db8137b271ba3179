"""Sizes that count: the newest size of each live piece, as a joint or a stack takes it.

A finish that is still to come changes a size; what it does is learnt from the pieces that have
had it, or taken from the layer that was ordered, and the size is then a prediction.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from decimal import Decimal

from qlog.drawing.limits import Limits
from qlog.drawing.plan import Dimension, Feature
from qlog.drawing.units import Unit, convert
from qlog.frozen import frozen
from qlog.review.instrument.judging import tidy
from qlog.review.part.batch import Batch, SeriesView
from qlog.review.views import ReadingView, Standing
from qlog.study.batch.allowance import Allowance, learn, ordered
from qlog.study.fit.joints import Sized


@frozen
class FeatureSizes:
    """The sizes of one dimension over the live pieces; lengths in `unit`."""

    feature: Feature
    unit: Unit
    pieces: tuple[Sized, ...]
    predicted: tuple[int, ...]  # pieces whose size is predicted, a finish being still to come
    unread: tuple[int, ...]  # live pieces without a size
    allowance: Allowance | None  # in the unit of the dimension's own limits
    allowance_unknown: tuple[int, ...] = ()  # a finish is still to come, and nothing is known of it

    def of(self, number: int) -> Sized | None:
        """The size of that piece, if it has one."""
        return next((p for p in self.pieces if p.number == number), None)


def feature_sizes(parts: Sequence[Batch], feature: Feature, unit: Unit) -> FeatureSizes:
    """The sizes of a feature in the unit asked for. Raises KeyError for a part not in the plan."""
    view = next((v for v in parts if v.part.id == feature.part), None)
    if view is None:
        raise KeyError(feature.part)
    own = [s for s in view.series if s.dimension.id == feature.dimension]
    own.sort(key=lambda s: s.operation.number)
    live = [p.number for p in view.pieces if p.standing is not Standing.SCRAP]
    newest: dict[int, tuple[int, ReadingView]] = {}
    for series in own:
        for reading in series.readings:
            if reading.value is not None:
                newest[reading.piece] = (series.operation.number, reading)
    allowance = _allowance(view, own)
    final = own[-1].dimension.op if own else 0
    no_limits = Limits(None, None, unit)
    pieces: list[Sized] = []
    predicted: list[int] = []
    allowance_unknown: list[int] = []
    for number in live:
        if number not in newest:
            continue
        op, reading = newest[number]
        assert reading.value is not None
        value, u = reading.value, reading.uncertainty
        dof = math.inf if reading.judgement is None else reading.judgement.dof
        if op < final and view.part.takes(final, number):
            if allowance is None:
                allowance_unknown.append(number)
            else:
                dof = allowance.dof_with(u, dof)
                value, u = allowance.predict(value, u)
                predicted.append(number)
        written = Unit(reading.unit)
        by = reading.instrument
        pieces.append(
            Sized(
                feature.part,
                number,
                value if written is unit else tidy(convert(value, written, unit), no_limits),
                None if u is None else convert(u, written, unit),
                Decimal(0) if reading.shared is None else convert(reading.shared, written, unit),
                None if by is None else source_of(by, own[-1].dimension),
                view.part.mark(number),
                dof=dof,
            )
        )
    return FeatureSizes(
        feature=feature,
        unit=unit,
        pieces=tuple(pieces),
        predicted=tuple(predicted),
        unread=tuple(n for n in live if n not in newest),
        allowance=allowance,
        allowance_unknown=tuple(allowance_unknown),
    )


def source_of(instrument: str, dimension: Dimension) -> str:
    """What sizes have in common that share an error: one instrument, used in the same way."""
    return f"{instrument} {dimension.measures}"


def _allowance(view: Batch, series: Sequence[SeriesView]) -> Allowance | None:
    """What the finish takes off: learnt from the pieces read before and after it, else ordered.

    One piece says nothing of the scatter; the order, where there is one, stands until the second.
    """
    learnt = _learnt(series)
    if learnt is not None and learnt.uncertainty is not None:
        return learnt
    return _ordered(view, series) or learnt


def _ordered(view: Batch, series: Sequence[SeriesView]) -> Allowance | None:
    """What the layers ordered between the first and the last reading would do to the size."""
    from qlog.review.part.finishes import surface_of

    if not series or len(series[-1].dimension.requirements) < 2:
        return None
    dimension = series[-1].dimension
    surface, unit = surface_of(dimension), series[-1].limits.unit
    if surface is None or unit not in (Unit.MM, Unit.INCH):
        return None
    thinnest = thickest = Decimal(0)
    layers = [
        o.layer
        for o in view.part.operations
        if o.layer is not None and dimension.requirements[0].op < o.number <= dimension.op
    ]
    for layer in layers:
        if layer.lower is None or layer.upper is None:
            return None
        thinnest += convert(layer.lower, layer.unit, unit)
        thickest += convert(layer.upper, layer.unit, unit)
    return ordered(surface.factor, thinnest, thickest) if layers else None


def _learnt(series: Sequence[SeriesView]) -> Allowance | None:
    if not series or len(series[-1].dimension.requirements) < 2:
        return None
    first, last = series[-1].dimension.requirements[0].op, series[-1].dimension.op
    before: Mapping[int, Decimal] = {}
    after: Mapping[int, Decimal] = {}
    for one in series:
        values = {r.piece: r.value for r in one.readings if r.value is not None}
        if first <= one.operation.number < last:
            before = {**before, **values}
        elif one.operation.number >= last:
            after = {**after, **values}
    return learn([(before[p], after[p]) for p in sorted(after) if p in before])
