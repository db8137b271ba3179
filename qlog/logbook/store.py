"""The store: append facts, read them back, never change one."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Any, TypeVar

from qlog.drawing.limits import without_zero
from qlog.frozen import frozen
from qlog.logbook.chain import entry_sum, tips
from qlog.logbook.facts import Entry, Fact, Reading
from qlog.logbook.log_file import FILE_NAME, LogbookError, begin, cause, survive_power_cuts
from qlog.logbook.opening import create, open_log
from qlog.logbook.queries import Queries, Since, may_stand
from qlog.problem import ToSay

__all__ = ["FILE_NAME", "Appended", "Conflict", "Logbook", "LogbookError", "Since", "create"]

F = TypeVar("F", bound=Fact)


class Conflict(LogbookError):
    """An entry with the same key and another value is there already."""

    def __init__(self, existing: Entry[Any], new: Fact) -> None:
        self.existing = existing
        self.new = new
        about = {"place": describe_key(new), "was": describe(existing.fact), "new": describe(new)}
        if isinstance(new, Reading):
            place = f"{new.part} {new.op} {new.dimension} {new.piece} {as_word(new.typed)}"
            super().__init__(ToSay("error.logged_already_correct", **about, correct=place))
        else:
            super().__init__(ToSay("error.logged_already", **about))


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
        number = without_zero(fact.value) if fact.unit == "in" else fact.value
        value = f"{number} {fact.unit}".rstrip()
        if fact.temperature is None:
            return value
        return ToSay("error.value_at", value=value, degrees=fact.temperature)
    values = (str(getattr(fact, name)) for name in fact.SAME)
    return " ".join(v for v in values if v) or "done"


def now_utc() -> str:
    """The present time in UTC as the logbook writes it."""
    return datetime.now(UTC).isoformat(timespec="microseconds")


#: SQLite counts its steps in such portions; an entry takes a few thousand steps.
_AT_ONCE, _STEPS = 10_000_000, 10


class Logbook(Queries):
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
        self._db, self.brought_up = open_log(path)
        self._db.execute("PRAGMA foreign_keys = ON")
        # A trigger of another program's may be without an end, and runs with every entry.
        self._steps_left: int | None = None
        self._db.set_progress_handler(self._stepped, _AT_ONCE)
        survive_power_cuts(self._db)

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
        _check_reason(1, supersedes, reason)
        with self._transaction():
            return self._append(fact, made, supersedes, reason, beside=beside)

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
        _check_reason(len(facts), supersedes, reason)
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
        self._renames = []
        try:
            yield
            self._db.execute("COMMIT")
        except BaseException as error:
            if self._db.in_transaction:  # SQLite has ended it itself when the disk is full
                self._db.execute("ROLLBACK")
            if isinstance(error, sqlite3.OperationalError):
                raise self._refused(error) from error
            raise
        finally:
            self._renames = self._steps_left = None

    def _refused(self, error: sqlite3.Error) -> LogbookError:
        """What kept an entry out of the file, and what to do."""
        return LogbookError(ToSay("error.nothing_entered", path=self.path, cause=cause(error)))

    def _stepped(self) -> bool:
        """Whether SQLite is to stop: an entry is being written, and has taken far too long.

        Reading is not counted: a long file told again reads for every line and enters nothing.
        """
        if self._steps_left is None:
            return False
        self._steps_left -= 1
        return self._steps_left < 0

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
            if existing is not None and not (beside and may_stand(fact, existing.fact)):
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
                raise LogbookError(ToSay("error.there_entry_correct", supersedes=supersedes))
            if row[1] is not None:
                raise LogbookError(
                    ToSay("error.entry_corrected_already", supersedes=supersedes, by=row[1])
                )
            if row[0] != fact.TABLE and not {row[0], fact.TABLE} <= {"reading", "gap"}:
                raise LogbookError(
                    ToSay(
                        "error.entry_cannot_be", supersedes=supersedes, old=row[0], new=fact.TABLE
                    )
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
        self._steps_left = _STEPS
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
        if self._renames and (supersedes is not None or kind in ("renamed", "remade")):
            self._renames.clear()
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
        self._steps_left = None
        return number, entered, made or entered

    def withdraw(self, entry_id: int, reason: str) -> None:
        """Take an entry back: a new entry of kind `withdrawn` supersedes it, with a reason."""
        if not reason.strip():
            raise LogbookError(ToSay("error.taking_entry_back"))
        with self._transaction():
            row = self._db.execute(
                "SELECT (SELECT min(id) FROM entry WHERE supersedes = e.id) FROM entry e "
                "WHERE id = ?",
                (entry_id,),
            ).fetchone()
            if row is None or row[0] is not None:
                raise LogbookError(ToSay("error.entry_there_replaced", entry_id=entry_id))
            self._enter("withdrawn", {}, None, entry_id, reason.strip())


def _check_reason(facts: int, supersedes: int | None, reason: str) -> None:
    """Refuse a correction without a reason, and one of several facts."""
    if supersedes is not None and (facts != 1 or not reason.strip()):
        raise LogbookError(ToSay("error.correction_replaces_one"))


def _known(db: sqlite3.Connection, revision: str) -> bool:
    found = db.execute("SELECT 1 FROM revision WHERE sha256 = ?", (revision,)).fetchone()
    return found is not None
