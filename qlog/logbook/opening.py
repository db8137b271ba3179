"""How a logbook is made, and how one of an older version is brought up."""

from __future__ import annotations

import os
import sqlite3
from pathlib import Path

from qlog.logbook.log_file import UNREADABLE, LogbookError, cause, connect, survive_power_cuts
from qlog.logbook.schema import APPLICATION_ID, VERSION
from qlog.problem import ToSay


def create(path: Path) -> None:
    """Make an empty logbook, whole or not at all. Raises LogbookError when the file exists."""
    if os.path.lexists(path):
        raise LogbookError(ToSay("error.exists_already_logbook", path=path))
    from qlog.writing import alone_in, sync_folder

    with alone_in(path.parent):
        for left in path.parent.glob(f".{path.name}-*.part*"):  # by a process that was killed
            left.unlink(missing_ok=True)
        _make(path, path.with_name(f".{path.name}-{os.getpid()}.part"))
    sync_folder(path.parent)


def _make(path: Path, aside: Path) -> None:
    from qlog.writing import sync_file

    try:
        _migrate(aside, kept=False)
        sync_file(aside)
        if os.name == "nt":
            aside.rename(path)  # refuses what is there already
        else:
            path.hardlink_to(aside)
    except sqlite3.Error as error:
        raise LogbookError(ToSay("error.of_log", log=path, cause=cause(error))) from error
    except FileExistsError as error:
        raise LogbookError(ToSay("error.exists_already_logbook", path=path)) from error
    finally:
        aside.unlink(missing_ok=True)


def _migrate(path: Path, *, kept: bool = True) -> int:
    """Bring the file to the newest tables, one transaction a migration; the version it had.

    `kept` syncs each: a file that nobody has yet is synced once, by whoever gives it its name.
    """
    from qlog.logbook.migrations import migrate

    db = connect(path)
    try:
        if kept:
            survive_power_cuts(db)
        else:
            db.execute("PRAGMA synchronous = OFF")
        return migrate(db)
    finally:
        db.close()


def check_version(path: Path) -> str:
    """Refuse what is no logbook or a newer one, and bring an older one up, after a backup.

    Answers what was done in words, "" when nothing was. Raises LogbookError.
    """
    db, brought_up = open_log(path)
    db.close()
    return brought_up


def open_log(path: Path) -> tuple[sqlite3.Connection, str]:
    """A logbook of this version, opened, and what `check_version` answers. Raises as that does.

    What is checked is what is used: SQLite reads all tables of a file that is opened, which is a
    thirtieth of the time of one reading, and would be twice that.
    """
    if not path.exists():
        raise LogbookError(ToSay("error.logbook_qlog_new", path=path, parent=path.parent))
    try:
        # Opened for writing: after a kill SQLite has to roll the unfinished entry back first.
        db = connect(path)
        try:
            application = db.execute("PRAGMA application_id").fetchone()[0]
            version = db.execute("PRAGMA user_version").fetchone()[0]
            if (application, version) == (APPLICATION_ID, VERSION):
                return db, ""
            newer = application == APPLICATION_ID and version > VERSION
            needed = _needed(db) if newer else ""
        except BaseException:
            db.close()
            raise
        db.close()
    except UNREADABLE as error:
        raise LogbookError(ToSay("error.of_log", log=path, cause=cause(error))) from error
    if application != APPLICATION_ID:
        raise LogbookError(ToSay("error.qlog_logbook_nothing", path=path))
    if newer:
        raise LogbookError(
            ToSay(
                "error.written_newer_qlog",
                path=path,
                version=version,
                known=VERSION,
                needed=needed or ToSay("error.newest_version"),
            )
        )
    brought_up = _bring_up(path, version)
    return connect(path), brought_up


def _needed(db: sqlite3.Connection) -> str:
    """The version of qlog that a newer logbook names for reading it; "" when it names none."""
    db.set_progress_handler(lambda: True, 1_000_000)  # what stands there may have no end
    try:
        said = str(db.execute("SELECT qlog FROM needs").fetchone()[0])
    except (*UNREADABLE, TypeError):
        return ""
    return (
        ToSay("error.or_later", version=said)
        if said.replace(".", "").isalnum() and len(said) < 20
        else ""
    )


def _bring_up(path: Path, version: int) -> str:
    from qlog.logbook.keeping.copies import copy_log

    kept = copy_log(path, reason=f"before-version-{VERSION}")
    try:
        _migrate(path)
    except (sqlite3.Error, ValueError, KeyError, TypeError) as error:
        raise LogbookError(
            ToSay(
                "error.log_not_brought_up", path=path, version=version, newest=VERSION, error=error
            )
        ) from error
    key = "error.brought_up_summed" if version < 2 else "error.brought_up"
    return ToSay(key, name=path.name, version=version, now=VERSION, kept=kept)
