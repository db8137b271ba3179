"""The chain: every entry's SHA-256 over what it says and over the sums of what it was made upon.

The sum is an entry's name in every copy of the logbook: it holds no number of a row. Two logbooks
that met hold the same set of sums, whatever the order in which they met, and thus the same head.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Mapping, Sequence

from qlog.frozen import frozen
from qlog.problem import ToSay
from qlog.sha256 import sha256


@frozen
class Head:
    """What a logbook comes to: how many entries, and one sum that depends on all of them."""

    entries: int
    sum: str  # SHA-256, hexadecimal; "" of an empty logbook


def entry_sum(
    before: Iterable[str], entry: Mapping[str, object], fact: Mapping[str, object]
) -> str:
    """SHA-256 of an entry made upon entries with the sums `before`, hexadecimal.

    `entry` holds the fields of its row in `entry` besides id, sum and before, with the sum of what
    it supersedes in place of the number; `fact` those of its row in the table of its kind. One
    line a field in order of their names: name, length in bytes of UTF-8, text. A field that is
    None is left out.
    """
    lines = [f"before {sum}\n" for sum in sorted(before)]
    for where, fields in (("entry", entry), ("fact", fact)):
        for name, value in sorted(fields.items()):
            if value is not None:
                text = str(value)
                size = len(text) if text.isascii() else len(text.encode())
                lines.append(f"{where}.{name} {size} {text}\n")
    return sha256("".join(lines).encode()).hexdigest()


def joined(tips: Sequence[str]) -> str:
    """One sum for the newest entries of a logbook, in whatever order they came."""
    if len(tips) <= 1:
        return "".join(tips)
    return sha256("".join(f"{tip}\n" for tip in sorted(tips)).encode()).hexdigest()


def tips(db: sqlite3.Connection) -> list[str]:
    """Sums of the entries that no other was made upon: one, or several after a merge.

    An entry whose `before` is NULL was made when the one with the id before it was the only tip:
    what lies before it need not be looked at.
    """
    found: list[str] = []
    named: set[str] = set()
    for sum, before in db.execute("SELECT sum, before FROM entry ORDER BY id DESC"):
        if sum not in named:
            found.append(sum)
        if before is None:
            break
        named.update(before.split())
    return sorted(found)


def head(db: sqlite3.Connection) -> Head:
    """The head of the logbook that is open."""
    count = db.execute("SELECT count(*) FROM entry").fetchone()[0]
    return Head(int(count), joined(tips(db)))


def quoted(name: str) -> str:
    """A name as SQL takes it, whatever is in it."""
    return '"' + name.replace('"', '""') + '"'


class Columns:
    """Facts read from any table of them by column name, as the sums need them."""

    def __init__(self, db: sqlite3.Connection) -> None:
        self._db = db

    def fact(self, kind: str, id: int) -> dict[str, object]:
        """The fields of an entry's fact; empty for one taken back. Raises ValueError, sqlite3's."""
        if kind == "withdrawn":
            return {}
        cursor = self._db.execute(f"SELECT * FROM {quoted(kind)} WHERE entry = ?", (id,))
        names = [column[0] for column in cursor.description]
        row = cursor.fetchone()
        if row is None:
            raise ValueError(ToSay("error.entry_empty", number=id, kind=kind))
        return {name: v for name, v in zip(names, row, strict=True) if name != "entry"}
