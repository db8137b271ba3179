"""The store: append facts, read them back, never change one."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any, TypeVar

from qlog.frozen import frozen
from qlog.logbook.chain import Head, entry_sum, head, tips
from qlog.logbook.facts import Entry, Fact, Reading
from qlog.logbook.log_file import FILE_NAME, LogbookError, begin, cause, connect
from qlog.logbook.opening import check_version, create

if TYPE_CHECKING:
    from qlog.logbook.renames import Renames

__all__ = ["FILE_NAME", "Appended", "Conflict", "Logbook", "LogbookError", "create"]

F = TypeVar("F", bound=Fact)


class Conflict(LogbookError):
    """An entry with the same key and another value is there already."""

    def __init__(self, existing: Entry[Any], new: Fact) -> None:
        self.existing = existing
        self.new = new
        super().__init__(
            f"{describe_key(new)} is logged already as {describe(existing.fact)}, not "
            f"{describe(new)}{self._remedy(new)}"
        )

    @staticmethod
    def _remedy(new: Fact) -> str:
        if not isinstance(new, Reading):
            return ""
        where = f"{new.part} {new.op} {new.dimension} {new.piece}"
        return f"; if this is right: `qlog correct {where} {as_word(new.typed)} --why ...`"


@frozen
class Since:
    """What was entered after some entry; `last` is the number of the newest."""

    last: int
    superseded: tuple[int, ...]
    entries: tuple[Entry[Any], ...]


@frozen
class Appended(Entry[F]):
    """What `append` answers: the entry, and whether it is new or was there already."""

    new: bool = True


def as_word(text: str) -> str:
    """A text as one word of a command line, in the double quotes that every shell knows."""
    if text and not any(sign in text for sign in " \"'&|;<>()"):
        return text
    escaped = text.replace('"', '\\"')
    return f'"{escaped}"'


def describe_key(fact: Fact) -> str:
    """The key of a fact in words: `part cup, op 20, dimension bore, piece 3`."""
    return ", ".join(f"{n} {v}" for n, v in zip(fact.KEY, fact.key(), strict=True))


def describe(fact: Fact) -> str:
    """What a fact says besides its key."""
    if isinstance(fact, Reading):
        value = f"{fact.value} {fact.unit}".rstrip()
        return value if fact.temperature is None else f"{value} at {fact.temperature} °C"
    values = (str(getattr(fact, name)) for name in fact.SAME)
    return " ".join(v for v in values if v) or "done"


def _may_stand(fact: Fact, other: Fact) -> bool:
    """Whether a fact may stand beside another one of the same key."""
    by = fact.BESIDE
    return bool(by) and getattr(fact, by) != getattr(other, by)


def now_utc() -> str:
    """The present time in UTC as the logbook writes it."""
    return datetime.now(UTC).isoformat(timespec="microseconds")


class Logbook:
    """An open logbook; use as a context manager.

    `revision` and `source` are the SHA-256 and the text of the build.toml in force; they are
    recorded with the first entry made under them; `person` is who enters. `brought_up` says what
    was done with a file of an older version, else it is empty. Raises LogbookError when the file
    is missing, is no logbook, or was written by a newer qlog.
    """

    def __init__(
        self, path: Path, *, revision: str | None = None, source: str = "", person: str = ""
    ) -> None:
        self.path = path
        self.person = person.strip() or None
        self.revision = revision
        self.source = source
        self._within = False
        # Known within one transaction, in which nobody else writes.
        self._upon: list[str] | None = None
        self._drawing_kept = False
        self.brought_up = check_version(path)
        self._db = connect(path)
        self._db.execute("PRAGMA foreign_keys = ON")
        # An acknowledged entry must survive a power cut: sync the file and its folder.
        self._db.execute("PRAGMA synchronous = EXTRA")

    def __enter__(self) -> Logbook:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the file."""
        self._db.close()

    def append(
        self,
        fact: F,
        *,
        made: str | None = None,
        supersedes: int | None = None,
        reason: str = "",
        beside: bool = False,
    ) -> Appended[F]:
        """Append one fact; see `append_all`.

        With `beside` a fact may stand beside a live one of the same key that differs from it in
        its `BESIDE` field: a place is read with a second instrument, and both readings stay.
        """
        if not beside:
            return self.append_all([fact], made=made, supersedes=supersedes, reason=reason)[0]
        with self._transaction():
            return self._append(fact, made, supersedes, reason, beside=True)

    def append_all(
        self,
        facts: Sequence[F],
        *,
        made: str | Sequence[str | None] | None = None,
        supersedes: int | None = None,
        reason: str = "",
    ) -> list[Appended[F]]:
        """Append facts in one transaction: all of them or none.

        The same fact told twice is answered with the entry that is there. `supersedes` names the
        entry that the (single) fact replaces and needs a reason. `made` is the time of making,
        ISO 8601 with offset, one for all or one each; now when absent. Raises Conflict when a
        live entry with the same key says something else.
        """
        if supersedes is not None and (len(facts) != 1 or not reason.strip()):
            raise LogbookError("a correction replaces one entry and needs a reason")
        times = [made] * len(facts) if made is None or isinstance(made, str) else list(made)
        appended: list[Appended[F]] = []
        with self._transaction():
            for fact, time in zip(facts, times, strict=True):
                appended.append(self._append(fact, time, supersedes, reason))
        return appended

    @contextmanager
    def together(self) -> Iterator[None]:
        """All that is entered within is committed at the end, or nothing of it is.

        Nothing entered within may be acknowledged to anybody before the end.
        """
        with self._transaction():
            before, self._within = self._within, True
            try:
                yield
            finally:
                self._within = before

    @contextmanager
    def _transaction(self) -> Iterator[None]:
        if self._within:
            yield
            return
        self._upon, self._drawing_kept = None, False
        try:
            begin(self._db)
        except sqlite3.OperationalError as error:
            raise self._refused(error) from error
        try:
            yield
            self._db.execute("COMMIT")
        except BaseException as error:
            if self._db.in_transaction:  # SQLite has ended it itself when the disk is full
                self._db.execute("ROLLBACK")
            if isinstance(error, sqlite3.OperationalError):
                raise self._refused(error) from error
            raise

    def _refused(self, error: sqlite3.Error) -> LogbookError:
        """What kept an entry out of the file, and what to do."""
        return LogbookError(f"nothing was entered: {self.path} {cause(error)}")

    def _append(
        self,
        fact: F,
        made: str | None,
        supersedes: int | None,
        reason: str,
        *,
        beside: bool = False,
    ) -> Appended[F]:
        if supersedes is None:
            existing = self.find(fact)
            if existing is not None and not (beside and _may_stand(fact, existing.fact)):
                same = all(getattr(existing.fact, n) == getattr(fact, n) for n in fact.SAME)
                if not same:
                    raise Conflict(existing, fact)
                return Appended(
                    existing.id, existing.fact, existing.entered, existing.made,
                    existing.revision, existing.supersedes, existing.reason, None, new=False,
                )  # fmt: skip
        else:
            row = self._db.execute(
                "SELECT kind, (SELECT min(id) FROM entry WHERE supersedes = e.id) FROM entry e "
                "WHERE id = ?",
                (supersedes,),
            ).fetchone()
            if row is None:
                raise LogbookError(f"there is no entry {supersedes} to correct")
            if row[1] is not None:
                raise LogbookError(
                    f"entry {supersedes} was corrected already by entry {row[1]}; correct that one"
                )
            if row[0] != fact.TABLE and not {row[0], fact.TABLE} <= {"reading", "gap"}:
                raise LogbookError(
                    f"entry {supersedes} is a {row[0]} and cannot be replaced by a {fact.TABLE}"
                )
        fields = {name: getattr(fact, name) for name in fact.columns()}
        number, entered, made = self._enter(fact.TABLE, fields, made, supersedes, reason.strip())
        return Appended(number, fact, entered, made, self.revision, supersedes, reason.strip())

    def _enter(
        self,
        kind: str,
        fact: dict[str, object],
        made: str | None,
        supersedes: int | None,
        reason: str,
    ) -> tuple[int, str, str]:
        """Write one entry with its sum: its number, and when it was entered and made."""
        db = self._db
        entered = now_utc()
        # An entry taken back needs no drawing.
        revision = self.revision if fact else None
        if revision is not None and not self._drawing_kept:
            if not _known(db, revision):
                db.execute(
                    "INSERT INTO revision VALUES (?, ?, ?)", (revision, entered, self.source)
                )
            self._drawing_kept = True
        replaced = None
        if supersedes is not None:
            replaced = db.execute("SELECT sum FROM entry WHERE id = ?", (supersedes,)).fetchone()[0]
        upon = tips(db) if self._upon is None else self._upon
        said = {
            "kind": kind, "entered": entered, "made": made or entered, "revision": revision,
            "supersedes": replaced, "reason": reason, "person": self.person,
        }  # fmt: skip
        # One tip is the entry with the number before; several are named, after a merge.
        before = " ".join(upon) if len(upon) > 1 else None
        sum = entry_sum(upon, said, fact)
        self._upon = [sum]
        number = db.execute(
            "INSERT INTO entry (kind, entered, made, revision, supersedes, reason, sum, before, "
            "person) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
            (kind, entered, said["made"], revision, supersedes, reason,
             sum, before, self.person),
        ).lastrowid  # fmt: skip
        assert number is not None
        if fact:
            marks = ", ".join("?" * (len(fact) + 1))
            db.execute(
                f"INSERT INTO {kind} (entry, {', '.join(fact)}) VALUES ({marks})",
                (number, *fact.values()),
            )
        return number, entered, made or entered

    def find(self, fact: F) -> Entry[F] | None:
        """The live entry with the same key as this fact, if there is one.

        Of several that stand beside each other: the one that this fact does not differ from in
        its `BESIDE` field, else the newest.
        """
        if not fact.KEY:
            return None
        rows = self._select(type(fact), dict(zip(fact.KEY, fact.key(), strict=True)), live=True)
        like = [row for row in rows if len(rows) > 1 and not _may_stand(fact, row.fact)]
        return (like or rows)[-1] if rows else None

    def live(self, kind: type[F], **where: object) -> list[Entry[F]]:
        """Entries of a kind that nothing supersedes, in order of entry.

        Keyword arguments narrow by the fact's own fields: `live(Reading, part="cup")`.
        """
        return self._select(kind, where, live=True)

    def history(self, kind: type[F], **where: object) -> list[Entry[F]]:
        """Entries of a kind, superseded ones included, in order of entry."""
        return self._select(kind, where, live=False)

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

    def renames(self) -> Renames | None:
        """What is called otherwise since, and which pieces were made anew; None where nothing is.

        Whoever reads entries gets them by the names of now: all of them are read here.
        """
        found = self._db.execute(
            "SELECT e.id, f.what, f.part, f.old, f.new FROM renamed f "
            "JOIN entry e ON e.id = f.entry "
            "WHERE NOT EXISTS (SELECT 1 FROM entry s WHERE s.supersedes = e.id) "
            "UNION ALL SELECT e.id, 'piece', f.part, f.piece, NULL FROM remade f "
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
        columns = kind.columns()
        replaced = "SELECT {} FROM entry s WHERE s.supersedes = e.id"
        if live:
            clauses.append(f"NOT EXISTS ({replaced.format(1)})")
        by = "NULL" if live else f"({replaced.format('min(s.id)')})"
        sql = (
            f"SELECT e.id, e.entered, e.made, e.revision, e.supersedes, e.reason, {by}, "
            + ", ".join(f"f.{name}" for name in columns)
            + f" FROM {kind.TABLE} f JOIN entry e ON e.id = f.entry"
            + (f" WHERE {' AND '.join(clauses)}" if clauses else "")
            # The same number as e.id; by that one SQLite would walk all entries for a few.
            + " ORDER BY f.entry"
        )
        found = [
            Entry(row[0], kind(*row[7:]), row[1], row[2], row[3], row[4], row[5], row[6])
            for row in self._db.execute(sql, values)
        ]
        return found if renames is None else renames.now(found, where)

    def withdraw(self, entry_id: int, reason: str) -> None:
        """Take an entry back: a new entry of kind `withdrawn` supersedes it, with a reason."""
        if not reason.strip():
            raise LogbookError("taking an entry back needs a reason")
        with self._transaction():
            row = self._db.execute(
                "SELECT (SELECT min(id) FROM entry WHERE supersedes = e.id) FROM entry e "
                "WHERE id = ?",
                (entry_id,),
            ).fetchone()
            if row is None or row[0] is not None:
                raise LogbookError(f"entry {entry_id} is not there or was replaced already")
            self._enter("withdrawn", {}, None, entry_id, reason.strip())

    def revisions(self) -> list[tuple[str, str, str]]:
        """Recorded revisions of build.toml, oldest first: (sha256, first used, source)."""
        return list(
            self._db.execute("SELECT sha256, first_used, source FROM revision ORDER BY rowid")
        )

    def people(self) -> dict[int, str]:
        """Who made an entry, by its number; entries of which nobody said it are left out."""
        rows = self._db.execute("SELECT id, person FROM entry WHERE person IS NOT NULL")
        return {int(id): str(person) for id, person in rows}

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


def _known(db: sqlite3.Connection, revision: str) -> bool:
    found = db.execute("SELECT 1 FROM revision WHERE sha256 = ?", (revision,)).fetchone()
    return found is not None
