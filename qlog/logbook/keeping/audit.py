"""The log held against its own sums: what was altered, removed, put in another order or spoilt."""

from __future__ import annotations

import hashlib
import sqlite3
from collections.abc import Callable, Iterator, Mapping
from contextlib import closing
from datetime import datetime
from pathlib import Path
from typing import Any

from qlog.frozen import frozen
from qlog.logbook.chain import Head, entry_sum, joined, quoted
from qlog.logbook.log_file import UNREADABLE, connect
from qlog.problem import ToSay

#: Tells whether a typed text means the value kept beside it, in the unit: (typed, value, unit).
Means = Callable[[str, str, str, str], bool]

#: So many findings are named one by one; a log that is spoilt through and through has thousands.
_NAMED = 200


@frozen
class Damage:
    """Something missing or harmed: where, what, and what to do about it."""

    where: str
    what: str
    remedy: str


@frozen
class Audit:
    """What a look through the log found; `head` is that of the sums as they stand in the file."""

    head: Head
    photos: tuple[tuple[str, str, int], ...]  # SHA-256, name and size of every original entered
    damage: tuple[Damage, ...]
    remarks: tuple[str, ...]  # odd but harmless


def audit(path: Path, means: Means | None = None) -> Audit:
    """Look through a logbook of the present version; reads only, does not fail on what it finds."""
    with closing(connect(path)) as db:
        # Bytes that are no UTF-8 become a sign that no sum agrees with.
        db.text_factory = lambda raw: raw.decode("utf-8", "replace")
        return _Auditor(db, path.name, means).look()


class _Auditor:
    """One look through one log."""

    def __init__(self, db: sqlite3.Connection, name: str, means: Means | None) -> None:
        self._db = db
        self._name = name
        self._means = means
        self._found: list[Damage] = []
        self._remarks: list[str] = []
        self._expected: Mapping[str, str] = {}  # name of a table, index, trigger or view -> SQL
        self._sums: dict[int, str] = {}
        self._entered: set[tuple[str, str]] = set()  # drawing and time of entry
        self._seen: set[str] = set()  # sums so far
        self._named: set[str] = set()  # sums that others were made upon

    def look(self) -> Audit:
        """All checks, each going on past what the one before it found."""
        photos: list[tuple[str, str, int]] = []
        for step in (self._pages, self._schema, self._entries, self._revisions):
            try:
                step()
            except UNREADABLE as error:
                self._say(ToSay("error.cannot_be_read", error=error))
        try:
            photos = [
                (str(sha256), str(name), size)
                for sha256, name, size in self._db.execute(
                    "SELECT sha256, name, size FROM photo ORDER BY entry"
                )
            ]
        except UNREADABLE as error:
            self._say(ToSay("error.list_photos_cannot", error=error))
        if len(self._found) > _NAMED:
            more = len(self._found) - _NAMED
            del self._found[_NAMED:]
            self._say(ToSay("error.more_findings_like", more=more))
        tips = [s for s in self._sums.values() if s not in self._named]
        head = Head(len(self._sums), joined(tips))
        return Audit(head, tuple(photos), tuple(self._found), tuple(self._remarks))

    def _say(self, what: str) -> None:
        self._found.append(Damage(self._name, what, ToSay("error.restore_and_compare")))

    def _pages(self) -> None:
        for (answer,) in self._db.execute("PRAGMA integrity_check"):
            if answer != "ok":
                self._say(str(answer))
        for table, row, parent, _ in self._db.execute("PRAGMA foreign_key_check"):
            self._say(ToSay("error.row_points_row", table=table, row=row, parent=parent))

    def _schema(self) -> None:
        from qlog.logbook.migrations import expected_schema, schema_of  # slow to import

        self._expected = expected = expected_schema()
        found = dict(schema_of(self._db))
        for name, sql in expected.items():
            if name not in found:
                self._say(ToSay("error.log_lacks", what=name.partition(" of ")[0]))
            elif found[name] != sql:
                self._say(ToSay("error.log_table_changed", what=name.partition(" of ")[0]))
        for name in found.keys() - expected.keys():
            if name.startswith("trigger"):
                self._say(ToSay("error.log_strange_trigger", what=name.partition(" of ")[0]))
            else:
                self._remarks.append(ToSay("error.not_own", name=name.partition(" of ")[0]))

    def _entries(self) -> None:
        facts: dict[str, _Facts] = {}
        cursor = self._db.execute("SELECT * FROM entry ORDER BY id")
        names = [column[0] for column in cursor.description]
        number = 0
        for row in cursor:
            entry = dict(zip(names, row, strict=True))
            before_it, number = self._sums.get(number, ""), self._in_turn(entry["id"], number)
            kind = str(entry["kind"])
            fact: dict[str, Any] | None = {}
            if kind != "withdrawn":
                if kind not in facts:
                    facts[kind] = _Facts(self._db, kind, self._say)
                fact = facts[kind].of(number)
            if fact is None:
                self._say(ToSay("error.entry_empty", number=number, kind=kind))
            self._entry(entry, fact or {}, before_it)
        for rows in facts.values():
            rows.rest()
        self._strays(facts.keys())
        last = self._db.execute("SELECT seq FROM sqlite_sequence WHERE name = 'entry'").fetchall()
        if [s for (s,) in last] != ([number] if number else []):
            self._say(
                ToSay("error.counted_entries_holds", last=last[0][0] if last else 0, number=number)
            )

    def _in_turn(self, id: int, before: int) -> int:
        if id != before + 1:
            several = ToSay("error.entries_missing", first=before + 1, last=id - 1)
            one = ToSay("error.entry_missing", before=before + 1)
            self._say(one if id == before + 2 else several)
        return id

    def _strays(self, looked: Any) -> None:
        """Tables of facts of which no entry speaks must be empty."""
        for name in self._expected:
            kind = name.partition(" ")[2].partition(" ")[0]
            if name.startswith("table ") and kind not in {*looked, "entry", "revision"}:
                for (id,) in self._db.execute(f"SELECT entry FROM {quoted(kind)}"):
                    self._say(ToSay("error.row_unnamed", kind=kind, row=id))

    def _entry(self, entry: dict[str, Any], fact: dict[str, Any], before_it: str) -> None:
        id, kind = entry.pop("id"), entry["kind"]
        sum, upon = str(entry.pop("sum")), entry.pop("before")
        before = ([before_it] if before_it else []) if upon is None else str(upon).split()
        if any(s not in self._seen for s in before):
            self._say(ToSay("error.entry_made_upon", id=id))
        if entry["supersedes"] is not None:
            entry["supersedes"] = self._sums.get(entry["supersedes"], "gone")
        if entry_sum(before, entry, {n: v for n, v in fact.items() if n != "entry"}) != sum:
            self._say(ToSay("error.entry_entered", id=id, kind=kind))
        self._named.update(before)
        self._seen.add(sum)
        self._sums[id] = sum
        self._entered.add((str(entry["revision"]), str(entry["entered"])))
        for name in ("entered", "made"):
            if not is_time(str(entry[name])):
                self._say(ToSay("error.entry_time", id=id, kind=kind, entry=entry[name]))
        names = ("typed", "value", "unit", "what")
        typed, value, unit, what = (str(fact.get(n, "")) for n in names)
        if self._means is not None and typed and not self._means(typed, value, unit, what):
            self._say(
                ToSay(
                    "error.entry_typed_kept", id=id, kind=kind, typed=typed, value=value, unit=unit
                )
            )

    def _revisions(self) -> None:
        for sha256, first_used, source in self._db.execute("SELECT * FROM revision"):
            if hashlib.sha256(str(source).encode()).hexdigest() != sha256:
                self._say(ToSay("error.stored_drawing_does", sha256=str(sha256)[:12]))
            elif (sha256, first_used) not in self._entered:
                self._say(ToSay("error.stored_drawing_entry", sha256=sha256[:12]))


class _Facts:
    """The facts of one kind in order of entry, asked for one after the other."""

    def __init__(self, db: sqlite3.Connection, kind: str, say: Callable[[str], None]) -> None:
        self._kind = kind
        self._say = say
        self._next: dict[str, Any] | None = None
        self._names: list[str] = []
        self._rows: Iterator[tuple[Any, ...]] = iter(())
        try:
            cursor = db.execute(f"SELECT * FROM {quoted(kind)} ORDER BY entry")
            self._names = [column[0] for column in cursor.description]
            self._rows = cursor
        except UNREADABLE as error:
            say(ToSay("error.table_some_entries", kind=kind, error=error))
        self._step()

    def _step(self) -> None:
        row = next(self._rows, None)
        self._next = None if row is None else dict(zip(self._names, row, strict=True))

    def of(self, id: int) -> dict[str, Any] | None:
        """The fact of an entry; those before it that no entry named are said."""
        while self._next is not None and self._next["entry"] < id:
            self._say(ToSay("error.row_unnamed", kind=self._kind, row=self._next["entry"]))
            self._step()
        fact = self._next
        if fact is None or fact["entry"] != id:
            return None
        self._step()
        return fact

    def rest(self) -> None:
        """Say what is left when there is no further entry."""
        while self._next is not None:
            self.of(self._next["entry"] + 1)


def is_time(text: str) -> bool:
    """Whether a text is a time as the logbook writes it: ISO 8601 with its offset."""
    try:
        return datetime.fromisoformat(text).tzinfo is not None
    except ValueError:
        return False
