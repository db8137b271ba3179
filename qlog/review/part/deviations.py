"""Deviations from target: one chart for all that one machine cut alike and one gauge read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from qlog.drawing.callouts.callout import Kind
from qlog.drawing.units import Unit
from qlog.review.part.batch import Batch, SeriesView
from qlog.review.times import moment
from qlog.study.batch.control_charts import Deviations, Group, nominal_deviations

_SIZES = (Kind.LENGTH, Kind.DIAMETER, Kind.RADIUS, Kind.DEPTH)


@dataclass(frozen=True, slots=True)
class DeviationView:
    """Several dimensions on one chart of deviations; lengths in `unit`."""

    machine: str
    cut: str  # kind of operation
    instrument: str  # id
    unit: Unit
    series: tuple[SeriesView, ...]  # in the order of making
    points: tuple[tuple[str, int], ...]  # (series id, piece) of every point
    chart: Deviations


def deviation_views(parts: Sequence[Batch]) -> tuple[DeviationView, ...]:
    """A chart for every machine, kind of cut and instrument that more than one dimension shares.

    Short batches say little each; together they show whether the machine cuts large or small.
    The target is the middle of the limits. It draws only: no verdict rests on it.
    """
    groups: dict[tuple[str, str, str, Unit], list[SeriesView]] = {}
    for view in parts:
        for series in view.series:
            instrument, callout = series.instrument, series.callout
            if (
                instrument is None
                or series.summary is None
                or _target(series) is None
                or callout.kind not in _SIZES
            ):
                continue
            operation = series.operation
            key = (operation.machine, operation.kind, instrument.id, callout.unit)
            groups.setdefault(key, []).append(series)
    found: list[DeviationView] = []
    for (machine, cut, id, unit), own in groups.items():
        if len(own) < 2:
            continue
        own.sort(key=lambda s: min(moment(r.made) for r in s.readings))
        readings = [[r for r in s.readings if r.value is not None] for s in own]
        charted = [
            Group(
                s.id,
                _target(s) or Decimal(0),
                tuple(r.value for r in listed if r.value is not None),
            )
            for s, listed in zip(own, readings, strict=True)
        ]
        try:
            chart = nominal_deviations(charted)
        except ValueError:  # no two readings of any dimension yet
            continue
        points = tuple(
            (s.id, r.piece) for s, listed in zip(own, readings, strict=True) for r in listed
        )
        found.append(DeviationView(machine, cut, id, unit, tuple(own), points, chart))
    return tuple(found)


def _target(series: SeriesView) -> Decimal | None:
    """What the machinist aims at: the middle of the limits, else the nominal size."""
    middle = series.limits.middle
    return series.callout.nominal if middle is None else middle
