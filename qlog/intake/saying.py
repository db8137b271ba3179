"""What the maker decides in a rehearsal, entered: approved, changed or hidden, and taken anew."""

from __future__ import annotations

from collections.abc import Sequence

from qlog.logbook.facts import Said
from qlog.logbook.own_words import Own
from qlog.logbook.store import Logbook


def enter(logbook: Logbook, decisions: Sequence[Said]) -> int:
    """Enter decisions, all of them or none; returns how many are new.

    One that is there already changes nothing; another about the same line replaces the earlier
    one, which stays in the logbook.
    """
    new = 0
    with logbook.together():
        for said in decisions:
            old = logbook.find(said)
            if old is not None and old.fact == said:
                continue
            if old is None:
                logbook.append(said)
            else:
                logbook.append(said, supersedes=old.id, reason=Own.REHEARSED)
            new += 1
    return new
