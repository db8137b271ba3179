"""Entries made by mistake: listed, and taken back with a reason; nothing is ever deleted."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from qlog.logbook import facts
from qlog.logbook.facts import Entry, Fact
from qlog.logbook.own_words import Own
from qlog.logbook.store import Appended, Logbook
from qlog.problem import Problem, ToSay

#: What can be taken back. A photo is put elsewhere instead, or shown to nobody.
KINDS: tuple[type[Fact], ...] = (
    facts.Reading, facts.Gap, facts.Start, facts.Done, facts.Setup, facts.Disposition, facts.Note,
    facts.GaugeCheck, facts.Trial, facts.Shipment, facts.Assembly, facts.ItemSize,
    facts.KeptMatch, facts.Remade, facts.Said, facts.Setting,
)  # fmt: skip


def newest(logbook: Logbook, most: int) -> list[Entry[Fact]]:
    """The entries made last that hold and can be taken back, newest first."""
    return sorted(_live(logbook).values(), key=lambda e: -e.id)[:most]


def take_back(logbook: Logbook, numbers: Sequence[int], why: str) -> list[Entry[Fact]]:
    """Take entries back, all of them or none; each stays in the logbook with the reason.

    Raises Problem without a reason, for a number that is no such entry, and for pieces sent out
    that have come back: their return goes first.
    """
    if not why.strip():
        raise Problem(ToSay("error.taking_entry_back_needs"))
    live = _live(logbook)
    if strange := [n for n in numbers if n not in live]:
        raise Problem(ToSay("error.there_entry_take", strange=strange[0]))
    taken = [live[n] for n in dict.fromkeys(numbers)]
    back = {
        (e.fact.parcel, e.fact.piece)
        for e in live.values()
        if isinstance(e.fact, facts.Shipment) and e.fact.direction == "back" and e not in taken
    }
    for entry in taken:
        fact = entry.fact
        if isinstance(fact, facts.Shipment) and (fact.parcel, fact.piece) in back:
            raise Problem(ToSay("error.come_back_take", part=fact.part, piece=fact.piece))
    for entry in taken:
        if isinstance(entry.fact, facts.Remade) and (since := _of_new_piece(live, taken, entry)):
            raise Problem(
                ToSay(
                    "error.worked_since_made",
                    part=entry.fact.part,
                    piece=entry.fact.piece,
                    names=", ".join(map(str, since)),
                )
            )
    with logbook.together():
        for entry in taken:
            logbook.withdraw(entry.id, why)
    return taken


def _of_new_piece(
    live: dict[int, Entry[Fact]],
    taken: Sequence[Entry[Fact]],
    remade: Entry[Any],
) -> list[int]:
    """What stands of a piece since it was made anew, and is not taken back with it."""
    of = (remade.fact.part, remade.fact.piece)
    return [
        e.id
        for e in live.values()
        if e.id > remade.id
        and e not in taken
        and (getattr(e.fact, "part", None), getattr(e.fact, "piece", None)) == of
    ]


def _live(logbook: Logbook) -> dict[int, Entry[Fact]]:
    """What holds, but for what was logged of a piece before it was made anew."""
    return {
        entry.id: entry
        for kind in KINDS
        for entry in logbook.live(kind)
        if (getattr(entry.fact, "piece", None) or 0) >= 0
    }


def undo_entry(logbook: Logbook, entry: int, before: Fact | None) -> Appended[Fact] | None:
    """Take an entry back; where it had replaced another, what that said is entered again.

    The logbook keeps all of them, with the reason. Answers the entry made anew, if there is one.
    Raises LogbookError when the entry was replaced already.
    """
    if before is None:
        logbook.withdraw(entry, Own.UNDONE)
        return None
    return logbook.append(before, supersedes=entry, reason=Own.UNDONE)
