"""Deviations from target: one chart for all that one machine cut alike and one gauge read."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal
from itertools import groupby

from qlog.drawing.callouts.callout import Kind
from qlog.drawing.units import Unit
from qlog.frozen import frozen
from qlog.review.moments import moment
from qlog.review.part.batch import Batch, SeriesView
from qlog.review.part.conditions import TakenUnder, conditions
from qlog.review.views import ReadingView
from qlog.study.batch.control_charts import Deviations, Group, nominal_deviations
from qlog.study.drift.machine import MachinePoint, MachineTrend, study_machine
from qlog.study.drift.setups import learnt_scatter
from qlog.study.drift.trend_test import together

_SIZES = (Kind.LENGTH, Kind.DIAMETER, Kind.RADIUS, Kind.DEPTH)


@frozen
class ToolDrift:
    """What one tool did over the pieces of several parts, in the order of making."""

    tool: str
    parts: tuple[str, ...]
    pieces: int
    found: MachineTrend


@frozen
class DeviationView:
    """Several dimensions on one chart of deviations; lengths in `unit`.

    The chart itself is worked out when it is asked for: `status` tells of the drifts alone.
    """

    machine: str
    cut: str  # kind of operation
    instrument: str  # id
    unit: Unit
    series: tuple[SeriesView, ...]  # in the order of making
    drifts: tuple[ToolDrift, ...] = ()

    @property
    def chart(self) -> Deviations:
        """The points of all series, one after the other; they are many, and nobody keeps them."""
        return nominal_deviations([group for s in self.series for group, _ in _groups(s)])

    @property
    def pieces(self) -> tuple[tuple[int, ...], ...]:
        """The piece of every point, for each of the series."""
        return tuple(tuple(p for _, own in _groups(s) for p in own) for s in self.series)


def deviation_views(parts: Sequence[Batch]) -> tuple[DeviationView, ...]:
    """A chart for every machine, kind of cut and instrument that more than one dimension shares.

    Short batches say little each; together they show whether the machine cuts large or small.
    The target of each reading is the middle of the limits that judged it. No verdict rests on the
    chart; whether the machine drifts is decided by the same test as for one dimension, tool by
    tool (`study.drift.machine`).
    """
    groups: dict[tuple[str, str, str, Unit], list[SeriesView]] = {}
    for view in parts:
        for series in view.series:
            instrument, callout = series.instrument, series.callout
            if (
                instrument is None
                or series.summary is None
                or all(
                    target_of(series, r) is None
                    for r in series.readings
                    if r.piece not in series.gone
                )
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
        if any(len(pieces) > 1 for s in own for _, pieces in _groups(s)):
            found.append(DeviationView(machine, cut, id, unit, tuple(own), _tools(own)))
    return tuple(found)


def _tools(series: Sequence[SeriesView]) -> tuple[ToolDrift, ...]:
    """The drift of each tool that cut several parts and was not touched in any of them."""
    groups: dict[tuple[str, str], list[SeriesView]] = {}
    for s in series:
        if s.operation.tool and len(s.setups) == 1:
            groups.setdefault((s.operation.tool, s.dimension.measures), []).append(s)
    found = []
    for (tool, measures), own in groups.items():
        pieces: dict[tuple[str, int, int], list[tuple[Decimal, ReadingView]]] = {}
        for s in own:
            for r in s.readings:
                target = target_of(s, r)
                if r.value is not None and target is not None:
                    key = (s.part.id, s.operation.number, r.piece)
                    pieces.setdefault(key, []).append((r.value - target, r))
        # A piece counts once, however many of its sizes the tool cut.
        ordered = sorted(pieces.items(), key=lambda item: min(moment(r.made) for _, r in item[1]))
        first = [readings[0][1] for _, readings in ordered]
        taken = conditions(
            [TakenUnder(r.instrument, r.made, r.temperature, r.person) for r in first]
        )
        points = [
            MachinePoint(part, sum((d for d, _ in readings), Decimal(0)) / len(readings), known)
            for ((part, _, _), readings), known in zip(ordered, taken, strict=True)
        ]
        widths = [s.limits.width for s in own]
        known_widths = [w for w in widths if w is not None]
        machine = study_machine(
            points,
            planned=sum(len(p.pieces) for p in {s.part.id: s.part for s in own}.values()),
            step=max((s.step for s in own if s.step is not None), default=None),
            tolerance=min(known_widths, default=None),
            measures=measures,
            # The scatter of one size says nothing of the mean of several.
            learnt=together(learnt_scatter(s.dimension, s.operation.number) for s in own)
            if all(len(readings) == 1 for readings in pieces.values())
            else None,
        )
        if machine is not None:
            parts = tuple(dict.fromkeys(p.part for p in points))
            found.append(ToolDrift(tool, parts, len(points), machine))
    return tuple(found)


def _groups(series: SeriesView) -> Iterator[tuple[Group, tuple[int, ...]]]:
    """Readings in a row of one setup with one target, and their pieces; scrapped ones apart."""
    listed = [
        (r.setup, target, r.piece, r.value)
        for r in series.readings
        if r.piece not in series.gone
        and r.value is not None
        and (target := target_of(series, r)) is not None
    ]
    for (_, target), run in groupby(listed, key=lambda entry: entry[:2]):
        own = list(run)
        yield (
            Group(target, tuple(value for *_, value in own)),
            tuple(piece for _, _, piece, _ in own),
        )


def target_of(series: SeriesView, reading: ReadingView) -> Decimal | None:
    """What the machinist aimed at: the middle of the limits that judged it, else the nominal."""
    middle = None if reading.limits is None else reading.limits.middle
    return series.callout.nominal if middle is None else middle
