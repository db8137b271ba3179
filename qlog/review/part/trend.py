"""The trend so far: the readings of one setup, at a glance, for the echo of a stream."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal, InvalidOperation

from qlog.drawing.plan import Build, Dimension, Part
from qlog.drawing.units import Unit, convert
from qlog.logbook.facts import Reading, Setup
from qlog.logbook.store import Logbook
from qlog.review.instrument.judging import ZERO_BASED, judge_value
from qlog.review.part.conditions import Taken, conditions
from qlog.study.drift.setups import SetupReadings, study_setups
from qlog.study.drift.trend_words import glance


def trend_so_far(
    build: Build, logbook: Logbook, part: Part, op: int, dimension: Dimension, piece: int
) -> str:
    """The trend over the setup that a piece was made in, in a few words; "" when there is none.

    Values at 20 °C where temperatures were given. Loads neither numpy nor scipy.
    """
    found = dimension.requirement_at(op)
    if found is None or found.callout.attribute:
        return ""
    callout = found.callout
    begun = sorted({e.fact.piece for e in logbook.live(Setup, part=part.id, op=op)} | {1})
    end = min((b for b in begun if b > piece), default=None)
    read: dict[int, tuple[Decimal, Taken]] = {}
    steps: list[Decimal] = []
    instruments = {i.id: i for i in build.instruments}
    for entry in logbook.live(Reading, part=part.id, op=op, dimension=dimension.id):
        fact = entry.fact
        if end is not None and fact.piece >= end:
            continue
        used = instruments.get(fact.instrument or "")
        try:
            value = judge_value(
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
        read[fact.piece] = value, Taken(fact.instrument, entry.made, fact.temperature)
    setups = _setups(read, [b for b in begun if b <= piece])
    if not setups or len(setups[-1].pieces) < 3:
        return ""
    limits = callout.limits
    trend = study_setups(
        setups,
        planned=max(part.pieces[-1], *read),
        step=max(steps, default=None),
        lower=None if callout.kind in ZERO_BASED else limits.lower,
        upper=limits.upper,
        tolerance=limits.width,
        measures=dimension.measures,
        joint=False,
    )[-1]
    return glance(trend.drift, trend.forecast, step=max(steps, default=None))


def _setups(read: Mapping[int, tuple[Decimal, Taken]], begun: Sequence[int]) -> list[SetupReadings]:
    """The readings, setup by setup; the one that the piece was made in is the last."""
    found = []
    for first, end in zip(begun, [*begun[1:], None], strict=True):
        pieces = sorted(p for p in read if p >= first and (end is None or p < end))
        if not pieces:
            if end is None:
                return []
            continue
        found.append(
            SetupReadings(
                first,
                tuple(pieces),
                tuple(read[p][0] for p in pieces),
                conditions([read[p][1] for p in pieces]),
            )
        )
    return found
