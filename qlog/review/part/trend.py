"""The trend so far: the readings of one setup, at a glance, for the echo of a stream."""

from __future__ import annotations

from decimal import Decimal, InvalidOperation

from qlog.drawing.plan import Build, Dimension, Part
from qlog.drawing.units import Unit, convert
from qlog.frozen import frozen
from qlog.logbook.facts import Reading, Setup
from qlog.logbook.store import Logbook
from qlog.review.instrument.judging import judge_value
from qlog.study.drift.forecast import Forecast, forecast
from qlog.study.drift.trend_test import Drift, DriftStatus, assess


@frozen
class Glance:
    """The trend of a setup so far and, where it drifts, its forecast; both in `unit`."""

    drift: Drift
    outlook: Forecast | None
    step: Decimal | None
    unit: Unit


def trend_so_far(
    build: Build, logbook: Logbook, part: Part, op: int, dimension: Dimension, piece: int
) -> Glance | None:
    """The trend over the setup that a piece was made in; None below three readings.

    Values at 20 °C where temperatures were given. Loads neither numpy nor scipy.
    """
    found = dimension.requirement_at(op)
    if found is None or found.callout.attribute:
        return None
    callout = found.callout
    begun = sorted({e.fact.piece for e in logbook.live(Setup, part=part.id, op=op)} | {1})
    first = max((b for b in begun if b <= piece), default=1)
    end = min((b for b in begun if b > piece), default=None)
    values: dict[int, Decimal] = {}
    steps: list[Decimal] = []
    instruments = {i.id: i for i in build.instruments}
    for entry in logbook.live(Reading, part=part.id, op=op, dimension=dimension.id):
        fact = entry.fact
        if fact.piece < first or (end is not None and fact.piece >= end):
            continue
        used = instruments.get(fact.instrument or "")
        try:
            values[fact.piece] = judge_value(
                build, part, callout, Decimal(fact.value), Unit(fact.unit), used,
                temperature=None if fact.temperature is None else Decimal(fact.temperature),
                instrument_temperature=(
                    None
                    if fact.instrument_temperature is None
                    else Decimal(fact.instrument_temperature)
                ),
            ).value  # fmt: skip
            if used is not None and used.step is not None:
                steps.append(convert(used.step, used.unit, callout.unit))
        except (InvalidOperation, ValueError):  # a unit of another drawing: no part of this trend
            continue
    if len(values) < 3:
        return None
    order = sorted(values)
    limits, step = callout.limits, max(steps, default=None)
    planned = max(part.pieces[-1], order[-1])
    drift = assess(
        order,
        [values[p] for p in order],
        planned=planned,
        step=step,
        tolerance=limits.width,
        measures=dimension.measures,
        first=first,
    )
    outlook = None
    if drift.status is DriftStatus.DRIFTING:
        outlook = forecast(
            drift, planned=planned, lower=limits.lower, upper=limits.upper, joint=False
        )
    return Glance(drift, outlook, step, limits.unit)
