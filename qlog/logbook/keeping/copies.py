"""Copies of the log, consistent while it is in use, and of files; checked, whole or not at all."""

from __future__ import annotations

import hashlib
import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

from qlog.logbook.log_file import cause, connect
from qlog.logbook.photos import originals
from qlog.problem import ToSay
from qlog.writing import alone_in, own_folder, sync_file, sync_folder, whole_file


def copy_log(path: Path, *, reason: str = "", now: datetime | None = None) -> Path:
    """Copy a logbook to `backup/logbook-TIME[-reason].db` beside it and return the copy's path.

    The copy is checked before it is named: it is written aside, synced and renamed. Raises
    OSError when none can be made, Problem where `backup` is a link.
    """
    stamp = (now or datetime.now(UTC)).strftime("%Y%m%dT%H%M%SZ")
    folder = own_folder(path.parent, "backup")
    folder.mkdir(exist_ok=True)
    name = f"{path.stem}-{stamp}" + (f"-{reason}" if reason else "")
    with alone_in(folder):
        for left in folder.glob("*.part*"):  # by a process that was killed
            left.unlink(missing_ok=True)
        target = folder / f"{name}.db"
        count = 2
        while target.exists():
            target = folder / f"{name}-{count}.db"
            count += 1
        snapshot(path, target)
    return target


def snapshot(path: Path, target: Path) -> None:
    """A consistent copy of a log that may be in use, whole or not at all. Raises OSError."""
    aside = target.with_suffix(".part")
    try:
        for left in (aside, aside.with_name(f"{aside.name}-journal")):
            left.unlink(missing_ok=True)
        with closing(connect(path)) as source, closing(sqlite3.connect(aside)) as copy:
            source.backup(copy)
            answer = copy.execute("PRAGMA integrity_check").fetchone()[0]
    except sqlite3.Error as error:
        answer = ToSay("error.of_log", log=ToSay("error.the_logbook"), cause=cause(error))
    if answer != "ok":
        aside.unlink(missing_ok=True)
        raise OSError(ToSay("error.sound_copy_could", path=path, answer=answer))
    try:
        sync_file(aside)
        aside.replace(target)
    except OSError:
        aside.unlink(missing_ok=True)
        raise
    sync_folder(target.parent)


def copy_file(source: Path, target: Path) -> None:
    """Copy another file of a build, whole or not at all, in pieces, and read it again.

    Raises OSError when it cannot be copied or reads otherwise.
    """
    target.parent.mkdir(parents=True, exist_ok=True)
    running = hashlib.sha256()
    with source.open("rb") as file, whole_file(target) as out:
        while piece := file.read(originals.CHUNK):
            running.update(piece)
            out.write(piece)
    if originals.digest(target) != running.hexdigest():
        raise OSError(ToSay("error.copy_reads_otherwise", file=target))
