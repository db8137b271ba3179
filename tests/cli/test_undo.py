"""What was entered by mistake is taken back with a reason, and stays in the logbook."""

import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest

from qlog.logbook.facts import Disposition, Done
from qlog.logbook.store import Logbook
from tests.conftest import Ran

Run = Callable[..., Ran]


def test_the_wrong_piece_scrapped_is_live_again(build_dir: Path, run: Run) -> None:
    run("piece", "cup-2", "scrap", "--why", "dropped")
    assert "cup-2 scrapped (dropped)" in run("undo").out
    number = run("undo").out.split()[0]
    assert number in run("piece", "cup-2", "rework", "--why", "burr").err
    assert run("undo", number).status == 2  # no reason
    assert run("undo", number, "--why", "it was cup-3").status == 0
    assert "4 live for 3 needed" in run("stock", "cup").out
    assert "nothing is entered yet" in run("undo").out
    with Logbook(build_dir / "logbook.db") as log:
        (kept,) = log.history(Disposition)
        assert kept.superseded_by is not None
    db = sqlite3.connect(build_dir / "logbook.db")
    asked = "SELECT reason FROM entry WHERE kind = 'withdrawn' AND supersedes = ?"
    assert db.execute(asked, (kept.id,)).fetchall() == [("it was cup-3",)]
    db.close()


def test_a_run_of_entries_or_none_of_it(build_dir: Path, run: Run) -> None:
    run("done", "cup", "10")
    ran = run("undo", "1-5", "--why", "wrong op")
    assert (ran.status, "no entry 5" in ran.err) == (2, True)
    assert run("undo", "1-4", "--why", "wrong op").status == 0
    with Logbook(build_dir / "logbook.db") as log:
        assert log.live(Done) == []
    assert "op 10 turn outside: 4 pieces to do" in run("status").out


@pytest.mark.parametrize("word", ["x", "3-1", "1-99999999999", "-3"])
def test_what_is_no_number(run: Run, word: str) -> None:
    assert run("undo", word, "--why", "x").status == 2


def test_pieces_that_came_back_were_sent_out(build_dir: Path, run: Run) -> None:
    run("send", "cup", "10", "1", "--to", "the shop")
    run("back", "cup", "10")
    listed = {line.split(maxsplit=2)[2]: line.split()[0] for line in run("undo").out.splitlines()}
    out = next(n for said, n in listed.items() if " out " in said)
    back = next(n for said, n in listed.items() if " back " in said)
    assert "has come back" in run("undo", out, "--why", "not sent").err
    assert run("undo", out, back, "--why", "not sent").status == 0
