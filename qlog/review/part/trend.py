"""The trend so far: the readings of one setup, at a glance, for the echo of a stream."""

from __future__ import annotations

from decimal import Decimal

from qlog.drawing.callouts.callout import Callout
from qlog.drawing.plan import Build, Dimension, Instrument
from qlog.drawing.units import Unit, convert
from qlog.frozen import frozen
from qlog.logbook.facts import Entry, Reading
from qlog.logbook.part_log import PartLog
from qlog.review.instrument.judging import as_read, tidy
from qlog.study.drift.forecast import Forecast, forecast
from qlog.study.drift.trend_test import Drift, DriftStatus, assess


@frozen
class Glance:
    """The trend of a setup so far and, where it drifts, its forecast."""

    drift: Drift
    outlook: Forecast | None
    step: Decimal | None  # display step, in the unit of the limits


class TrendSoFar:
    """The trend at a glance; a reading is brought to 20 °C once, and not again after each key.

    Loads neither numpy nor scipy.
    """

    def __init__(self, build: Build) -> None:
        self._build = build
        self._sizes: dict[tuple[int, Unit], Decimal | None] = {}
        self._instruments: dict[str, Instrument] = {i.id: i for i in build.instruments}

    def glance(self, log: PartLog, op: int, dimension: Dimension, piece: int) -> Glance | None:
        """The trend over the setup that a piece was made in; None below three readings."""
        found = dimension.requirement_at(op)
        if found is None or found.callout.attribute:
            return None
        callout = found.callout
        setup = log.setup(op, piece)
        values: dict[int, Decimal] = {}
        steps: list[Decimal] = []
        places = log.places.get((dimension.id, op), {})
        for number in sorted(p for p in places if p in setup.pieces):
            entry = places[number][-1]
            key = (entry.id, callout.unit)
            if key not in self._sizes:
                self._sizes[key] = self._size(log, entry, callout)
            size = self._sizes[key]
            if size is None:  # a unit of another drawing: no part of this trend
                continue
            values[number] = size
            step = self._step(entry.fact.instrument, callout.unit)
            if step is not None:
                steps.append(step)
        if len(values) < 3:
            return None
        order = sorted(values)
        limits, display = callout.limits, max(steps, default=None)
        planned = max(log.part.pieces[-1], order[-1])
        drift = assess(
            order,
            [values[p] for p in order],
            planned=planned,
            step=display,
            tolerance=limits.width,
            measures=dimension.measures,
            first=setup.first_piece,
        )
        outlook = None
        if drift.status is DriftStatus.DRIFTING:
            outlook = forecast(
                drift, planned=planned, lower=limits.lower, upper=limits.upper, joint=False
            )
        return Glance(drift, outlook, display)

    def _size(self, log: PartLog, entry: Entry[Reading], callout: Callout) -> Decimal | None:
        measured = log.measured(entry)
        used = self._instruments.get(entry.fact.instrument or "")
        try:
            read = as_read(self._build, log.part, callout.unit, measured, used)
        except ValueError:
            return None
        exact = measured.unit is callout.unit and read.at_20 is read.raw
        return read.at_20 if exact else tidy(read.at_20, callout.limits)

    def _step(self, instrument: str | None, unit: Unit) -> Decimal | None:
        used = self._instruments.get(instrument or "")
        if used is None or used.step is None:
            return None
        try:
            return convert(used.step, used.unit, unit)
        except ValueError:
            return None
