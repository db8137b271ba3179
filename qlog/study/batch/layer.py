"""Work sent out for a finish: how thick the layer came out, and which pieces it pushes out.

A layer is positive where material is put on (plating, blackening) and negative where it is taken
off (electropolish, etching). Thickness in the unit of the readings.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from enum import StrEnum

from qlog.drawing.limits import Limits
from qlog.drawing.units import Unit, convert
from qlog.frozen import frozen
from qlog.study.batch.comparison import MeanChange, before_and_after
from qlog.study.batch.intervals import Interval


class Surface(StrEnum):
    """How a layer acts on a size."""

    OUTSIDE = "outside"  # plain outside diameter or width
    INSIDE = "inside"  # plain bore or slot
    LENGTH = "length"  # over two faces that both get the layer
    DEPTH = "depth"  # from a face to a floor that both get the layer
    PITCH_EXTERNAL = "external pitch diameter"  # 60 degree thread
    PITCH_INTERNAL = "internal pitch diameter"  # 60 degree thread

    @property
    def factor(self) -> int:
        """Change of the size per layer thickness.

        Two faces move apart on an outside size (+2) and together in a bore (-2). On a 60° thread
        the flanks move by t / sin 30° on each side, four layers on the pitch diameter. A depth
        keeps its size, since both its faces move the same way. Geometry; the rule of four is
        also that of ISO 4042 for plated threads (from memory).
        """
        return {
            Surface.OUTSIDE: 2,
            Surface.INSIDE: -2,
            Surface.LENGTH: 2,
            Surface.DEPTH: 0,
            Surface.PITCH_EXTERNAL: 4,
            Surface.PITCH_INTERNAL: -4,
        }[self]


class LayerVerdict(StrEnum):
    """How the layer that came back compares with the one that was ordered."""

    AS_ORDERED = "as ordered"
    TOO_THICK = "thicker than ordered"
    TOO_THIN = "thinner than ordered"
    NOT_PROVEN = "not proven"
    NOT_ORDERED = "no thickness ordered"


@frozen
class Layer:
    """The layer that a paired change implies; thickness in the unit of the readings."""

    change: MeanChange
    thickness: float
    interval: Interval  # of the mean thickness
    seen: bool  # whether any layer is proven at all
    verdict: LayerVerdict


@frozen
class Finished:
    """One piece as the ordered layer would leave it; sizes in the unit of the readings."""

    piece: int
    before: Decimal
    smallest: Decimal  # finished size by one end of the ordered layer
    largest: Decimal  # and by the other
    pushed_out: bool  # out of limits whatever the layer comes out at
    may_be_out: bool  # out of limits at one end of the ordered layer


def implied_layer(
    before: Mapping[int, Decimal],
    after: Mapping[int, Decimal],
    surface: Surface,
    *,
    ordered: Limits | None = None,
    unit: Unit | None = None,
    step: Decimal | None = None,
    apart: float = 0.0,
    confidence: float = 0.95,
) -> Layer | None:
    """Thickness implied by the pieces read before and after; None when it cannot be told.

    It cannot be told from fewer than 2 pieces read both times, or from a size that a layer does
    not change. `ordered` is in its own unit and is converted to `unit`, that of the readings;
    without the latter it is taken to be in theirs. The verdict
    compares the interval of the mean thickness with the order: wholly inside is as ordered,
    wholly outside is too thick or too thin, and anything else is not proven. For a removal, too
    thick means that too much was taken off.

    `step` and `apart`, of the instruments that read before and after, as in `before_and_after`.

    Mean change / factor of the surface, interval by the paired t (NIST/SEMATECH e-Handbook
    7.3.1.1). Raises ValueError for readings that are no finite numbers or units without
    conversion.
    """
    pieces = sorted(before.keys() & after.keys())
    factor = surface.factor
    if factor == 0:
        return None
    change = before_and_after(
        [(before[p], after[p]) for p in pieces], confidence=confidence, step=step, apart=apart
    )
    if change is None:
        return None
    ends = sorted((change.interval.low / factor, change.interval.high / factor))
    interval = Interval(ends[0], ends[1], confidence)
    verdict = LayerVerdict.NOT_ORDERED
    if ordered is not None:
        verdict = _compare(interval, _in_unit(ordered, unit))
    return Layer(
        change=change,
        thickness=change.mean / factor,
        interval=interval,
        seen=not interval.low <= 0 <= interval.high,
        verdict=verdict,
    )


def after_finish(
    before: Mapping[int, Decimal], surface: Surface, ordered: Limits, limits: Limits
) -> tuple[Finished, ...]:
    """What the ordered layer makes of every piece, before the work is sent out.

    `before` and `limits` (of the finished size) in one unit, `ordered` in its own. Piece order.
    Raises ValueError when the order has an open end or units do not convert.
    """
    wanted = _in_unit(ordered, limits.unit)
    if wanted.lower is None or wanted.upper is None:
        raise ValueError("an ordered layer needs both its limits to foretell the finished size")
    found = []
    for piece, value in sorted(before.items()):
        ends = sorted(value + surface.factor * t for t in (wanted.lower, wanted.upper))
        smallest, largest = ends
        above = limits.upper is not None and smallest > limits.upper
        below = limits.lower is not None and largest < limits.lower
        found.append(
            Finished(
                piece=piece,
                before=value,
                smallest=smallest,
                largest=largest,
                pushed_out=above or below,
                may_be_out=not (limits.contains(smallest) and limits.contains(largest)),
            )
        )
    return tuple(found)


def _compare(interval: Interval, ordered: Limits) -> LayerVerdict:
    low = float(ordered.lower) if ordered.lower is not None else -float("inf")
    high = float(ordered.upper) if ordered.upper is not None else float("inf")
    if low <= interval.low and interval.high <= high:
        return LayerVerdict.AS_ORDERED
    removal = ordered.upper is not None and ordered.upper <= 0
    if interval.low > high:
        return LayerVerdict.TOO_THIN if removal else LayerVerdict.TOO_THICK
    if interval.high < low:
        return LayerVerdict.TOO_THICK if removal else LayerVerdict.TOO_THIN
    return LayerVerdict.NOT_PROVEN


def _in_unit(ordered: Limits, unit: Unit | None) -> Limits:
    if unit is None:
        return ordered
    return Limits(
        None if ordered.lower is None else convert(ordered.lower, ordered.unit, unit),
        None if ordered.upper is None else convert(ordered.upper, ordered.unit, unit),
        unit,
    )
