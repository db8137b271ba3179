"""How readings were taken, beside what they say: by what, on which day, in which sitting."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta
from decimal import Decimal, InvalidOperation

from qlog.frozen import frozen
from qlog.review.moments import moment
from qlog.study.drift.coincidence import Conditions

#: A pause this long begins a new sitting: the instrument was put down and zeroed anew.
PAUSE = timedelta(hours=1)


@frozen
class TakenUnder:
    """What the log holds on how a reading was taken; times ISO 8601, temperatures in Celsius."""

    instrument: str | None
    made: str
    temperature: str | None
    person: str = ""


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
