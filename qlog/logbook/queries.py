"""What an open logbook is asked: entries by kind, what was entered since, revisions, the head."""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import TYPE_CHECKING, Any, TypeVar

from qlog.frozen import frozen
from qlog.logbook.chain import Head, head
from qlog.logbook.facts import Entry, Fact

if TYPE_CHECKING:
    from qlog.logbook.renames import Renames

F = TypeVar("F", bound=Fact)


@frozen
class Since:
    """What was entered after some entry; `last` is the number of the newest."""

    last: int
    superseded: tuple[int, ...]
    entries: tuple[Entry[Any], ...]


def may_stand(fact: Fact, other: Fact) -> bool:
    """Whether a fact may stand beside another one of the same key."""
    by = fact.BESIDE
    return bool(by) and getattr(fact, by) != getattr(other, by)


@lru_cache(maxsize=256)
def _sql(table: str, columns: tuple[str, ...], clauses: tuple[str, ...], live: bool) -> str:
    """What asks for entries of a kind; a file of readings asks the same for each of its lines."""
    replaced = "SELECT {} FROM entry s WHERE s.supersedes = e.id"
    if live:
        clauses = (*clauses, f"NOT EXISTS ({replaced.format(1)})")
    by = "NULL" if live else f"({replaced.format('min(s.id)')})"
    return (
        f"SELECT e.id, e.entered, e.made, e.revision, e.supersedes, e.reason, {by}, e.person, "
        + ", ".join(f"f.{name}" for name in columns)
        + f" FROM {table} f JOIN entry e ON e.id = f.entry"
        + (f" WHERE {' AND '.join(clauses)}" if clauses else "")
        # The same number as e.id; by that one SQLite would walk all entries for a few.
        + " ORDER BY f.entry"
    )


class Queries:
    """Reads of a logbook; nothing here writes."""

    _db: sqlite3.Connection
    #: What is called otherwise, once it was read within a transaction; None outside of one.
    _renames: list[Renames | None] | None = None

    def find(self, fact: F) -> Entry[F] | None:
        """The live entry with the same key as this fact, if there is one.

        Of several that stand beside each other: the one that this fact does not differ from in
        its `BESIDE` field, else the newest.
        """
        if not fact.KEY:
            return None
        rows = self._select(type(fact), dict(zip(fact.KEY, fact.key(), strict=True)), live=True)
        like = [row for row in rows if len(rows) > 1 and not may_stand(fact, row.fact)]
        return (like or rows)[-1] if rows else None

    def live(self, kind: type[F], **where: object) -> list[Entry[F]]:
        """Entries of a kind that nothing supersedes, in order of entry.

        Keyword arguments narrow by the fact's own fields: `live(Reading, part="cup")`.
        """
        return self._select(kind, where, live=True)

    def history(self, kind: type[F], **where: object) -> list[Entry[F]]:
        """Entries of a kind, superseded ones included, in order of entry."""
        return self._select(kind, where, live=False)

    def among(self, kinds: Sequence[type[Fact]]) -> list[type[Fact]]:
        """Those of some kinds of which there is any entry: a part's log asks for these alone."""
        any_of = ", ".join(f"EXISTS (SELECT 1 FROM {kind.TABLE})" for kind in kinds)
        there = self._db.execute(f"SELECT {any_of}").fetchone()
        return [kind for kind, found in zip(kinds, there, strict=True) if found]

    def since(self, after: int, kinds: Sequence[type[Fact]], **where: object) -> Since:
        """What was entered after an entry, of some kinds; `where` narrows by fields they all have.

        `superseded` names what the new entries replaced or took back, of whatever kind.
        """
        rows = self._db.execute(
            "SELECT id, kind, supersedes FROM entry WHERE id > ? ORDER BY id", (after,)
        ).fetchall()
        if not rows:
            return Since(after, (), ())
        last = rows[-1][0]
        tables = {row[1] for row in rows}
        entries = [
            entry
            for kind in kinds
            if kind.TABLE in tables
            for entry in self._select(kind, where, live=False, between=(after, last))
        ]
        replaced = tuple(row[2] for row in rows if row[2] is not None)
        return Since(last, replaced, tuple(entries))

    def last_entry(self) -> int:
        """Number of the newest entry, 0 in an empty logbook."""
        return int(self._db.execute("SELECT coalesce(max(id), 0) FROM entry").fetchone()[0])

    def last_entered(self) -> str | None:
        """When the newest entry was entered (UTC, ISO 8601); None in an empty logbook."""
        found = self._db.execute("SELECT max(entered) FROM entry").fetchone()[0]
        return None if found is None else str(found)

    def renames(self) -> Renames | None:
        """What is called otherwise since, and which pieces were made anew; None where nothing is.

        Whoever reads entries gets them by the names of now: all of them are read here, once in a
        transaction, in which nobody else writes.
        """
        if self._renames is None:
            return self._read_renames()
        if not self._renames:
            self._renames.append(self._read_renames())
        return self._renames[0]

    def _read_renames(self) -> Renames | None:
        found = self._db.execute(
            # By e.id, the same number, SQLite would walk all entries for the few of these kinds.
            "SELECT f.entry, f.what, f.part, f.old, f.new FROM renamed f "
            "JOIN entry e ON e.id = f.entry "
            "WHERE NOT EXISTS (SELECT 1 FROM entry s WHERE s.supersedes = e.id) "
            "UNION ALL SELECT f.entry, 'piece', f.part, f.piece, NULL FROM remade f "
            "JOIN entry e ON e.id = f.entry "
            "WHERE NOT EXISTS (SELECT 1 FROM entry s WHERE s.supersedes = e.id) ORDER BY 1"
        ).fetchall()
        if not found:
            return None
        from qlog.logbook.renames import Renames

        return Renames(tuple(found))

    def _select(
        self,
        kind: type[F],
        where: Mapping[str, object],
        *,
        live: bool,
        between: tuple[int, int] | None = None,
    ) -> list[Entry[F]]:
        """Entries of a kind whose fields are as `where` says, under the names of now.

        `between` narrows to entries after the one number, up to the other.
        """
        renames = self.renames()
        clauses = [] if between is None else ["e.id > ?", "e.id <= ?"]
        values: list[object] = [] if between is None else list(between)
        for name, value in where.items():
            asked = [value] if renames is None else renames.once(kind, name, value)
            if asked is None:
                continue
            clauses.append(f"(f.{name} IS ?{f' OR f.{name} IS ?' * (len(asked) - 1)})")
            values += asked
        sql = _sql(kind.TABLE, kind.columns(), tuple(clauses), live)
        found = []
        drawing = None  # one text for all that were made under it
        same: dict[Any, Any] = {}  # and one for all that name one part, value, instrument
        share = same.setdefault
        for id, at, made, revision, supersedes, reason, by, person, *own in self._db.execute(
            sql, values
        ):
            if revision != drawing:
                drawing = revision
            if made == at:
                made = at
            fact = kind(*[share(value, value) for value in own])
            who = share(person, person) or ""
            found.append(Entry(id, fact, at, made, drawing, supersedes, reason, by, who))
        return found if renames is None else renames.now(found, where)

    def revisions(self) -> list[tuple[str, str, str]]:
        """Recorded revisions of build.toml, oldest first: (sha256, first used, source)."""
        return list(
            self._db.execute("SELECT sha256, first_used, source FROM revision ORDER BY rowid")
        )

    def people(self) -> dict[str, int]:
        """Who entered how many entries, by name; under "" those of which nobody said it."""
        rows = self._db.execute(
            "SELECT coalesce(person, ''), count(*) FROM entry GROUP BY 1 ORDER BY min(id)"
        )
        return {str(person): int(count) for person, count in rows}

    def withdrawn(self) -> dict[int, tuple[str, str]]:
        """Entries that were taken back, by number: when (UTC) and why."""
        rows = self._db.execute(
            "SELECT supersedes, entered, reason FROM entry WHERE kind = 'withdrawn'"
        )
        return {int(id): (str(entered), str(reason)) for id, entered, reason in rows}

    def count(self) -> int:
        """How many entries the logbook holds, of all kinds, superseded ones included."""
        return int(self._db.execute("SELECT count(*) FROM entry").fetchone()[0])

    def head(self) -> Head:
        """How many entries there are, and the one sum that depends on all of them."""
        return head(self._db)

    def last_revision(self) -> tuple[str, str] | None:
        """The build.toml that the newest entry was made under: (sha256, source)."""
        row = self._db.execute(
            "SELECT r.sha256, r.source FROM entry e JOIN revision r ON r.sha256 = e.revision "
            "ORDER BY e.id DESC LIMIT 1"
        ).fetchone()
        return None if row is None else (row[0], row[1])
