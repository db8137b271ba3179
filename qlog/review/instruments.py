"""Instruments: their checks, what a failed check makes suspect, what a study says of them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import TYPE_CHECKING

from qlog.drawing.plan import Build
from qlog.logbook.facts import Entry, GaugeCheck, Reading, Trial
from qlog.logbook.store import Logbook
from qlog.review.picture import InstrumentView
from qlog.review.times import moment

if TYPE_CHECKING:
    from qlog.review.gauge_study import StudyView


def suspects(
    readings: Sequence[Entry[Reading]], checks: Sequence[Entry[GaugeCheck]]
) -> frozenset[int]:
    """Entries of readings taken since the instrument's last good check, before a failed one.

    A reading is in doubt when the next check after it failed; a good check clears nothing that
    an earlier failed one put in doubt.
    """
    by_instrument: dict[str, list[Entry[GaugeCheck]]] = defaultdict(list)
    for check in checks:
        by_instrument[check.fact.instrument].append(check)
    for listed in by_instrument.values():
        listed.sort(key=lambda c: (moment(c.made), c.id))
    found: set[int] = set()
    for reading in readings:
        for check in by_instrument.get(reading.fact.instrument or "", ()):
            if (moment(check.made), check.id) > (moment(reading.made), reading.id):
                if not check.fact.fit:
                    found.add(reading.id)
                break
    return frozenset(found)


def studies_of(build: Build, logbook: Logbook) -> tuple[StudyView, ...]:
    """All repeatability studies; the analysis is loaded only when there is one."""
    trials = logbook.live(Trial)
    if not trials:
        return ()
    from qlog.review.gauge_study import study_views

    return study_views(build, trials)


def repeatabilities(studies: Sequence[StudyView]) -> Mapping[tuple[str, str, str], Decimal]:
    """Standard deviation of repeated readings, by instrument, part and dimension.

    In the unit of the dimension's limits; the newest study of each counts.
    """
    return {
        (v.instrument, v.part, v.dimension): Decimal(repr(v.result.repeatability)) for v in studies
    }


def instrument_views(
    build: Build,
    checks: Sequence[Entry[GaugeCheck]],
    readings: Sequence[Entry[Reading]],
    suspect: frozenset[int],
    studies: Sequence[StudyView] = (),
) -> tuple[InstrumentView, ...]:
    """Every registered instrument, in the order of the plan."""
    views: list[InstrumentView] = []
    for instrument in build.instruments:
        own = sorted(
            (c for c in checks if c.fact.instrument == instrument.id),
            key=lambda c: (moment(c.made), c.id),
        )
        used = [r for r in readings if r.fact.instrument == instrument.id]
        views.append(
            InstrumentView(
                instrument=instrument,
                checks=tuple(own),
                fit=bool(own[-1].fact.fit) if own else None,
                readings=len(used),
                suspect=sum(r.id in suspect for r in used),
                studies=tuple(s for s in studies if s.instrument == instrument.id),
            )
        )
    return tuple(views)
