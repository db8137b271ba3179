"""What a phone sends: entered once, however often it comes, and taken back by its name.

Sender and logbook may lose each other at any moment, so the sender names everything before it
sends it, and sends it again until it has an answer. The name is entered with the act, in one
transaction: an act whose name is there was done, and is not done twice.
"""

from __future__ import annotations

from collections.abc import Callable

from qlog.intake.bench.take_back import KINDS, undo_entry
from qlog.intake.photos.taking import withdrawn
from qlog.logbook.facts import Entry, Fact, Placement, Sent
from qlog.logbook.own_words import Own
from qlog.logbook.store import Logbook
from qlog.problem import Problem, ToSay

#: Reasons with which a reading, a setting or a photo's place takes the place of another.
_REPLACED = (Own.READ_AGAIN, Own.SET_ANEW, Own.TAKEN_AGAIN)


def known(logbook: Logbook, name: str) -> Entry[Sent] | None:
    """What was entered under that name, None when it never came."""
    return logbook.find(Sent(name, "", 0))


def enter_once(logbook: Logbook, name: str, act: str, do: Callable[[], object]) -> bool:
    """Do something and enter its name with it, all or nothing; False when it was done before.

    What `do` raises passes through, and nothing is entered then.
    """
    with logbook.together():
        if known(logbook, name) is not None:
            return False
        before = logbook.last_entry()
        do()
        remember(logbook, name, act, logbook.last_entry() - before)
    return True


def remember(logbook: Logbook, name: str, act: str, entries: int) -> None:
    """Enter the name of what has just brought so many entries, in the same transaction."""
    logbook.append(Sent(name, act, entries))


def take_back_sent(logbook: Logbook, name: str) -> list[Fact]:
    """Take back what came under a name; what it had replaced is in force again.

    Answers what was taken back; nothing when it never came or brought nothing. Raises Problem when
    it was changed since.
    """
    sent = known(logbook, name)
    if sent is None or sent.fact.entries == 0:
        return []
    first = sent.id - sent.fact.entries
    own = [e for e in logbook.since(first - 1, (*KINDS, Placement)).entries if e.id < sent.id]
    taken: list[Fact] = []
    with logbook.together():
        for entry in sorted(own, key=lambda e: -e.id):
            kind: type[Fact] = type(entry.fact)
            history = {e.id: e for e in logbook.history(kind)}
            if history[entry.id].superseded_by is not None:
                raise Problem(ToSay("error.changed_since_then"))
            before: Fact | None = None
            if isinstance(entry.fact, Placement):
                before = withdrawn(entry.fact)
            if entry.supersedes is not None and entry.reason in _REPLACED:
                before = history[entry.supersedes].fact
            undo_entry(logbook, entry.id, before)
            taken.append(entry.fact)
    return taken
