"""Backup: a consistent copy of the logbook beside it, made with SQLite's own backup."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path


def copy_log(path: Path, *, reason: str = "", now: datetime | None = None) -> Path:
    """Copy a logbook to `backup/logbook-TIME[-reason].db` beside it and return the copy's path.

    The copy is checked before it is named: it is written aside and renamed. Raises OSError when
    none can be made.
    """
    stamp = (now or datetime.now(UTC)).strftime("%Y%m%dT%H%M%SZ")
    folder = path.parent / "backup"
    folder.mkdir(exist_ok=True)
    name = f"{path.stem}-{stamp}" + (f"-{reason}" if reason else "")
    target = folder / f"{name}.db"
    count = 2
    while target.exists():
        target = folder / f"{name}-{count}.db"
        count += 1
    aside = target.with_suffix(".part")
    try:
        with closing(sqlite3.connect(path)) as source, closing(sqlite3.connect(aside)) as copy:
            source.backup(copy)
            answer = copy.execute("PRAGMA integrity_check").fetchone()[0]
    except sqlite3.Error as error:
        answer = str(error)
    if answer != "ok":
        aside.unlink(missing_ok=True)
        raise OSError(f"no sound copy of {path} could be made ({answer}); check the disk")
    aside.replace(target)
    return target
