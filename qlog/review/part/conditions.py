"""How readings were taken, beside what they say: by what, on which day, in which sitting."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta
from decimal import Decimal, InvalidOperation
from functools import cached_property
from typing import TYPE_CHECKING, overload

from qlog.frozen import frozen
from qlog.review.moments import moment
from qlog.study.drift.coincidence import Conditions

if TYPE_CHECKING:
    from qlog.review.views import ReadingView

#: A pause this long begins a new sitting: the instrument was put down and zeroed anew.
PAUSE = timedelta(hours=1)


@frozen
class TakenUnder:
    """What the log holds on how a reading was taken; times ISO 8601, temperatures in Celsius."""

    instrument: str | None
    made: str
    temperature: str | None
    person: str = ""


class ConditionsOf(Sequence[Conditions]):
    """The conditions of readings, worked out when they are looked at: only an alarm asks."""

    def __init__(self, readings: Sequence[ReadingView]) -> None:
        self._readings = readings

    def __len__(self) -> int:
        return len(self._readings)

    @overload
    def __getitem__(self, index: int) -> Conditions: ...
    @overload
    def __getitem__(self, index: slice) -> Sequence[Conditions]: ...
    def __getitem__(self, index: int | slice) -> Conditions | Sequence[Conditions]:
        return self._known[index]

    @cached_property
    def _known(self) -> tuple[Conditions, ...]:
        return conditions(
            [TakenUnder(r.instrument, r.made, r.temperature, r.person) for r in self._readings]
        )


def conditions(taken: Sequence[TakenUnder]) -> tuple[Conditions, ...]:
    """The conditions of readings, in their order; sittings are counted in the order of time."""
    times = [moment(t.made) for t in taken]
    in_time = sorted(range(len(taken)), key=lambda i: times[i])
    sitting: dict[int, int] = {}
    number, before = 1, None
    for i in in_time:
        if before is not None and times[i] - before > PAUSE:
            number += 1
        sitting[i], before = number, times[i]
    return tuple(
        Conditions(
            instrument=t.instrument,
            person=t.person or None,
            temperature=_degrees(t.temperature),
            sitting=sitting[i],
            day=t.made[:10],
        )
        for i, t in enumerate(taken)
    )


def _degrees(text: str | None) -> Decimal | None:
    try:
        return None if text is None else Decimal(text)
    except InvalidOperation:
        return None
