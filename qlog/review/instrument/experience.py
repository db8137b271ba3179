"""Experience: what the checks and studies of an instrument have shown, for every verdict alike.

The bench asks for it at every echo: it reads a few rows, and loads the analysis of variance only
where there is a study.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from decimal import Decimal
from typing import TYPE_CHECKING

from qlog.drawing.plan import Build
from qlog.drawing.units import Unit, convert
from qlog.frozen import frozen
from qlog.logbook.facts import Entry, GaugeCheck, Trial
from qlog.logbook.store import Logbook
from qlog.study.conformity.uncertainty import two_digits

if TYPE_CHECKING:
    from qlog.review.instrument.gauge_study import StudyView


@frozen
class InstrumentRecord:
    """What is known of an instrument besides its data sheet, in one unit; None is not known."""

    repeatability: Decimal | None = None  # standard deviation, as stated: two digits, rounded up
    check_error: Decimal | None = None  # largest error found in its good checks, without sign
    repeatability_dof: float = math.inf  # degrees of freedom behind the repeatability


NOTHING = InstrumentRecord()


class Experience:
    """Checks and studies, looked up by instrument, part and dimension.

    The newest study of a dimension counts. Of the checks the good ones do: a failed one makes
    readings suspect, and no uncertainty mends them.
    """

    def __init__(
        self, checks: Iterable[Entry[GaugeCheck]] = (), studies: Iterable[StudyView] = ()
    ) -> None:
        self._errors: dict[str, list[tuple[Decimal, Unit]]] = {}
        for entry in checks:
            if entry.fact.fit:
                error = abs(entry.fact.error)
                found = self._errors.setdefault(entry.fact.instrument, [])
                found.append((error, Unit(entry.fact.unit)))
        self._studies = {(v.instrument, v.part, v.dimension): v for v in studies}
        self._shown: dict[tuple[str, str, str, Unit], InstrumentRecord] = {}

    def study(self, instrument: str, part: str, dimension: str) -> StudyView | None:
        """The newest study of the instrument on that dimension."""
        return self._studies.get((instrument, part, dimension))

    def of(self, instrument: str | None, part: str, dimension: str, unit: Unit) -> InstrumentRecord:
        """What is known of an instrument on a dimension, in the unit asked for."""
        if instrument is None:
            return NOTHING
        key = (instrument, part, dimension, unit)
        if key not in self._shown:
            self._shown[key] = self._work_out(*key)
        return self._shown[key]

    def _work_out(self, instrument: str, part: str, dimension: str, unit: Unit) -> InstrumentRecord:
        view = self.study(instrument, part, dimension)
        scatter = None
        if view is not None:
            scatter = _in(Decimal(repr(view.result.repeatability)), view.unit, unit)
        errors = (_in(e, own, unit) for e, own in self._errors.get(instrument, ()))
        return InstrumentRecord(
            None if scatter is None else two_digits(scatter),
            max((e for e in errors if e is not None), default=None),
            math.inf if view is None else view.result.repeatability_dof,
        )


def experience_with(
    build: Build, logbook: Logbook, instrument: str | None, part: str, dimension: str
) -> Experience:
    """The experience with one instrument on one dimension: what a single reading needs."""
    if instrument is None:
        return Experience()
    checks = logbook.live(GaugeCheck, instrument=instrument)
    trials = logbook.live(Trial, instrument=instrument, part=part, dimension=dimension)
    if not trials:
        return Experience(checks)
    from qlog.review.instrument.gauge_study import study_views

    return Experience(checks, study_views(build, trials))


def _in(value: Decimal, own: Unit, unit: Unit) -> Decimal | None:
    """A value in another unit; None where it says nothing about that kind of quantity."""
    try:
        return convert(value, own, unit)
    except ValueError:
        return None
