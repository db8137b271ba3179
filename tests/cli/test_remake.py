"""A piece made anew has the number; the first one's history stays and counts for nothing else."""

from pathlib import Path

import pytest

from tests.cli.test_rename import bored, qlog, readings
from tests.conftest import run_qlog

__all__ = ["bored"]


@pytest.fixture
def remade(bored: Path) -> Path:
    qlog(bored, "piece", "cup-2", "scrap", "--why", "under size")
    qlog(bored, "piece", "cup-2", "remake", "--why", "made again")
    return bored


def test_the_new_piece_begins_empty_and_both_histories_are_kept(remade: Path) -> None:
    assert ("cup", 20, "bore", 2) not in readings(remade)
    run_qlog("--build", str(remade), "done", "cup", "10", "2")
    qlog(remade, "done", "cup", "20", "2")
    qlog(remade, "read", "cup", "20", "bore", "2", "22.01")
    assert readings(remade)["cup", 20, "bore", 2] == "22.01"
    said = qlog(remade, "piece", "cup-2").out
    now, _, before = said.partition("made before under this number: scrapped")
    assert "made anew: made again" in now and "socket 22.01" in now and "22.032" not in now
    assert "socket 22.032" in before and "scrapped: under size" in before
    assert "all sound" in qlog(remade, "verify").out


def test_stock_and_status_count_the_new_one_and_name_the_first(remade: Path) -> None:
    stock = qlog(remade, "stock", "cup").out
    assert "4 live for 3 needed" in stock
    assert "anew      cup-2" in stock and "cup-2 (made anew since)" in stock
    assert "made anew" in run_qlog("--build", str(remade), "status").out
    assert qlog(remade, "piece", "cup-3", "scrap", "--why", "fell").out.count("3 cup pieces left")


def test_the_bench_asks_for_the_new_one(remade: Path) -> None:
    ran = run_qlog("--build", str(remade), "read", "cup", "20", "bore", stdin="22.02\n22.03\n")
    assert "2 to read" in ran.out  # cup-2, and cup-4 that was never read
    assert readings(remade)["cup", 20, "bore", 2] == "22.02"


def test_a_piece_made_twice_anew_keeps_all_three(remade: Path) -> None:
    qlog(remade, "read", "cup", "20", "bore", "2", "22.01")
    qlog(remade, "piece", "cup-2", "remake", "--why", "once more")
    said = qlog(remade, "piece", "cup-2").out
    assert said.count("made before under this number") == 2
    assert said.index("22.01") > said.index("made before")
    qlog(remade, "rename", "part", "cup", "bowl")
    assert qlog(remade, "piece", "bowl-2").out.count("made before under this number") == 2


def test_it_is_taken_back_until_the_new_piece_is_worked_on(remade: Path) -> None:
    listed = qlog(remade, "undo").out
    number = next(line.split()[0] for line in listed.splitlines() if "made anew" in line)
    assert "-100002" not in listed
    qlog(remade, "read", "cup", "20", "bore", "2", "22.01")
    assert "worked on since" in qlog(remade, "undo", number, "--why", "no", status=2).err
    reading = qlog(remade, "undo").out.split()[0]
    qlog(remade, "undo", reading, number, "--why", "no")
    assert readings(remade)["cup", 20, "bore", 2] == "22.032"


@pytest.mark.parametrize(
    ("words", "why"),
    [(("cup-4", "remake"), "say why"), (("ring-1", "remake", "--why", "x"), "nothing is logged")],
)
def test_what_cannot_be_made_anew(bored: Path, words: tuple[str, ...], why: str) -> None:
    assert why in qlog(bored, "piece", *words, status=2).err


def test_the_record_is_built_with_a_piece_made_anew(remade: Path) -> None:
    qlog(remade, "record")
    pages = "".join(p.read_text(encoding="utf-8") for p in (remade / "record").rglob("*.html"))
    assert "100002" not in pages


def test_pages_and_the_next_sheet_keep_what_was_written_down(remade: Path) -> None:
    run_qlog("--build", str(remade), "start", "cup", "20", "-n", "900 rev/min, tapping oil")
    qlog(remade, "note", "cup", "the bar chatters above 1000", "--op", "20")
    sheet = remade / "sheet.html"
    qlog(remade, "sheet", "cup", "20", "-o", str(sheet))
    text = sheet.read_text(encoding="utf-8")
    assert text.index("900 rev/min, tapping oil") < text.index("the bar chatters above 1000")
    assert run_qlog("--build", str(remade), "record").status in (0, 1)
    pages = remade / "record" / "maker"
    part = (pages / "parts" / "cup.html").read_text(encoding="utf-8")
    assert "900 rev/min, tapping oil" in part and "the bar chatters above 1000" in part
    lives = (pages / "piece" / "cup-2.html").read_text(encoding="utf-8")
    first = lives[lives.index("Made before under this number: scrapped") :]
    assert "22.032" in first and "under size" in first
    for page in (remade / "record" / "recipient").rglob("*.html"):
        assert "22.032" not in page.read_text(encoding="utf-8")
