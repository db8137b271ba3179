"""The questions of the manual, asked of a logbook: each runs, and gives what the commands say."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from qlog.manual import text
from tests.conftest import Ran, run_qlog

Run = Callable[..., Ran]
QUESTIONS = re.findall(r"\n\n([^\n`|]+\?[^\n]*)\n\n```sql\n(.*?)```", text("sql"), re.DOTALL)


def asked(words: str) -> str:
    [sql] = [sql for question, sql in QUESTIONS if words in question]
    return sql


@pytest.fixture
def database(build_dir: Path, run: Run) -> Path:
    for words in (
        ("done", "cup", "10"),
        ("read", "cup", "20", "bore", "1", "22.010"),
        ("read", "cup", "20", "bore", "2", "22.900"),
        ("correct", "cup", "20", "bore", "2", "22.020", "--why", "slip"),
        ("read", "cup", "20", "bore", "3", "22.061"),
        ("read", "cup", "20", "look", "1", "go"),
        ("read", "cup", "10", "height", "1", "32.00"),
        ("piece", "cup-4", "scrap", "--why", "dropped"),
        ("assemble", "set-1", "cup-1"),
    ):
        ran = run_qlog("--build", str(build_dir), *words)
        assert ran.status in (0, 1, 2), ran.err
    out = build_dir / "readings.db"
    assert run("export", "-o", str(out)).status == 0
    return out


def answers(path: Path, words: str) -> list[tuple[object, ...]]:
    with closing(sqlite3.connect(path)) as db:
        return db.execute(asked(words)).fetchall()


def test_there_are_ten_questions() -> None:
    assert len(QUESTIONS) == 10


@pytest.mark.parametrize("question", [q for q, _ in QUESTIONS])
def test_a_question_runs(database: Path, question: str) -> None:
    answers(database, question)


def test_what_was_withdrawn_counts_in_no_mean(database: Path) -> None:
    rows = {(part, dim): (n, round(float(str(mean)), 6))
            for part, _, dim, n, mean, _ in answers(database, "mean and spread")}  # fmt: skip
    assert rows["cup", "bore"] == (3, round((22.010 + 22.020 + 22.061) / 3, 6))


def test_readings_that_are_out_are_those_of_the_commands(database: Path) -> None:
    assert answers(database, "are out?") == [
        ("cup", 3, "bore", "22.061", "mm", 22.0, 22.05, "out high")
    ]


def test_the_share_that_is_good(database: Path) -> None:
    shares = {dim: percent for _, dim, percent in answers(database, "share of every")}
    assert shares["look"] == 100.0
    assert shares["bore"] == pytest.approx(200 / 3)


def test_operations_without_readings(database: Path) -> None:
    assert [row[1:] for row in answers(database, "no reading of it")] == [(10, 2), (10, 3), (10, 4)]


def test_corrections_have_their_reason(database: Path) -> None:
    assert [(row[0], row[2], row[3]) for row in answers(database, "taken back, and why")] == [
        ("reading", "reading", "slip")
    ]


def test_the_copy_is_no_logbook_and_the_logbook_has_no_verdicts(
    build_dir: Path, database: Path
) -> None:
    with closing(sqlite3.connect(build_dir / "logbook.db")) as db:
        views = {name for (name,) in db.execute("SELECT name FROM sqlite_master WHERE type='view'")}
    assert views == {
        "needs", "reading_current", "item_pieces", "photo_current", "operation_state",
        "setting_current",
    }  # fmt: skip
    ran = run_qlog("--build", str(build_dir), "merge", str(database))
    assert ran.status == 2
    assert run_qlog("--build", str(build_dir), "verify").status == 0


def test_pieces_and_photos_as_they_stand(build_dir: Path) -> None:
    from qlog.logbook.facts import Assembly, Photo, Placement
    from qlog.logbook.store import Logbook

    with Logbook(build_dir / "logbook.db") as log:
        log.append(Photo("ab" * 32, "cup.jpg", 9, "JPEG", 4, 3))
        log.append(Photo("cd" * 32, "foot.jpg", 9, "JPEG", 4, 3))
        first = log.append(Placement("ab" * 32, "cup", 10, 1))
        log.append(Placement("ab" * 32, "cup", 20, 2), supersedes=first.id, reason="wrong piece")
        built = log.append(Assembly("set-1", "cup", 1))
        log.append(Assembly("set-1", "cup", 2))
        log.withdraw(built.id, "wrong piece")
    with closing(sqlite3.connect(build_dir / "logbook.db")) as db:
        assert db.execute("SELECT name, op, piece FROM photo_current").fetchall() == [
            ("cup.jpg", 20, 2), ("foot.jpg", None, None),
        ]  # fmt: skip
        assert db.execute("SELECT item, piece FROM item_pieces").fetchall() == [("set-1", 2)]
