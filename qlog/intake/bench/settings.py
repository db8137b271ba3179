"""What an operation was set to, logged from one piece on; a slip is put right by saying it anew."""

from __future__ import annotations

from collections.abc import Sequence

from qlog.drawing.plan import Part
from qlog.frozen import frozen
from qlog.intake.typed.set_values import SetValue
from qlog.logbook.facts import Setting
from qlog.logbook.own_words import Own
from qlog.logbook.part_log import PartLog
from qlog.logbook.store import Appended, Logbook
from qlog.problem import Problem, ToSay


@frozen
class SetDown:
    """One thing set down; `before` is what held until then, None when nothing did."""

    fact: Setting
    before: Setting | None
    new: bool  # False when it was set to that already
    entered: tuple[tuple[Appended[Setting], Setting | None], ...] = ()  # and what each replaced


def first_to_make(log: PartLog, op: int) -> tuple[int, int | None]:
    """The first piece that has not had the operation, and the next one behind it that has.

    A piece made anew in between is made with what is set today, those behind it were not. Raises
    Problem when every piece has had it.
    """
    part = log.part
    open_ = [
        p for p in log.pieces
        if p not in log.scrapped and (op, p) not in log.done and part.takes(op, p)
    ]  # fmt: skip
    if not open_:
        raise Problem(ToSay("error.every_piece_had", part=part.id, op=op))
    first = open_[0]
    return first, min((p for o, p in log.done if o == op and p > first), default=None)


def set_down(
    logbook: Logbook,
    part: Part,
    op: int,
    values: Sequence[SetValue],
    *,
    first: int | None = None,
    made: str | None = None,
) -> tuple[SetDown, ...]:
    """Log what an operation is set to from piece `first` on, all of it or nothing.

    Without `first` it holds for the pieces that are still to be made. What was said of the same
    piece before is replaced, with a reason of our own; what holds already is not logged twice.
    An empty value ends what holds. Raises Problem when there is nothing to end.
    """
    log = PartLog.read(logbook, part)
    until = None
    if first is None:
        first, until = first_to_make(log, op)
    held = {n: e.fact for n, e in log.settings(op, first).items()}
    after = {} if until is None else {n: e.fact for n, e in log.settings(op, until).items()}
    done: list[SetDown] = []
    with logbook.together():
        for one in values:
            before = held.get(one.what)
            if before is None and not one.value:
                raise Problem(
                    ToSay("error.set_nothing_end", what=one.what, piece=part.named(first))
                )
            fact = Setting(part.id, op, first, one.what, one.typed, one.value, one.unit)
            if before is not None and (before.value, before.unit) == (one.value, one.unit):
                done.append(SetDown(before, before, new=False))
                continue
            entered = _enter(logbook, fact, made)
            if until is not None:
                entered += _enter(logbook, _again(after.get(one.what), fact, until), made)
            done.append(SetDown(fact, before, new=True, entered=entered))
    return tuple(done)


def _again(held: Setting | None, fact: Setting, piece: int) -> Setting:
    """What holds from a piece on that was made before, said of it: it stays so."""
    typed, value, unit = ("", "", "") if held is None else (held.typed, held.value, held.unit)
    return Setting(fact.part, fact.op, piece, fact.what, typed, value, unit)


def _enter(
    logbook: Logbook, fact: Setting, made: str | None
) -> tuple[tuple[Appended[Setting], Setting | None], ...]:
    """Enter a setting, and answer it with what it replaced; nothing where that is set already."""
    there = logbook.find(fact)
    if there is None:
        return ((logbook.append(fact, made=made), None),)
    if (there.fact.value, there.fact.unit) == (fact.value, fact.unit):
        return ()
    entry = logbook.append(fact, made=made, supersedes=there.id, reason=Own.SET_ANEW)
    return ((entry, there.fact),)
