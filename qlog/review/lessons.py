"""Scatter learnt from an earlier build that the user names, like from like."""

from __future__ import annotations

import math
from collections.abc import Iterator
from decimal import ROUND_HALF_EVEN, Decimal
from enum import StrEnum
from typing import TYPE_CHECKING

from qlog.drawing.callouts.callout import Callout
from qlog.drawing.plan import Build, Dimension, Instrument, Learnt, Operation
from qlog.frozen import frozen
from qlog.study.drift.trend_test import DriftStatus, pool

if TYPE_CHECKING:
    from qlog.review.part.batch import SeriesView
    from qlog.review.picture import Picture

#: Tolerances of the same order differ by no more than this factor.
SAME_ORDER = 3
#: Readings that jumped, settled or moved with the reading say too much of how a dimension scatters.
_NO_LINE = (DriftStatus.JUMPED, DriftStatus.SETTLING, DriftStatus.COINCIDES)


class Unlike(StrEnum):
    """Why a dimension learns nothing from the one of the same name in the earlier build."""

    NO_SUCH = "no such"
    KIND = "kind"  # of size
    CUT = "cut"  # kind of operation, machine or tool
    INSTRUMENT = "instrument"
    TOLERANCE = "tolerance"
    FEW = "few"  # no setup with three readings that scatter


@frozen
class Lesson:
    """What one dimension learns after one operation, or why it learns nothing."""

    part: str
    dimension: str
    op: int
    unit: str
    learnt: Learnt | None
    unlike: Unlike | None


def lessons(build: Build, picture: Picture, source: str, part: str | None) -> Iterator[Lesson]:
    """What every dimension of a build, or of one part, learns from an earlier one, studied whole.

    Like is learnt from like: same part, dimension and operation by name; the same kind of size,
    unit, machine, tool and kind of cut, an instrument of the same kind and step, a tolerance of
    the same order.
    """
    before = {
        (s.part.id, s.dimension.id, s.operation.number): s for v in picture.parts for s in v.series
    }
    for owner in build.parts:
        for dimension in owner.dimensions if part in (None, owner.id) else ():
            for requirement in dimension.requirements:
                op, callout = requirement.op, requirement.callout
                if callout.attribute:
                    continue
                found = before.get((owner.id, dimension.id, op))
                unlike: Unlike | None = Unlike.NO_SUCH
                learnt = None
                if found is not None:
                    unlike = _unlike(build, owner.operation(op), dimension, callout, found)
                    learnt = None if unlike else _scatter(found, op, source)
                    unlike = unlike or (None if learnt else Unlike.FEW)
                yield Lesson(owner.id, dimension.id, op, callout.limits.unit.symbol, learnt, unlike)


def _unlike(
    build: Build, operation: Operation, dimension: Dimension, callout: Callout, there: SeriesView
) -> Unlike | None:
    """Why a dimension here and its series of before are not alike; None where they are."""
    before = there.operation
    if (callout.kind, callout.unit, dimension.measures) != (
        there.callout.kind,
        there.callout.unit,
        there.dimension.measures,
    ):
        return Unlike.KIND
    if (operation.kind, operation.machine, operation.tool) != (
        before.kind,
        before.machine,
        before.tool,
    ):
        return Unlike.CUT
    here = None if dimension.instrument is None else build.instrument(dimension.instrument)
    if _reads(here) != _reads(there.instrument):
        return Unlike.INSTRUMENT
    widths = callout.limits.width, there.limits.width
    if (
        widths[0]
        and widths[1]
        and max(widths[0], widths[1]) > SAME_ORDER * min(widths[0], widths[1])
    ):
        return Unlike.TOLERANCE
    return None


def _reads(instrument: Instrument | None) -> tuple[object, ...]:
    return () if instrument is None else (instrument.kind, instrument.unit, instrument.step)


def _scatter(series: SeriesView, op: int, source: str) -> Learnt | None:
    """The scatter within the setups of a series; None where no three readings of one scatter."""
    setups = () if series.study is None else series.study.setups
    own = pool((s.pieces, s.values) for s in setups if s.drift.status not in _NO_LINE)
    if own is None or own.s == 0:
        return None
    digits = 2 - math.floor(math.log10(own.s))
    s = Decimal(own.s).quantize(Decimal(1).scaleb(-digits), ROUND_HALF_EVEN)
    return Learnt(op, s, own.df, source)
