"""A build from the plan to the record and the backup under the rules of a pretended Windows."""

from __future__ import annotations

import io
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path

import pytest

from tests import windows
from tests.conftest import SMALL_PLAN
from tests.photo_scenes import photo


@pytest.fixture
def build(tmp_path: Path) -> Path:
    folder = tmp_path / "Kerzenständer zum Fest"
    folder.mkdir()
    plan = SMALL_PLAN.replace("Two small parts", "Zwölf Ständer").encode("cp1252")
    (folder / "build.toml").write_bytes(plan.replace(b"\n", b"\r\n"))
    return folder


def test_the_rules_are_kept(tmp_path: Path) -> None:
    """The likeness itself: each rule refuses what Windows refuses, and nothing outside."""
    (tmp_path / "inside").mkdir()
    (tmp_path / "there.txt").write_text("x", encoding="utf-8")
    with windows.pretended(tmp_path / "inside"):
        here = tmp_path / "inside"
        (here / "one.txt").write_text("x", encoding="utf-8")
        (here / "other.txt").write_text("x", encoding="utf-8")
        for name in ("aux", "con.html", "a:b", "what?", "dot.", "blank ", "ONE.TXT"):
            with pytest.raises(OSError, match=r"Windows|case"):
                (here / name).write_text("x", encoding="utf-8")
        with pytest.raises(OSError, match="there already"):
            (here / "one.txt").rename(here / "other.txt")
        with (here / "one.txt").open("rb"), pytest.raises(OSError, match="held open"):
            (here / "one.txt").unlink()
        with (here / "one.txt").open("rb"), pytest.raises(OSError, match="held open"):
            (here / "other.txt").replace(here / "one.txt")
        (here / "other.txt").replace(here / "one.txt")
        (here / "one.txt").chmod(0o444)
        with pytest.raises(OSError, match="may only be read"):
            (here / "one.txt").unlink()
        (here / "one.txt").chmod(0o644)
        (tmp_path / "aux").write_text("x", encoding="utf-8")


def journey(build: Path, elsewhere: Path) -> list[tuple[str, ...]]:
    """Commands from the plan to the backup, in the order of an evening."""
    csv, page = str(elsewhere / "bores.csv"), str(elsewhere / "sheet.html")
    return [
        ("new", str(build)),
        ("plan",),
        ("start", "cup", "10", "speed=900"),
        ("done", "cup", "10"),
        ("read", "cup", "20", "bore", "1", "22.010"),
        ("read", "--csv", csv, "cup", "20"),
        ("correct", "cup", "20", "bore", "2", "22.022", "--why", "a slip"),
        ("note", "cup", "Späne geklemmt"),
        ("setup", "cup", "20", "3", "tool"),
        ("photo", "add", str(elsewhere / "card"), "--part", "cup", "--op", "10"),
        ("status",),
        ("card", "cup", "20", "--out", page),
        ("card", "cup", "20", "--out", page),
        ("sheet", "cup", "20", "--out", str(elsewhere / "bench.html")),
        ("revise", "cup.bore", "Ø22.1 +0.05/0", "--from", "4", "--why", "thicker candles"),
        ("rename", "dim", "cup.bore", "socket", "--why", "as drawn"),
        ("export", "-o", str(elsewhere / "out.csv")),
        ("export", "-o", str(elsewhere / "out.xlsx")),
        ("export", "-o", str(elsewhere / "out.db")),
        ("export", "cup", "--qif", "-o", str(elsewhere / "cup.qif")),
        ("record", "--zip"),
        ("record", "--check", str(build / "record" / "maker")),
        ("verify",),
        ("backup", str(elsewhere / "stick")),
        ("backup", str(elsewhere / "stick")),
        ("restore", str(elsewhere / "stick"), str(elsewhere / "again")),
        ("merge", str(elsewhere / "again")),
        ("undo",),
    ]


def on_console(build: Path, *words: str) -> tuple[int, str]:
    """A command on a console of code page 1252, which takes no other sign; status and output."""
    from qlog.cli.main import main

    raw, status = io.BytesIO(), 0
    console = io.TextIOWrapper(raw, encoding="cp1252", write_through=True)
    try:
        with redirect_stdout(console), redirect_stderr(console):
            main(["--build", str(build), *words])
    except SystemExit as stop:
        status = stop.code if isinstance(stop.code, int) else 1
    return status, raw.getvalue().decode("cp1252")


def test_a_build_from_plan_to_backup_breaks_no_rule(build: Path, tmp_path: Path) -> None:
    elsewhere = tmp_path / "Elsewhere"
    photo(elsewhere / "card" / "DCIM" / "IMG_1.JPG", "10:05", 1)
    rows = "piece;bore;Bemerkung\r\n2;22,02;für\r\n"
    (elsewhere / "bores.csv").write_bytes(rows.encode("cp1252"))
    with windows.pretended(tmp_path):
        for words in journey(build, elsewhere):
            status, said = on_console(build, *words)
            assert status in (0, 1) and "Traceback" not in said, (words, said)
        assert windows.broken == []
        assert on_console(build, "note", "cup", "later that evening")[0] == 0
        with (build / "record" / "maker" / "index.html").open("rb") as held:
            status, said = on_console(build, "record", "--for", "maker")
            assert (status, held.read()[:9]) == (2, b"<!doctype")
        assert "close" in said and (build / "record" / "maker" / "index.html").is_file()
        assert windows.broken and all("held open" in rule for rule in windows.broken)
        assert on_console(build, "record", "--for", "maker")[0] in (0, 1)
