"""Whether what moved is how the pieces were read and not the pieces: sitting, instrument, day.

Readings of one sitting share an error, and so do readings of one instrument, one person, one day
and one temperature. Where levels of their own for these explain what was found, it is said to be
that, and never called wear.
"""

from __future__ import annotations

import math
from collections.abc import Hashable, Sequence
from decimal import Decimal
from enum import StrEnum

from qlog.frozen import frozen
from qlog.study.distributions import t_both_tails

#: A movement that goes on inside the groups at this level is not explained by them.
INSIDE = 0.005
#: Temperatures within so many degrees count as one.
DEGREES = 2


class ChangeBeside(StrEnum):
    """What changed from one reading to the next, beside the piece."""

    INSTRUMENT = "instrument"
    PERSON = "person"
    TEMPERATURE = "temperature"
    SITTING = "sitting"
    DAY = "day"


@frozen
class Conditions:
    """How one reading was taken; None where it is not known. The temperature in degrees Celsius."""

    instrument: str | None = None
    person: str | None = None
    temperature: Decimal | None = None
    sitting: int | None = None
    day: str | None = None


@frozen
class Coincidence:
    """What a movement coincides with, and the first pieces read after each change of it."""

    change: ChangeBeside
    pieces: tuple[int, ...]


def coincidence(
    order: Sequence[int],
    values: Sequence[float],
    conditions: Sequence[Conditions],
    movements: Sequence[Sequence[float]],
) -> Coincidence | None:
    """What explains the readings as well as a movement over the pieces does, if anything.

    Each kind of condition that groups the readings gives every group a level of its own; the
    `movements` (regressors over the pieces) are tested inside the groups, each at INSIDE, by
    Student's t (analysis of covariance: Draper and Smith, Applied Regression Analysis, chapter
    14 on dummy variables). The kind with the fewest groups is told first. Kinds with fewer than
    three readings a group on average are left alone: they would explain anything.
    """
    found: list[tuple[int, Coincidence]] = []
    for change in ChangeBeside:
        labels = [_label(change, c) for c in conditions]
        if any(label is None for label in labels):
            continue
        groups = len(set(labels))
        if not 2 <= groups <= len(values) / 3:
            continue
        inside = _about_groups(values, labels)
        if any(_moves(inside, _about_groups(m, labels), m, groups) for m in movements):
            continue
        starts = tuple(
            piece for piece, here, before in zip(order[1:], labels[1:], labels, strict=False)
            if here != before
        )  # fmt: skip
        found.append((groups, Coincidence(change, starts)))
    return min(found, key=lambda pair: pair[0])[1] if found else None


def _label(change: ChangeBeside, conditions: Conditions) -> Hashable:
    if change is ChangeBeside.TEMPERATURE:
        t = conditions.temperature
        return None if t is None else round(t / DEGREES)
    known: Hashable = getattr(conditions, change.value)
    return known


def _about_groups(values: Sequence[float], labels: Sequence[Hashable]) -> list[float]:
    sums: dict[Hashable, tuple[float, int]] = {}
    for value, label in zip(values, labels, strict=True):
        total, count = sums.get(label, (0.0, 0))
        sums[label] = total + (value - values[0]), count + 1
    return [
        value - values[0] - sums[label][0] / sums[label][1]
        for value, label in zip(values, labels, strict=True)
    ]


def _moves(
    inside: Sequence[float], movement: Sequence[float], whole: Sequence[float], groups: int
) -> bool:
    vv = math.fsum(v * v for v in movement)
    mean = math.fsum(whole) / len(whole)
    df = len(inside) - groups - 1
    if vv <= 1e-9 * math.fsum((v - mean) ** 2 for v in whole) or df < 1:
        return False
    vy = math.fsum(v * y for v, y in zip(movement, inside, strict=True))
    about = math.fsum(y * y for y in inside) - vy * vy / vv
    if about <= 0:
        return vy != 0
    return t_both_tails(vy / math.sqrt(vv * about / df), df) < INSIDE
