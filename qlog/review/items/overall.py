"""An overall size that was measured on a finished item, and the verdict on it."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from qlog.drawing.decimals import decimals_of, places_read
from qlog.drawing.plan import Build, Stack
from qlog.drawing.units import Unit, convert
from qlog.frozen import frozen
from qlog.logbook.facts import Entry, ItemSize
from qlog.review.instrument.experience import Experience
from qlog.review.instrument.judging import trust_of
from qlog.study.conformity.verdict import Judgement, judge


@frozen
class OverallSize:
    """What was measured over a whole item; without stack and verdict when the plan lost it."""

    entry: Entry[ItemSize]
    stack: Stack | None
    judgement: Judgement | None
    places: int  # decimals that it is shown with, in the unit in which it was measured

    @property
    def fact(self) -> ItemSize:
        """What was entered."""
        return self.entry.fact


def overall_sizes(
    build: Build, experience: Experience, sizes: Iterable[Entry[ItemSize]]
) -> tuple[OverallSize, ...]:
    """Every overall size that was entered, judged by its stack."""
    stacks = {stack.id: stack for stack in build.stacks}
    return tuple(
        OverallSize(
            entry,
            stack := stacks.get(entry.fact.stack),
            None if stack is None else judge_overall(build, experience, stack, entry.fact),
            places_overall(build, stack, entry.fact, Unit(entry.fact.unit)),
        )
        for entry in sizes
    )


def judge_overall(build: Build, experience: Experience, stack: Stack, size: ItemSize) -> Judgement:
    """Judge a measured overall size by the limits of its stack, with what is known of its gauge.

    Nothing is known of an item's own warmth or of the gauge's scatter on it: what checks and the
    plan say of the instrument counts, as for any place that was never studied.
    """
    limits = stack.callout.limits
    used = next((i for i in build.instruments if i.id == size.instrument), None)
    known = trust_of(used, limits.unit, experience.of(size.instrument, "", "", limits.unit))
    return judge(
        convert(Decimal(size.value), Unit(size.unit), limits.unit),
        limits,
        decision=build.decision,
        uncertainty=known.uncertainty,
        dof=known.dof,
    )


def places_overall(build: Build, stack: Stack | None, size: ItemSize, into: Unit) -> int:
    """Decimals that an overall size is shown with in a unit: those of any other reading."""
    value = Decimal(size.value)
    if stack is None:
        return decimals_of(value)
    used = next((i for i in build.instruments if i.id == size.instrument), None)
    step, unit = (None, None) if used is None else (used.step, used.unit)
    return places_read(stack.callout, into, value, Unit(size.unit), step, unit)
