"""The log's file: its name, how it is connected to, and a word for each reason why it cannot be."""

from __future__ import annotations

import sqlite3
import time
from pathlib import Path

from qlog.logbook.schema import TABLES
from qlog.problem import Problem, ToSay

FILE_NAME = "logbook.db"

#: Seconds to wait for another process that is entering something.
WAIT = 10.0

#: How an entry is committed: an acknowledged one must survive a power cut.
SYNCHRONOUS = "EXTRA"

#: What Python raises for a file that SQLite cannot make sense of; some of its own messages then
#: hold bytes that are no text.
UNREADABLE = (sqlite3.Error, UnicodeDecodeError)


#: The file itself, which may be a link, and what SQLite makes beside it.
_OF_SQLITE = ("", "-journal", "-wal", "-shm")

_OTHERS = (
    f"SELECT name FROM sqlite_master WHERE lower(name) IN ({', '.join('?' * len(TABLES))}) "
    "AND (type = 'view' OR sql LIKE 'CREATE VIRTUAL%')"
)


class LogbookError(Problem):
    """The logbook cannot be used as asked; the message says what, where and what to do."""


class NotPlain(sqlite3.DatabaseError):
    """A pipe, device or link stands beside a log where SQLite keeps files of its own."""


class NoTable(sqlite3.DatabaseError):
    """Something else stands in the place of a table of a log; its name is the argument."""


def connect(path: Path) -> sqlite3.Connection:
    """The file opened for reading and writing, in autocommit mode.

    Raises NotPlain and NoTable where SQLite would wait for ever or write elsewhere: for a pipe or a
    link in the place of a file of its own, and for a view without an end in the place of a table
    of ours. It cannot be stopped meanwhile. Raises sqlite3.Error.
    """
    for ending in _OF_SQLITE:
        beside = path.with_name(path.name + ending)
        if (ending and beside.is_symlink()) or (beside.exists() and not beside.is_file()):
            raise NotPlain(beside.name)
    db = sqlite3.connect(path, isolation_level=None, timeout=0)
    try:
        rows = db.execute(_OTHERS, TABLES).fetchall()
    except UNREADABLE:
        rows = []  # what is read next says why it cannot be
    if rows:
        db.close()
        raise NoTable(rows[0][0])
    db.execute(f"PRAGMA busy_timeout = {int(WAIT * 1000)}")
    return db


def survive_power_cuts(db: sqlite3.Connection) -> None:
    """What is acknowledged from here on is synced first, the file and its folder."""
    db.execute(f"PRAGMA synchronous = {SYNCHRONOUS}")


def begin(db: sqlite3.Connection) -> None:
    """Begin writing once nobody else does. Raises sqlite3.OperationalError after WAIT seconds.

    SQLite's own wait asks ten times a second at last: beside programs that write without a pause
    it may never get its turn. Asked every few milliseconds, all of them do.
    """
    until = time.monotonic() + WAIT
    db.execute("PRAGMA busy_timeout = 0")
    try:
        while True:
            try:
                db.execute("BEGIN IMMEDIATE")
                return
            except sqlite3.OperationalError as error:
                if error.sqlite_errorcode & 0xFF != sqlite3.SQLITE_BUSY or time.monotonic() > until:
                    raise
            time.sleep(0.002)
    finally:
        # Reading, and the end of the writing, wait for each other as SQLite does it.
        db.execute(f"PRAGMA busy_timeout = {int(WAIT * 1000)}")


def cause(error: Exception) -> str:
    """Why SQLite could not do it, and what to do, to be put behind the name of the file."""
    if isinstance(error, NotPlain):
        return ToSay("error.log_not_plain", name=error.args[0])
    if isinstance(error, NoTable):
        return ToSay("error.log_no_table", name=error.args[0])
    code = getattr(error, "sqlite_errorcode", 0)
    if isinstance(error, UnicodeDecodeError):
        code = sqlite3.SQLITE_CORRUPT
    if code == sqlite3.SQLITE_READONLY_DBMOVED:
        return ToSay("error.log_moved")
    if code == sqlite3.SQLITE_IOERR_CORRUPTFS:
        code = sqlite3.SQLITE_IOERR
    match code & 0xFF:
        case sqlite3.SQLITE_BUSY | sqlite3.SQLITE_LOCKED:
            return ToSay("error.log_busy", error=error)
        case sqlite3.SQLITE_INTERRUPT:
            return ToSay("error.log_too_long")
        case sqlite3.SQLITE_FULL:
            return ToSay("error.log_full", error=error)
        case sqlite3.SQLITE_READONLY:
            return ToSay("error.log_readonly", error=error)
        case sqlite3.SQLITE_CANTOPEN | sqlite3.SQLITE_PERM | sqlite3.SQLITE_AUTH:
            return ToSay("error.log_closed", error=error)
        case sqlite3.SQLITE_IOERR:
            return ToSay("error.log_disk", error=error)
        case sqlite3.SQLITE_NOTADB:
            return ToSay("error.log_none", error=error)
        case sqlite3.SQLITE_CORRUPT:  # SQLite says the same of a disk that failed in reading
            return ToSay("error.log_corrupt", error=error)
    return ToSay("error.log_unusable", error=error)
