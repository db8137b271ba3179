"""Repeatability studies of the logbook put through the analysis of variance."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from qlog.drawing.plan import Build
from qlog.drawing.units import Unit, convert
from qlog.frozen import frozen
from qlog.logbook.facts import Entry, Trial
from qlog.study.gauge.repeatability import GaugeReading, GaugeStudy, study


@frozen
class StudyView:
    """One repeatability study and what it found; figures in the unit of the dimension."""

    name: str
    instrument: str
    part: str
    dimension: str
    trials: int
    unit: Unit
    result: GaugeStudy


def study_views(build: Build, trials: Sequence[Entry[Trial]]) -> tuple[StudyView, ...]:
    """Every study that has enough readings to say anything, oldest first.

    A study of a dimension that the plan no longer has is left out.
    """
    groups: dict[tuple[str, str, str, str], list[Trial]] = {}
    for fact in (entry.fact for entry in trials):
        key = (fact.study, fact.instrument, fact.part, fact.dimension)
        groups.setdefault(key, []).append(fact)
    views: list[StudyView] = []
    for (name, _, _, _), facts in groups.items():
        first = facts[0]
        try:
            dimension = build.part(first.part).dimension(first.dimension)
        except KeyError:
            continue
        unit = dimension.callout.unit
        try:
            readings = [
                GaugeReading(
                    piece=f.piece,
                    value=convert(Decimal(f.value), Unit(f.unit), unit),
                    person=f.person,
                )
                for f in facts
            ]
            result = study(readings, tolerance=dimension.callout.limits.width)
        except ValueError:  # too few readings so far, or taken when the drawing asked for another
            continue  # kind of quantity: nothing to say
        views.append(
            StudyView(name, first.instrument, first.part, first.dimension, len(facts), unit, result)
        )
    return tuple(views)
