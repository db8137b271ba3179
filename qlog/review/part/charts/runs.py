"""Along the pieces of a series: acceptance limits, instruments and sittings, run by run."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from decimal import Decimal
from itertools import groupby

from qlog.frozen import frozen
from qlog.review.instrument.judging import ZERO_BASED
from qlog.review.part.batch import SeriesView
from qlog.review.part.conditions import TakenUnder, conditions
from qlog.review.views import ReadingView


@frozen
class AcceptanceRun:
    """Limits less the guard band over pieces in a row; the widest guard of its readings counts."""

    lower: Decimal | None
    upper: Decimal | None
    first_piece: int
    last_piece: int


@frozen
class Run:
    """Pieces in a row whose readings have something in common: an instrument, a sitting."""

    name: str  # the instrument's id, or the day of the sitting
    first_piece: int
    last_piece: int


def acceptance_runs(series: SeriesView) -> tuple[AcceptanceRun, ...]:
    """The acceptance limits by the guarded rule, one run for each set of limits and guard band.

    None where nothing is guarded, or where the guard bands take the whole tolerance.
    """
    found = []
    for (limits, guard), run in groupby(
        series.readings, key=lambda r: (r.limits, r.judgement.guard if r.judgement else None)
    ):
        own = list(run)
        if limits is None or not guard:
            continue
        lower, upper = limits.lower, limits.upper
        if lower is not None and upper is not None and 2 * guard >= upper - lower:
            continue
        floor = lower == 0 and series.callout.kind in ZERO_BASED
        found.append(
            AcceptanceRun(
                None if lower is None or floor else lower + guard,
                None if upper is None else upper - guard,
                own[0].piece,
                own[-1].piece,
            )
        )
    return tuple(found)


def instrument_runs(series: SeriesView) -> tuple[Run, ...]:
    """Which instrument decided over which pieces; nothing where one took them all."""
    names = [r.instrument or "" for r in series.readings]
    return _runs(series.readings, names, lambda i: names[i])


def sitting_runs(series: SeriesView) -> tuple[Run, ...]:
    """The sittings in which the pieces were read, each with its day; nothing of a single one."""
    known = conditions(
        [TakenUnder(r.instrument, r.made, r.temperature, r.person) for r in series.readings]
    )
    return _runs(series.readings, [c.sitting for c in known], lambda i: known[i].day or "")


def _runs(
    readings: Sequence[ReadingView], keys: Sequence[object], name: Callable[[int], str]
) -> tuple[Run, ...]:
    found = []
    for _, run in groupby(range(len(readings)), key=lambda i: keys[i]):
        own = list(run)
        found.append(Run(name(own[0]), readings[own[0]].piece, readings[own[-1]].piece))
    return tuple(found) if len(found) > 1 else ()
