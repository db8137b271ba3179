"""The log's file: its name, how it is connected to, and a word for each reason why it cannot be."""

from __future__ import annotations

import sqlite3
import time
from pathlib import Path

from qlog.problem import Problem

FILE_NAME = "logbook.db"

#: Seconds to wait for another process that is entering something.
WAIT = 10.0


#: What Python raises for a file that SQLite cannot make sense of; some of its own messages then
#: hold bytes that are no text.
UNREADABLE = (sqlite3.Error, UnicodeDecodeError)


class LogbookError(Problem):
    """The logbook cannot be used as asked; the message says what, where and what to do."""


def connect(path: Path) -> sqlite3.Connection:
    """The file opened for reading and writing, in autocommit mode. Raises sqlite3.Error."""
    return sqlite3.connect(path, isolation_level=None, timeout=WAIT)


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
    code = getattr(error, "sqlite_errorcode", 0)
    if isinstance(error, UnicodeDecodeError):
        code = sqlite3.SQLITE_CORRUPT
    if code == sqlite3.SQLITE_READONLY_DBMOVED:
        return "was moved or replaced while it was open; begin again in its new place"
    if code == sqlite3.SQLITE_IOERR_CORRUPTFS:
        code = sqlite3.SQLITE_IOERR
    words = {
        sqlite3.SQLITE_BUSY: "is held by another program (a second qlog, a database viewer, a "
        "backup or synchronising program): wait for it or close it, and try again",
        sqlite3.SQLITE_FULL: "cannot grow: make room on the disk and try again",
        sqlite3.SQLITE_READONLY: "may not be written: allow writing to the file and its folder, "
        "and try again",
        sqlite3.SQLITE_CANTOPEN: "may not be opened, or its folder may not be written: allow "
        "yourself to read and write both, and try again",
        sqlite3.SQLITE_IOERR: "could not be read from or written to the disk: look at the disk, "
        "its cable or the network drive before anything else, then run `qlog verify`",
        sqlite3.SQLITE_NOTADB: "is no logbook; if it was one, `qlog restore` brings a backup back",
        # SQLite says the same of a disk that failed while the file was read.
        sqlite3.SQLITE_CORRUPT: "is damaged, or the disk failed while it was read: `qlog verify` "
        "tells which and where; only when the damage stays, `qlog restore` brings a backup back",
    }
    alike = {
        sqlite3.SQLITE_LOCKED: sqlite3.SQLITE_BUSY,
        sqlite3.SQLITE_PERM: sqlite3.SQLITE_CANTOPEN,
        sqlite3.SQLITE_AUTH: sqlite3.SQLITE_CANTOPEN,
    }
    plain = code & 0xFF
    word = words.get(alike.get(plain, plain), "cannot be used: `qlog verify` tells more")
    return f"{word} ({error})"
