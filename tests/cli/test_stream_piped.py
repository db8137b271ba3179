"""Readings from a pipe or a file: keys are lines, questions warnings, strict is all or nothing."""

import json
import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.conftest import Ran

Run = Callable[..., Ran]


def rows(folder: Path, sql: str) -> list[tuple[object, ...]]:
    db = sqlite3.connect(folder / "logbook.db")
    try:
        return db.execute(sql).fetchall()
    finally:
        db.close()


LIVE = (
    "SELECT dimension, piece, typed FROM reading r WHERE NOT EXISTS "
    "(SELECT 1 FROM entry s WHERE s.supersedes = r.entry) ORDER BY dimension, piece"
)


@pytest.fixture
def bored(build_dir: Path, run: Run) -> Path:
    assert run("done", "cup", "10").status == 0
    return build_dir


def test_down_the_pieces_then_the_next_dimension(bored: Path, run: Run) -> None:
    ran = run("read", "cup", "20", stdin="22.01\n22.02\n22.03\n22.04\ngo\n")
    assert (ran.status, ran.err) == (0, "")
    assert ran.out.splitlines()[0] == "cup op 20 bore: 8 to read"
    assert ran.out.splitlines()[-1] == "3 left to read; the same command goes on there"
    assert rows(bored, LIVE) == [
        ("bore", 1, "22.01"), ("bore", 2, "22.02"), ("bore", 3, "22.03"), ("bore", 4, "22.04"),
        ("look", 1, "go"),
    ]  # fmt: skip


def test_down_the_dimensions_of_each_piece(bored: Path, run: Run) -> None:
    run("read", "cup", "20", "--by-piece", stdin="22.01\nok\n22.02\nno-go\n")
    assert rows(bored, LIVE) == [
        ("bore", 1, "22.01"), ("bore", 2, "22.02"), ("look", 1, "ok"), ("look", 2, "no-go"),
    ]  # fmt: skip


def test_one_dimension_only(bored: Path, run: Run) -> None:
    ran = run("read", "cup", "20", "look", stdin="go\ngo\ngo\ngo\n")
    assert (ran.status, "all read" in ran.out) == (0, True)
    assert [r[0] for r in rows(bored, LIVE)] == ["look"] * 4


def test_keys_are_lines_and_a_number_never_answers_one(bored: Path, run: Run) -> None:
    typed = "22.01\nu\n22.02\nr\n22.021\ns\n22.03\nn tool hot\nt re-sharpened\ns c burr\nq\n22.04\n"
    ran = run("read", "cup", "20", "bore", stdin=typed)
    assert ran.status == 0
    assert "taken back: cup-1 bore 22.01" in ran.out
    assert "new setup from cup-4: tool change" in ran.out
    # `s` alone put piece 2 off; the number behind it is the reading of piece 3.
    assert rows(bored, LIVE) == [("bore", 1, "22.021"), ("bore", 3, "22.03")]
    assert rows(bored, "SELECT piece, kind, why FROM gap") == [(4, "cannot", "burr")]
    assert rows(bored, "SELECT piece, note FROM setup") == [(4, "re-sharpened")]
    assert rows(bored, "SELECT piece, text FROM note") == [(3, "tool hot")]
    assert ran.out.splitlines()[-1].startswith("1 left to read")


def test_undo_goes_back_step_by_step(bored: Path, run: Run) -> None:
    ran = run("read", "cup", "20", "bore", stdin="22.01\nr\n22.012\nr\n22.013\nu\nu\nu\nu\n22.02\n")
    assert ran.out.count("taken back") == 3
    assert "nothing to undo in this sitting" in ran.out
    assert rows(bored, LIVE) == [("bore", 1, "22.02")]
    kept = [t for (t,) in rows(bored, "SELECT typed FROM reading ORDER BY entry")]
    assert kept == ["22.01", "22.012", "22.013", "22.012", "22.01", "22.02"]


def test_scrapping_takes_the_piece_out_of_the_order(bored: Path, run: Run) -> None:
    ran = run("read", "cup", "20", stdin="22.01\n22.09\nx 2 dug in\n22.02\n22.03\nok\nok\n")
    assert ran.status == 1
    assert "cup-2 scrapped (dug in); 3 pieces left, 3 needed: no spare" in ran.out
    assert [r[:2] for r in rows(bored, LIVE)] == [
        ("bore", 1), ("bore", 2), ("bore", 3), ("bore", 4), ("look", 1), ("look", 3),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("x chatter", "'chatter' names no piece"),
        ("x 2", "say why"),
        ("n", "empty note"),
        ("s z", "say s n"),
        ("r", "nothing was read in this sitting"),
        ("22..1", "22..1"),
    ],
)
def test_a_line_that_cannot_be_taken_ends_the_pipe(
    bored: Path, run: Run, typed: str, said: str
) -> None:
    ran = run("read", "cup", "20", "bore", stdin=f"{typed}\n22.01\n")
    assert ran.status == 2
    assert said in ran.err
    assert rows(bored, LIVE) == []


def test_questions_are_warnings_with_the_way_back(bored: Path, run: Run) -> None:
    ran = run("read", "cup", "20", "bore", stdin="22.01\n220.2\n22.03\n")
    assert ran.status == 1
    assert ran.err.splitlines() == [
        "look  cup-2 bore 220.2: 22.02? the decimal point would be one place out (if so: qlog "
        'correct cup 20 bore 2 "22.02 mm" --why ...)'
    ]
    assert len(rows(bored, LIVE)) == 3
    assert run("correct", "cup", "20", "bore", "2", "22.02 mm", "--why", "decimal slip").status == 0


def test_strict_writes_nothing_at_all(bored: Path, run: Run) -> None:
    ran = run("read", "cup", "20", "bore", "--strict", stdin="22.01\n220.2\n22.03\n")
    assert (ran.status, ran.out) == (2, "")
    assert "220.2: 22.02?" in ran.err and "nothing was written" in ran.err
    assert rows(bored, LIVE) == []
    ran = run("read", "cup", "20", "bore", "--strict", stdin="22.01\n22.02\n22.03\n")
    assert (ran.status, ran.err, len(rows(bored, LIVE))) == (0, "", 3)
    ran = run("read", "cup", "20", "bore", "4", "2.204", "--strict")
    assert ran.status == 2
    assert len(rows(bored, LIVE)) == 3


def test_a_file_is_checked_as_it_grows(bored: Path, tmp_path: Path, run: Run) -> None:
    path = tmp_path / "bores.csv"
    path.write_text(
        "part,op,dimension,piece,value\ncup,20,bore,1,22.010\ncup,20,bore,2,0.8667\n"
        "cup,20,bore,3,22.030\n",
        encoding="utf-8",
    )
    ran = run("read", "--csv", str(path), "--strict")
    assert ran.status == 2
    assert "bores.csv:3: cup-2 bore 0.8667: inch? 0.8667 in would be 22.01418 mm" in ran.err
    assert rows(bored, LIVE) == []
    ran = run("read", "--csv", str(path))
    assert ran.status == 1
    assert "inch?" in ran.err
    assert len(rows(bored, LIVE)) == 3
    assert run("read", "--csv", str(path)).err == ""  # told twice is not asked twice


def test_an_open_operation_and_a_coarse_instrument_are_said_once(build_dir: Path, run: Run) -> None:
    first = run("read", "cup", "20", "bore", "1", "22.01", "-i", "caliper")
    assert "op 10 is still open for this piece" in first.err
    assert "caliper jaws" in first.err
    second = run("read", "cup", "20", "bore", "2", "22.02", "-i", "caliper")
    assert "op 10" in second.err and "caliper" not in second.err
    third = run("read", "cup", "20", "look", "1", "go")
    assert third.err == ""


def test_a_setup_bounds_the_trend_and_the_batch(build_dir: Path, run: Run) -> None:
    plan = build_dir / "build.toml"
    plan.write_text(plan.read_text("utf-8").replace("spare = 1", "spare = 9"), encoding="utf-8")
    run("done", "cup", "10")
    falling = "".join(f"22.{45 - 4 * i:03d}\n" for i in range(6))
    ran = run("read", "cup", "20", "bore", stdin=falling)
    assert "shrinking by about 0.004 mm a piece since piece 1" in ran.out
    assert "piece 12 on a piece may be outside" in ran.out.replace("\n    ", " ")
    ran = run("read", "cup", "20", "bore", stdin="t\n22.045\n22.044\n22.045\n")
    assert "shrinking" not in ran.out
    assert "drift is judged from the 5th reading on" in ran.out


def test_both_values_of_a_warm_piece_are_kept_and_said(bored: Path, run: Run) -> None:
    # Brass, 20e-6/K: 22.031 mm at 26 °C on an instrument at 20 °C is 22.031 / (1 + 0.00012).
    ran = run(
        "read", "cup", "20", "bore", "1", "22.031", "-t", "26,0 C", "--instrument-temperature", "20"
    )
    assert "22.031 mm at 26.0 °C (instrument 20 °C), 22.0284 mm at 20 °C" in ran.out
    assert rows(bored, "SELECT value, temperature, instrument_temperature FROM reading") == [
        ("22.031", "26.0", "20")
    ]
    ran = run("read", "cup", "20", stdin="22.02\n")
    assert "°C" not in ran.out
    ran = run("read", "cup", "20", "bore", "-t", "25", stdin="22.02\n22.03\n")
    assert ran.out.count("at 25 °C") == 2
    ran = run("read", "ring", "10", "outside", "1", "1.000", "-t", "25")
    assert "not corrected to 20 °C: give part ring a material with its expansion" in ran.out
    assert run("read", "cup", "20", "bore", "-t", "hot", stdin="").status == 2
    assert run("read", "cup", "20", "bore", "--instrument-temperature", "25").status == 2
    # What nobody said of the instrument is not written down as measured.
    assert rows(bored, "SELECT DISTINCT instrument_temperature FROM reading WHERE piece > 1") == [
        (None,)
    ]
    values = json.loads(run("spread", "cup", "--json").out)["dimensions"]
    assert values[0]["n"] == 4


def test_a_piece_straight_off_the_machine_is_asked_about_where_it_matters(
    bored: Path, run: Run
) -> None:
    # Brass, 20e-6/K, 30 K up: 22 mm grow by 0.0132, more than a tenth of 0.05; 32 mm by 0.0192,
    # less than a tenth of 0.2.
    ran = run("read", "cup", "20", "--hot", stdin="22.031\n22.02\n22.03\n22.03\nok\nok\n")
    assert ran.err.count("still warm?") == 1
    assert "30 K would make it 0.013 mm large: let it cool, or give its temperature" in ran.err
    assert run("read", "cup", "10", "height", "1", "32.02", "--hot", "-n", "late").err == ""
    assert rows(bored, "SELECT DISTINCT dimension, note FROM reading") == [
        ("bore", "straight off the machine"),
        ("look", ""),
        ("height", "late; straight off the machine"),
    ]
    ran = run("read", "cup", "20", "bore", "1", "22.031", "--hot", "-t", "50")
    assert (ran.status, "whose temperature nobody took" in ran.err) == (2, True)


def test_cold_readings_before_do_not_answer_for_a_hot_one(bored: Path, run: Run) -> None:
    run("read", "cup", "20", "bore", "1", "22.02")
    assert run("read", "cup", "20", "bore", "2", "22.02").err == ""
    ran = run("read", "cup", "20", "bore", "3", "22.02", "--hot", "--strict")
    assert (ran.status, "still warm?" in ran.err) == (2, True)
    assert len(rows(bored, LIVE)) == 2


@pytest.mark.parametrize("words", [("--hot",), ("-t", "25"), ("--again",), ("--by-piece",)])
def test_what_a_file_says_itself_is_not_taken_from_the_command(
    bored: Path, tmp_path: Path, run: Run, words: tuple[str, ...]
) -> None:
    file = tmp_path / "bores.csv"
    file.write_text("part,op,dimension,piece,value\ncup,20,bore,1,22.03\n", encoding="utf-8")
    ran = run("read", "--csv", str(file), *words)
    assert (ran.status, "in its own columns" in ran.err) == (2, True)
    assert rows(bored, LIVE) == []


def test_a_new_setup_asks_for_its_first_piece(bored: Path, run: Run) -> None:
    run("read", "cup", "20", "bore", stdin="22.01\n22.02\n")
    run("setup", "cup", "20", "3", "tool")
    first = next(x for x in run("status", "cup").out.splitlines() if x.startswith("  "))
    assert "cup-3 is the first of a new setup of op 20 (tool change)" in first
    assert "qlog read cup 20 bore 3 VALUE" in first
    run("read", "cup", "20", "bore", "3", "22.01")
    assert "first of a new setup" not in run("status", "cup").out


def test_another_day_is_pointed_out(bored: Path, run: Run) -> None:
    run("read", "cup", "20", "bore", "1", "22.01", "--made", "2026-04-17T20:00+02:00")
    ran = run(
        "read", "cup", "20", "bore", "--made", "2026-04-18T20:00+02:00", stdin="22.02\n22.02\n"
    )
    assert "the last reading here is of 17 April 2026" in ran.err
    assert "qlog setup cup 20 2 new-day" in ran.err
    ran = run("read", "cup", "20", "bore", "--made", "2026-04-18T20:30+02:00", stdin="22.02\n")
    assert ran.err == ""


def test_what_comes_after_the_last_place_is_not_swallowed(bored: Path, run: Run) -> None:
    ran = run("read", "cup", "20", "bore", stdin="22.01\n22.02\n22.03\n22.04\n22.05\n")
    assert ran.status == 2
    assert "nothing is left to read, '22.05' was not entered" in ran.err
    assert len(rows(bored, LIVE)) == 4
    ran = run("read", "cup", "20", "look", stdin="ok\nok\nok\nok\nu\nn\nn n last one scratched\n")
    assert ran.out.count("taken back") == 1
    assert rows(bored, LIVE)[-1] == ("look", 4, "n")


def test_a_correction_keeps_the_temperatures(bored: Path, run: Run) -> None:
    run("read", "cup", "20", "bore", "1", "22.31", "-t", "26")
    ran = run("correct", "cup", "20", "bore", "1", "22.031", "--why", "a digit lost")
    assert "at 26 °C" in ran.out
    assert rows(bored, "SELECT temperature FROM reading") == [("26",), ("26",)]
