"""Undo: the last thing done at the bench is taken back, and what it replaced is in force again."""

from __future__ import annotations

from qlog.logbook.facts import Fact
from qlog.logbook.own_words import Own
from qlog.logbook.store import Appended, Logbook


def undo_entry(logbook: Logbook, entry: int, before: Fact | None) -> Appended[Fact] | None:
    """Take an entry back; where it had replaced another, what that said is entered again.

    The logbook keeps all of them, with the reason. Answers the entry made anew, if there is one.
    Raises LogbookError when the entry was replaced already.
    """
    if before is None:
        logbook.withdraw(entry, Own.UNDONE)
        return None
    return logbook.append(before, supersedes=entry, reason=Own.UNDONE)
