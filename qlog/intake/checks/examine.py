"""All checks of one reading, the most likely question first."""

from __future__ import annotations

from decimal import Decimal
from itertools import chain, islice

from qlog.intake.checks import mistakes, setting
from qlog.intake.checks.context import Context, Question, Scope
from qlog.intake.typed import Typed

# A mistake that explains the whole reading comes before one that merely finds it odd; among
# those that explain it, the order is that of the narrower coincidence.
_OF_THE_TEXT = (mistakes.inch, mistakes.slip, mistakes.turn, mistakes.swap)
_OF_THE_VALUE = (mistakes.other_dimension, mistakes.direction, mistakes.burr)
_SETTINGS = (setting.sealed, setting.skipped, setting.jaws, setting.coarse, setting.warm)


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
        questions = chain(
            (mistake(typed, here, context) for mistake in _OF_THE_TEXT),
            (mistake(here, context) for mistake in _OF_THE_VALUE),
        )
        found += islice((q for q in questions if q is not None), 1)
    for check in _SETTINGS:
        question = check(context)
        if question is None or question.check in context.asked:
            continue
        if not context.a_number and question.scope is not Scope.PIECE:
            continue
        if check is setting.coarse and setting.jaws(context) is not None:
            continue  # both say "another instrument": once is enough
        found.append(question)
    return tuple(found)
