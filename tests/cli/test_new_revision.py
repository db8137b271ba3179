"""A changed drawing on the command line: shown by plan, recorded by an entry, told by status."""

import json
import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.conftest import Ran

Run = Callable[..., Ran]


def revisions(folder: Path) -> list[tuple[int, str]]:
    """Number of readings under each revision, oldest revision first, with its bore callout."""
    db = sqlite3.connect(folder / "logbook.db")
    try:
        found = db.execute(
            "SELECT count(e.id), r.source FROM revision r LEFT JOIN entry e "
            "ON e.revision = r.sha256 AND e.kind = 'reading' GROUP BY r.sha256 "
            "ORDER BY r.first_used"
        ).fetchall()
    finally:
        db.close()
    return [(n, next(x for x in s.splitlines() if "Ø22" in x).strip()) for n, s in found]


def redraw(folder: Path, old: str, new: str) -> None:
    plan = folder / "build.toml"
    text = plan.read_text("utf-8")
    assert text.count(old) == 1
    plan.write_text(text.replace(old, new), encoding="utf-8", newline="\n")


@pytest.fixture
def bored(build_dir: Path, run: Run) -> Path:
    run("done", "cup", "10")
    for piece, value in (("1", "22.01"), ("2", "22.04")):
        assert run("read", "cup", "20", "bore", piece, value).status == 0
    return build_dir


def test_plan_shows_what_changed_and_the_next_entry_records_it(bored: Path, run: Run) -> None:
    assert "changed since" not in run("plan").out
    redraw(bored, "Ø22 +0.05/0", "Ø22 +0.03/0")
    for _ in range(2):  # looking records nothing
        ran = run("plan")
        assert ran.status == 0
        shown = ran.out.partition("changed since the drawing last used")[2]
        assert "bore" in shown and "Ø22 +0.05/0" in shown and "Ø22 +0.03/0" in shown
        assert "height" not in shown
    assert json.loads(run("plan", "--json").out)["changes"]
    run("status")
    run("spread")
    assert revisions(bored) == [(2, 'callout = "Ø22 +0.05/0"')]
    assert run("read", "cup", "20", "bore", "3", "22.02").status == 0
    assert revisions(bored) == [(2, 'callout = "Ø22 +0.05/0"'), (1, 'callout = "Ø22 +0.03/0"')]
    assert "changed since" not in run("plan").out
    assert json.loads(run("plan", "--json").out)["changes"] == []


def test_readings_keep_their_limits_and_status_lists_what_would_be_judged_otherwise(
    bored: Path, run: Run
) -> None:
    redraw(bored, "Ø22 +0.05/0", "Ø22 +0.03/0")
    run("read", "cup", "20", "bore", "3", "22.02")
    ran = run("status", "cup")
    told = [x.strip() for x in ran.out.splitlines() if "by the drawing that it was made to" in x]
    assert told == [
        "look  cup-2, socket: 22.040 mm was good by the drawing that it was made to; "
        "by today's it is out high"
    ]
    found = [
        f for f in json.loads(run("status", "--json").out)["findings"]
        if f["kind"] == "drawing changed"
    ]  # fmt: skip
    assert [(f["part"], f["op"], f["piece"], f["dimension"]) for f in found] == [
        ("cup", 20, 2, "bore")
    ]
    assert "good" in run("piece", "cup-2").out
    assert run("read", "cup", "20", "bore", "4", "22.04").status == 1


def test_a_change_that_moves_no_verdict_is_quiet_in_status(bored: Path, run: Run) -> None:
    redraw(bored, "Ø22 +0.05/0", "Ø22 +0.06/0")
    run("read", "cup", "20", "bore", "3", "22.02")
    assert "drawing that it was made to" not in run("status", "cup").out
