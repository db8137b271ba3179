"""A logbook that is harmed or not there ends every command in a word, never in a traceback."""

import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest

from qlog.logbook import log_file
from qlog.logbook.log_file import cause
from tests.conftest import Ran


@pytest.mark.parametrize(
    ("words", "status"),
    [(("status",), 2), (("read", "cup", "10", "height", "1", "32"), 2), (("verify",), 1)],
)
def test_a_logbook_harmed_in_the_middle(
    build_dir: Path, run: Callable[..., Ran], words: tuple[str, ...], status: int
) -> None:
    path = build_dir / "logbook.db"
    raw = bytearray(path.read_bytes())
    raw[4096:] = b"\xff" * (len(raw) - 4096)
    path.write_bytes(raw)
    ran = run(*words)
    assert ran.status == status
    assert "logbook" in ran.err and ("qlog restore" in ran.err or "qlog verify" in ran.err)


@pytest.mark.parametrize("words", [("verify",), ("backup",), ("status",)])
def test_a_missing_logbook_is_not_made_by_looking_for_it(
    build_dir: Path, run: Callable[..., Ran], words: tuple[str, ...]
) -> None:
    (build_dir / "logbook.db").unlink()
    ran = run(*words)
    assert ran.status == 2
    assert "no logbook at" in ran.err
    assert not (build_dir / "logbook.db").exists()


def test_a_plan_without_a_logbook_gets_one(build_dir: Path, run: Callable[..., Ran]) -> None:
    (build_dir / "logbook.db").unlink()
    plan = (build_dir / "build.toml").read_bytes()
    assert run("new", str(build_dir)).status == 0
    assert (build_dir / "build.toml").read_bytes() == plan
    assert run("status").status == 0
    again = run("new", str(build_dir))
    assert (again.status, "exists already" in again.err) == (2, True)


def _without_triggers(build: Path, statement: str) -> None:
    db = sqlite3.connect(build / "logbook.db", isolation_level=None)
    for (name,) in db.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
        db.execute(f"DROP TRIGGER {name}")
    db.execute(statement)
    db.close()


@pytest.mark.parametrize(
    "words", [("status",), ("spread",), ("read", "cup", "20", "bore", "2", "22.01")]
)
@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE entry SET made = 'soon'",
        "UPDATE entry SET made = CAST(x'ff41' AS TEXT)",
        "UPDATE reading SET value = 'x'",
        "UPDATE reading SET unit = 'furlong'",
        "UPDATE reading SET value = CAST(x'ff' AS TEXT)",
    ],
)
def test_a_spoilt_time_or_number_ends_in_a_word(
    build_dir: Path, run: Callable[..., Ran], statement: str, words: tuple[str, ...]
) -> None:
    assert run("read", "cup", "20", "bore", "1", "22.01").status in (0, 1)
    _without_triggers(build_dir, statement)
    ran = run(*words)
    assert ran.status in (0, 1) or "qlog verify" in ran.err, ran.err
    assert run("verify").status == 1


def test_an_argument_that_is_not_utf8_is_refused(run: Callable[..., Ran]) -> None:
    ran = run("note", "cup", "caf\udce9")
    assert (ran.status, "\\udce9: not UTF-8" in ran.err) == (2, True)


@pytest.mark.parametrize(
    ("code", "word"),
    [
        (sqlite3.SQLITE_BUSY, "is held by another program"),
        (sqlite3.SQLITE_LOCKED, "is held by another program"),
        (sqlite3.SQLITE_CANTOPEN, "may not be opened"),
        (sqlite3.SQLITE_READONLY, "may not be written"),
        (sqlite3.SQLITE_READONLY_DBMOVED, "was moved or replaced"),
        (sqlite3.SQLITE_IOERR_READ, "could not be read from or written to the disk"),
        (sqlite3.SQLITE_FULL, "make room on the disk"),
        (sqlite3.SQLITE_NOTADB, "is no logbook"),
        (sqlite3.SQLITE_CORRUPT, "is damaged"),
    ],
)
def test_each_cause_has_its_own_word(code: int, word: str) -> None:
    error = sqlite3.OperationalError("x")
    error.sqlite_errorcode = code
    assert word in cause(error)
    assert ("backup" in cause(error).replace("a backup or", "")) == (
        code in (sqlite3.SQLITE_NOTADB, sqlite3.SQLITE_CORRUPT)
    ), "only a log that is spoilt is to be restored"


def test_a_sound_logbook_that_is_held_is_not_called_spoilt(
    build_dir: Path, run: Callable[..., Ran], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(log_file, "WAIT", 0.05)
    db = sqlite3.connect(build_dir / "logbook.db", isolation_level=None)
    db.execute("BEGIN EXCLUSIVE")
    for words in (("status",), ("verify",), ("done", "cup", "10"), ("backup",)):
        ran = run(*words)
        assert (ran.status, "is held by another program" in ran.err) == (2, True), words
        assert "restore" not in ran.err
    db.close()
