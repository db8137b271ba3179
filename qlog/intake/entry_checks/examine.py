"""All checks of one reading, the most likely question first."""

from __future__ import annotations

from decimal import Decimal

from qlog.frozen import replace
from qlog.intake.entry_checks.questions import Check, Context, Question, Scope
from qlog.intake.entry_checks.slips import (
    burr,
    decimals_alone,
    direction,
    impossible,
    inch,
    other_dimension,
    slip,
    swap,
    turn,
)
from qlog.intake.entry_checks.surroundings import (
    coarse,
    finer_than_display,
    jaws,
    sealed,
    skipped,
    warm,
)
from qlog.intake.typed.parse import Typed

_OF_THE_TEXT = (
    decimals_alone, inch, slip, turn, swap, impossible,
)  # fmt: skip
_OF_THE_VALUE = (other_dimension, direction, burr)
_SETTINGS = (sealed, skipped, jaws, coarse, warm)


def examine(value: Typed | Decimal, context: Context) -> tuple[Question, ...]:
    """The questions that a reading raises, most likely first.

    A bare Decimal is taken in the unit of the callout. At most one question of scope `reading`
    is among them: where several mistakes would explain the reading, the likeliest is put. Ask
    the first only; those that are asked once come up again with the next reading until
    `Context.asked` says that they were answered. Raises ValueError when a typed value is of
    another kind of unit than the callout.
    """
    found: list[Question] = []
    if context.a_number:
        unit = context.callout.unit
        typed = value if isinstance(value, Typed) else Typed(f"{value:f}", value, unit)
        here = typed.to(unit)
        found += of_the_number(typed, here, context)
    for check in _SETTINGS:
        question = check(context)
        if question is None or question.check in context.asked:
            continue
        if not context.a_number and question.scope is not Scope.PIECE:
            continue
        if check is coarse and jaws(context) is not None:
            continue  # both say "another instrument": once is enough
        found.append(question)
    return tuple(replace(q, unit=context.callout.unit) for q in found)


def of_the_number(typed: Typed, value: Decimal, context: Context) -> list[Question]:
    """What there is to ask about the number itself, wherever it enters; `value` is `typed` here.

    Magnitude, decimal place, unit, sign and digits: at most one of scope `reading`.
    """
    likeliest = _likeliest(typed, value, context)
    finer = finer_than_display(typed, context)
    found = [] if likeliest is None else [likeliest]
    if finer is not None and finer.check not in context.asked:
        found.append(finer)
    return [replace(question, unit=context.callout.unit) for question in found]


def _likeliest(typed: Typed, value: Decimal, context: Context) -> Question | None:
    """The one question about the reading itself, if there is any.

    A mistake whose other value lies inside the limits explains the reading whole; then comes
    another dimension, then one whose other value would be out as well, then what finds the
    reading merely odd. Among equals the order is that of the narrower coincidence.
    """
    with_value = [q for check in _OF_THE_TEXT if (q := check(typed, value, context))]
    for question in with_value:
        if question.likely is not None and context.limits.contains(question.likely):
            return question
    of_value = [q for check in _OF_THE_VALUE if (q := check(value, context))]
    if of_value and of_value[0].check is Check.OTHER:
        return of_value[0]
    return next(iter(with_value + of_value), None)
