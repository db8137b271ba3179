"""Two logbooks of one build made one: what each lacks is taken over, in one order for both.

The sum of an entry names it in every copy. The log is written anew with all entries of both in an
order that depends on nothing but the entries: each after those it was made upon, else by time of
entry. Whichever computer merges first, both end with the same log.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Mapping
from contextlib import closing
from heapq import heapify, heappop, heappush
from pathlib import Path

from qlog.frozen import frozen
from qlog.logbook.chain import Columns, quoted
from qlog.logbook.facts import FACTS, Entry, Fact
from qlog.logbook.keeping.audit import audit
from qlog.logbook.keeping.copies import copy_log, snapshot
from qlog.logbook.log_file import FILE_NAME, LogbookError, cause, connect
from qlog.logbook.opening import check_version, create
from qlog.logbook.photos import originals
from qlog.logbook.store import Logbook
from qlog.problem import ToSay
from qlog.writing import alone_in, sync_file, sync_folder


@frozen
class Clash:
    """Two live entries at one place that say different things."""

    first: Entry[Fact]
    second: Entry[Fact]


@frozen
class Merged:
    """What a merge took over."""

    entries: int
    photos: int
    backup: Path | None  # copy of the log as it was; None when nothing was missing


@frozen
class _Saved:
    """One entry as it stands in a file, with sums in place of numbers."""

    sum: str
    before: tuple[str, ...]
    supersedes: str | None
    fields: Mapping[str, object]  # of the row in `entry`, numbers and sums left out
    fact: Mapping[str, object]


def other_log(path: Path) -> Path:
    """The logbook that a path names: the file, or the one in a build's folder.

    Raises LogbookError when there is none.
    """
    found = path / FILE_NAME if path.is_dir() else path
    if not found.is_file():
        raise LogbookError(ToSay("error.there_name_other", found=found))
    return found


def merge(ours: Path, other: Path, scratch: Path) -> Merged:
    """Take over what `ours` lacks of `other`, which is only read; `scratch` is an empty folder.

    The originals of photos come along and are checked; a copy of the log as it was is kept in
    `backup`. Raises LogbookError when `other` is no sound logbook, belongs to another build, or
    lacks an original; nothing is changed then. Merging again takes over nothing.
    """
    theirs = readable(other, scratch)
    with alone_in(ours.parent), closing(connect(ours)) as db:
        mine = _saved(db)
        with closing(connect(theirs)) as db_other:
            found = _saved(db_other)
            drawings = _drawings(db) + _drawings(db_other)
        missing = {sum: entry for sum, entry in found.items() if sum not in mine}
        _refuse_another(db, mine, found, drawings, other)
        photos = _photos(ours.parent, other, missing.values())
        if not missing:
            return Merged(0, 0, None)
        aside = scratch / "merged.db"
        create(aside)
        _write(aside, _in_order(mine | found), drawings)
        damage = audit(aside).damage
        if damage:
            raise LogbookError(ToSay("error.merged_log_sound", what=damage[0].what))
        try:
            db.execute("BEGIN IMMEDIATE")
            if len(_saved(db)) != len(mine):
                raise LogbookError(ToSay("error.something_entered_meantime"))
            kept = copy_log(ours, reason="before-merge")
            for sha256, source in photos:
                originals.keep(ours.parent, source, sha256)
        except sqlite3.Error as error:
            raise LogbookError(
                ToSay("error.nothing_merged", ours=ours, cause=cause(error))
            ) from error
        beside = ours.with_name(f".{ours.name}-merged.part")
        snapshot(aside, beside)
        db.execute("ROLLBACK")
    sync_file(beside)
    beside.replace(ours)
    sync_folder(ours.parent)
    return Merged(len(missing), len(photos), kept)


def readable(other: Path, scratch: Path) -> Path:
    """A copy of the other log, brought to the present version and checked; it is only read.

    `scratch` is an empty folder. Raises LogbookError.
    """
    copy = scratch / FILE_NAME
    try:
        snapshot(other, copy)
    except OSError as error:
        raise LogbookError(
            ToSay("error.cannot_be_read_nothing", other=other, error=error)
        ) from error
    check_version(copy)
    damage = audit(copy).damage
    if damage:
        raise LogbookError(ToSay("error.sound_nothing_changed", other=other, what=damage[0].what))
    return copy


def _saved(db: sqlite3.Connection) -> dict[str, _Saved]:
    """Every entry of a log by its sum."""
    columns = Columns(db)
    cursor = db.execute("SELECT * FROM entry ORDER BY id")
    names = [column[0] for column in cursor.description]
    sums: dict[int, str] = {}
    found: dict[str, _Saved] = {}
    last = ""
    for row in cursor.fetchall():
        fields = dict(zip(names, row, strict=True))
        id, sum, before = fields.pop("id"), fields.pop("sum"), fields.pop("before")
        replaced = fields.pop("supersedes")
        upon = ([last] if last else []) if before is None else before.split()
        found[sum] = _Saved(
            sum, tuple(upon), None if replaced is None else sums[replaced], fields,
            columns.fact(fields["kind"], id),
        )  # fmt: skip
        sums[id] = last = sum
    return found


def _drawings(db: sqlite3.Connection) -> list[tuple[str, str, str]]:
    return list(db.execute("SELECT sha256, first_used, source FROM revision"))


def _refuse_another(
    db: sqlite3.Connection,
    mine: Mapping[str, _Saved],
    theirs: Mapping[str, _Saved],
    drawings: list[tuple[str, str, str]],
    other: Path,
) -> None:
    ours = {sha256 for sha256, _, _ in _drawings(db)}
    shared = [d for d, _, _ in drawings if d in ours]
    if mine and theirs and not mine.keys() & theirs.keys() and len(shared) == len(ours):
        raise LogbookError(ToSay("error.belongs_another_build", other=other))


def _photos(folder: Path, other: Path, missing: Iterable[_Saved]) -> list[tuple[str, Path]]:
    """Originals to copy: sum and file. Raises LogbookError when one is nowhere, or is harmed."""
    found: list[tuple[str, Path]] = []
    for entry in missing:
        if entry.fields["kind"] != "photo":
            continue
        sha256, name = str(entry.fact["sha256"]), str(entry.fact["name"])
        if originals.find(folder, sha256) is not None:
            continue
        source = originals.find(other.parent, sha256)
        if source is None or originals.digest(source) != sha256:
            what = ToSay("error.is_not_there" if source is None else "error.is_harmed")
            raise LogbookError(
                ToSay(
                    "error.original_copy_whole",
                    name=name,
                    what=what,
                    parent=other.parent / originals.FOLDER,
                )
            )
        found.append((sha256, source))
    return found


def _in_order(entries: Mapping[str, _Saved]) -> list[_Saved]:
    """All entries, each after those it was made upon and what it replaces; else by time, sum."""
    waits = {
        s: {b for b in (*e.before, e.supersedes) if b is not None and b in entries}
        for s, e in entries.items()
    }
    after: dict[str, list[str]] = {}
    for sum, upon in waits.items():
        for earlier in upon:
            after.setdefault(earlier, []).append(sum)
    ready = [(str(entries[s].fields["entered"]), s) for s, upon in waits.items() if not upon]
    heapify(ready)
    order: list[_Saved] = []
    while ready:
        _, sum = heappop(ready)
        order.append(entries[sum])
        for later in after.get(sum, ()):
            waits[later].discard(sum)
            if not waits[later]:
                heappush(ready, (str(entries[later].fields["entered"]), later))
    return order


def _write(path: Path, order: list[_Saved], drawings: list[tuple[str, str, str]]) -> None:
    first: dict[str, tuple[str, str, str]] = {}
    for drawing in drawings:
        if drawing[0] not in first or drawing[1] < first[drawing[0]][1]:
            first[drawing[0]] = drawing
    numbers: dict[str, int] = {}
    with closing(connect(path)) as db:
        db.execute("BEGIN IMMEDIATE")
        for drawing in sorted(first.values(), key=lambda d: (d[1], d[0])):
            db.execute("INSERT INTO revision VALUES (?, ?, ?)", drawing)
        for number, entry in enumerate(order, start=1):
            numbers[entry.sum] = number
            replaced = None if entry.supersedes is None else numbers[entry.supersedes]
            row = {"id": number, **entry.fields, "supersedes": replaced, "sum": entry.sum,
                   "before": " ".join(entry.before)}  # fmt: skip
            _insert(db, "entry", row)
            if entry.fact:
                _insert(db, str(entry.fields["kind"]), {"entry": number, **entry.fact})
        db.execute("COMMIT")


def _insert(db: sqlite3.Connection, table: str, row: Mapping[str, object]) -> None:
    names = ", ".join(quoted(name) for name in row)
    marks = ", ".join("?" * len(row))
    db.execute(f"INSERT INTO {quoted(table)} ({names}) VALUES ({marks})", tuple(row.values()))


def clashes(log: Logbook) -> tuple[list[Clash], list[Entry[Fact]]]:
    """Places with two live entries: those that differ, and the later ones that say the same.

    Readings by different instruments may stand beside each other and are in neither.
    """
    differ: list[Clash] = []
    same: list[Entry[Fact]] = []
    for kind in FACTS:
        if not kind.KEY:
            continue
        first: dict[tuple[object, ...], Entry[Fact]] = {}
        for entry in log.live(kind):
            key = entry.fact.key()
            by = kind.BESIDE
            if by:
                key = (*key, getattr(entry.fact, by))
            before = first.setdefault(key, entry)
            if before is entry:
                continue
            if all(getattr(before.fact, n) == getattr(entry.fact, n) for n in kind.SAME):
                same.append(entry)
            else:
                differ.append(Clash(before, entry))
    return differ, same
