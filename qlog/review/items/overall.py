"""The verdict on an overall size that was measured on a finished item."""

from __future__ import annotations

from decimal import Decimal

from qlog.drawing.plan import Build, Stack
from qlog.drawing.units import Unit, convert
from qlog.logbook.facts import ItemSize
from qlog.logbook.store import Logbook
from qlog.review.instrument.experience import experience_with
from qlog.review.instrument.judging import trust_of
from qlog.study.conformity.verdict import Judgement, judge


def judge_overall(build: Build, logbook: Logbook, stack: Stack, size: ItemSize) -> Judgement:
    """Judge a measured overall size by the limits of its stack, with what is known of its gauge.

    Nothing is known of an item's own warmth or of the gauge's scatter on it: what checks and the
    plan say of the instrument counts, as for any place that was never studied.
    """
    limits = stack.callout.limits
    used = next((i for i in build.instruments if i.id == size.instrument), None)
    shown = experience_with(build, logbook, size.instrument, "", "").of(
        size.instrument, "", "", limits.unit
    )
    known = trust_of(used, limits.unit, shown)
    return judge(
        convert(Decimal(size.value), Unit(size.unit), limits.unit),
        limits,
        decision=build.decision,
        uncertainty=known.uncertainty,
        dof=known.dof,
    )
