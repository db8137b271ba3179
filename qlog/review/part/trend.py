"""The trend so far: the readings of one setup, at a glance, for the echo of a stream."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import TYPE_CHECKING

from qlog.drawing.callouts.callout import Callout
from qlog.drawing.plan import Build, Dimension, Instrument
from qlog.drawing.units import Unit
from qlog.frozen import frozen
from qlog.logbook.facts import Entry, GaugeCheck, Reading, Trial
from qlog.logbook.measured import measured
from qlog.logbook.part_log import PartLog, SetupPieces
from qlog.logbook.store import Logbook
from qlog.review.instrument.judging import (
    ZERO_BASED,
    as_read,
    coarsest_step,
    ends_at_zero,
    tidy,
)
from qlog.review.part.conditions import TakenUnder, conditions
from qlog.study.drift.forecast import Forecast
from qlog.study.drift.setups import Retouch, SetupReadings, learnt_scatter, study_setups
from qlog.study.drift.trend_test import SetupDrift

if TYPE_CHECKING:
    from qlog.review.instrument.by_revision import Judge


@frozen
class Glance:
    """The trend of a setup so far, its forecast, and when to re-touch the tool."""

    drift: SetupDrift
    outlook: Forecast | None
    retouch: Retouch | None
    step: Decimal | None  # display step, in the unit of the limits


class TrendSoFar:
    """The trend at a glance; a reading is brought to 20 °C once, and not again after each key.

    Loads neither numpy nor scipy.
    """

    def __init__(self, build: Build, logbook: Logbook) -> None:
        self._build = build
        self._logbook = logbook
        self._judge: tuple[int, Judge, Sequence[Entry[GaugeCheck]]] | None = None
        self._sizes: dict[tuple[int, Unit], Decimal | None] = {}
        self._instruments: dict[str, Instrument] = {i.id: i for i in build.instruments}

    def glance(self, log: PartLog, op: int, dimension: Dimension, piece: int) -> Glance | None:
        """The trend over the setup that a piece was made in; None below three readings."""
        found = dimension.requirement_at(op)
        if found is None or found.callout.attribute:
            return None
        callout = found.callout
        running = log.setup(op, piece)
        read: dict[int, tuple[Decimal, TakenUnder]] = {}
        places = log.places.get((dimension.id, op), {})
        for number in sorted(p for p in places if p <= running.last_piece):
            entry = self._decides(log, dimension, callout, places[number])
            if entry is None:
                continue
            key = (entry.id, callout.unit)
            if key not in self._sizes:
                self._sizes[key] = self._size(log, entry, callout)
            size = self._sizes[key]
            if size is None:  # a unit of another drawing: no part of this trend
                continue
            fact = entry.fact
            taken = TakenUnder(fact.instrument, entry.made, fact.temperature, entry.person)
            read[number] = size, taken
        if sum(p in running.pieces for p in read) < 3:
            return None
        setups = [s for s in log.setups(op) if s.number <= running.number]
        shown = coarsest_step(
            self._build, {t.instrument for _, t in read.values()}, dimension.instrument,
            callout.unit,
        )  # fmt: skip
        lower = callout.limits.lower
        trend = study_setups(
            [_readings(s, read) for s in setups if any(p in s.pieces for p in read)],
            planned=max(log.part.pieces[-1], *read),
            step=shown,
            lower=None if ends_at_zero(callout.kind, lower) else lower,
            zero_based=callout.kind in ZERO_BASED,
            upper=callout.limits.upper,
            tolerance=callout.limits.width,
            measures=dimension.measures,
            learnt=learnt_scatter(dimension, op),
            joint=False,
        )[-1]
        return Glance(trend.drift, trend.forecast, trend.retouch, shown)

    def _size(self, log: PartLog, entry: Entry[Reading], callout: Callout) -> Decimal | None:
        says = measured(entry.fact)
        used = self._instruments.get(entry.fact.instrument or "")
        try:
            read = as_read(self._build, log.part, callout.unit, says, used)
        except ValueError:
            return None
        exact = says.unit is callout.unit and read.at_20 is read.raw
        return read.at_20 if exact else tidy(read.at_20, callout.limits)

    def _decides(
        self,
        log: PartLog,
        dimension: Dimension,
        callout: Callout,
        entries: Sequence[Entry[Reading]],
    ) -> Entry[Reading] | None:
        """The reading of a place that decides, as the series of the picture has it.

        Where several stand beside each other, which is rare, they are weighed as there; a
        single one costs nothing.
        """
        good = [e for e in entries if measured(e.fact).answers(callout)]
        if len(good) < 2:
            return good[0] if good else None
        from qlog.review.instrument.instrument_views import suspects
        from qlog.review.part.series import worth

        judge, checks = self._experienced()
        suspect = suspects(good, checks)

        def order(entry: Entry[Reading]) -> tuple[bool, bool, Decimal, int]:
            judged = judge.judge(entry, measured(entry.fact), log.part, dimension)
            return worth(entry.id in suspect, judged.then.uncertainty, entry.id)

        return min(good, key=order)

    def _experienced(self) -> tuple[Judge, Sequence[Entry[GaugeCheck]]]:
        """The judge that the picture has, and the checks; made anew when something was entered."""
        from qlog.logbook.build_log import BuildLog
        from qlog.review.instrument.by_revision import Judge
        from qlog.review.instrument.experience import Experience
        from qlog.review.instrument.instrument_views import studies_of
        from qlog.review.revisions import Revisions

        last = self._logbook.last_entry()
        if self._judge is None or self._judge[0] != last:
            whole = BuildLog(self._logbook)
            checks = whole.live(GaugeCheck)
            known = Experience(checks, studies_of(self._build, whole.live(Trial)))
            judge = Judge(self._build, Revisions(self._build, whole), known)
            self._judge = last, judge, checks
        return self._judge[1:]


def _readings(setup: SetupPieces, read: Mapping[int, tuple[Decimal, TakenUnder]]) -> SetupReadings:
    pieces = tuple(sorted(p for p in read if p in setup.pieces))
    return SetupReadings(
        setup.first_piece,
        pieces,
        tuple(read[p][0] for p in pieces),
        conditions([read[p][1] for p in pieces]),
    )
