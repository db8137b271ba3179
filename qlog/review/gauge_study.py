"""Repeatability studies of the logbook put through the analysis of variance."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from qlog.drawing.plan import Build
from qlog.drawing.units import Unit, convert
from qlog.logbook.facts import Entry, Trial
from qlog.study.gauge import GaugeReading, GaugeStudy, study


@dataclass(frozen=True, slots=True)
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
    groups: dict[str, list[Trial]] = {}
    for entry in trials:
        groups.setdefault(entry.fact.study, []).append(entry.fact)
    views: list[StudyView] = []
    for name, facts in groups.items():
        first = facts[0]
        try:
            dimension = build.part(first.part).dimension(first.dimension)
        except KeyError:
            continue
        unit = dimension.callout.unit
        readings = [
            GaugeReading(
                piece=f.piece, value=convert(Decimal(f.value), Unit(f.unit), unit), person=f.person
            )
            for f in facts
        ]
        try:
            result = study(readings, tolerance=dimension.callout.limits.width)
        except ValueError:  # too few readings so far: nothing to say yet
            continue
        views.append(
            StudyView(name, first.instrument, first.part, first.dimension, len(facts), unit, result)
        )
    return tuple(views)
