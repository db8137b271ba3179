"""Instruments: their checks, what a failed check makes suspect, what a study says of them."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from datetime import datetime
from typing import TYPE_CHECKING

from qlog.drawing.plan import Build, Instrument
from qlog.frozen import frozen
from qlog.logbook.facts import Entry, GaugeCheck, ItemSize, Reading, Trial
from qlog.logbook.store import Logbook
from qlog.review.moments import moment
from qlog.study.gauge.repeatability import suspects as doubted

if TYPE_CHECKING:
    from qlog.review.instrument.gauge_study import StudyView


@frozen
class InstrumentView:
    """An instrument and its checks."""

    instrument: Instrument
    checks: tuple[Entry[GaugeCheck], ...]
    fit: bool | None  # by the last check; None when never checked
    readings: int  # on pieces and on finished items
    suspect: int
    studies: tuple[StudyView, ...]  # repeatability studies, oldest first


def suspects(
    readings: Sequence[Entry[Reading]], checks: Sequence[Entry[GaugeCheck]]
) -> frozenset[int]:
    """Entries of readings that a failed check of their instrument puts in doubt."""
    when: dict[str, list[tuple[datetime, bool]]] = defaultdict(list)
    for check in sorted(checks, key=lambda c: c.id):
        when[check.fact.instrument].append((moment(check.made), bool(check.fact.fit)))
    taken: dict[str, list[tuple[datetime, int]]] = defaultdict(list)
    for reading in readings:
        if reading.fact.instrument in when:
            taken[reading.fact.instrument].append((moment(reading.made), reading.id))
    found = {name for id, own in taken.items() for name in doubted(when[id], own)}
    return frozenset(r.id for r in readings if r.id in found)


def suspect_readings(logbook: Logbook, instrument: str) -> tuple[Entry[Reading], ...]:
    """The live readings of an instrument that its checks put in doubt."""
    readings = logbook.live(Reading, instrument=instrument)
    doubtful = suspects(readings, logbook.live(GaugeCheck, instrument=instrument))
    return tuple(e for e in readings if e.id in doubtful)


def studies_of(build: Build, trials: Sequence[Entry[Trial]]) -> tuple[StudyView, ...]:
    """All repeatability studies; the analysis is loaded only when there is one."""
    if not trials:
        return ()
    from qlog.review.instrument.gauge_study import study_views

    return study_views(build, trials)


def instrument_views(
    build: Build,
    checks: Sequence[Entry[GaugeCheck]],
    readings: Sequence[Entry[Reading]],
    sizes: Sequence[Entry[ItemSize]],
    suspect: frozenset[int],
    studies: Sequence[StudyView],
) -> tuple[InstrumentView, ...]:
    """Every registered instrument, in the order of the plan.

    `readings` are those on pieces, `sizes` those on finished items.
    """
    used = Counter(e.fact.instrument for e in readings)
    used.update(e.fact.instrument for e in sizes)
    doubted_of = Counter(e.fact.instrument for e in readings if e.id in suspect)
    views: list[InstrumentView] = []
    for instrument in build.instruments:
        own = sorted(
            (c for c in checks if c.fact.instrument == instrument.id),
            key=lambda c: (moment(c.made), c.id),
        )
        views.append(
            InstrumentView(
                instrument=instrument,
                checks=tuple(own),
                fit=bool(own[-1].fact.fit) if own else None,
                readings=used[instrument.id],
                suspect=doubted_of[instrument.id],
                studies=tuple(s for s in studies if s.instrument == instrument.id),
            )
        )
    return tuple(views)
