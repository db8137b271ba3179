"""The trend so far: the readings of one setup, at a glance, for the echo of a stream."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from qlog.drawing.callouts.callout import Callout
from qlog.drawing.plan import Build, Dimension, Instrument
from qlog.drawing.units import Unit, convert
from qlog.frozen import frozen
from qlog.logbook.facts import Entry, Reading
from qlog.logbook.part_log import PartLog, SetupPieces
from qlog.review.instrument.judging import ZERO_BASED, as_read, tidy
from qlog.review.part.conditions import Taken, conditions
from qlog.study.drift.forecast import Forecast
from qlog.study.drift.setups import Retouch, SetupReadings, learnt_scatter, study_setups
from qlog.study.drift.trend_test import Drift


@frozen
class Glance:
    """The trend of a setup so far, its forecast, and when to re-touch the tool."""

    drift: Drift
    outlook: Forecast | None
    retouch: Retouch | None
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
        running = log.setup(op, piece)
        read: dict[int, tuple[Decimal, Taken]] = {}
        steps: list[Decimal] = []
        places = log.places.get((dimension.id, op), {})
        for number in sorted(p for p in places if p <= running.last_piece):
            entry = places[number][-1]
            key = (entry.id, callout.unit)
            if key not in self._sizes:
                self._sizes[key] = self._size(log, entry, callout)
            size = self._sizes[key]
            if size is None:  # a unit of another drawing: no part of this trend
                continue
            fact = entry.fact
            read[number] = size, Taken(fact.instrument, entry.made, fact.temperature)
            step = self._step(fact.instrument, callout.unit)
            if step is not None:
                steps.append(step)
        if sum(p in running.pieces for p in read) < 3:
            return None
        setups = [s for s in log.setups(op) if s.number <= running.number]
        shown = max(steps, default=None)
        trend = study_setups(
            [_readings(s, read) for s in setups if any(p in s.pieces for p in read)],
            planned=max(log.part.pieces[-1], *read),
            step=shown,
            lower=None if callout.kind in ZERO_BASED else callout.limits.lower,
            upper=callout.limits.upper,
            tolerance=callout.limits.width,
            measures=dimension.measures,
            learnt=learnt_scatter(dimension, op),
            joint=False,
        )[-1]
        return Glance(trend.drift, trend.forecast, trend.retouch, shown)

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


def _readings(setup: SetupPieces, read: Mapping[int, tuple[Decimal, Taken]]) -> SetupReadings:
    pieces = tuple(sorted(p for p in read if p in setup.pieces))
    return SetupReadings(
        setup.first_piece,
        pieces,
        tuple(read[p][0] for p in pieces),
        conditions([read[p][1] for p in pieces]),
    )
