"""The bench commands as they are typed: what they say, what they write, how they end."""

import json
import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.conftest import Ran, run_qlog

Run = Callable[..., Ran]


def values(folder: Path) -> list[tuple[str, ...]]:
    db = sqlite3.connect(folder / "logbook.db")
    rows = db.execute("SELECT part, op, dimension, piece, typed, value, unit FROM reading")
    found = rows.fetchall()
    db.close()
    return found


def test_new_makes_a_build_that_can_be_planned_at_once(tmp_path: Path) -> None:
    folder = tmp_path / "set of eight"
    assert run_qlog("new", str(folder)).status == 0
    assert {p.name for p in folder.iterdir()} == {"build.toml", "logbook.db"}
    ran = run_qlog("--build", str(folder), "plan")
    assert (ran.status, ran.err) == (0, "")
    again = run_qlog("new", str(folder))
    assert again.status == 2
    assert "exists already" in again.err


def test_plan_prints_route_callout_limits_and_width(run: Run) -> None:
    out = run("plan").out
    assert "op 10  turn outside" in out
    line = next(x for x in out.splitlines() if "Ø22 +0.05/0" in x)
    assert "22.00 to 22.05 mm" in line
    assert "0.05" in line.split("mm")[1]
    ring = next(x for x in out.splitlines() if "1 in ±.002" in x)
    assert ".998 to 1.002 in" in ring and "0.998" not in ring


def test_plan_json_keeps_every_limit_as_text(run: Run) -> None:
    plan = json.loads(run("plan", "--json").out)
    bore = plan["parts"][0]["dimensions"][1]["requirements"][0]
    assert (bore["lower"], bore["upper"], bore["width"], bore["unit"]) == (
        "22", "22.05", "0.05", "mm",
    )  # fmt: skip


def test_all_mistakes_of_the_plan_in_one_run(build_dir: Path, run: Run) -> None:
    plan = build_dir / "build.toml"
    text = plan.read_text("utf-8")
    text = text.replace('callout = "32 ±0.1"', 'callout = "32 plus a bit"')
    text = text.replace("needed = 3", 'needed = "three"').replace("material =", "materiel =", 1)
    plan.write_text(text, encoding="utf-8")
    ran = run("plan")
    assert ran.status == 1
    lines = ran.err.splitlines()
    at = {i: n for n, line in enumerate(text.splitlines(), 1) for i in ("plus a bit", '"three"',
          "materiel") if i in line}  # fmt: skip
    for what, number in at.items():
        assert any(line.startswith(f"build.toml:{number}: ") for line in lines), (what, lines)
    other = run("status")
    assert other.status == 2
    assert "build.toml:" in other.err


def test_one_reading_is_echoed_with_its_verdict_and_place(build_dir: Path, run: Run) -> None:
    ran = run("read", "cup", "20", "bore", "cup-3", "22,031")
    assert ran.status == 0
    assert "cup-3 bore  22.031 mm  good" in ran.out
    assert "+0.006 from mid-tolerance" in ran.out
    assert values(build_dir) == [("cup", 20, "bore", 3, "22,031", "22.031", "mm")]


def test_a_reading_outside_ends_with_1_and_never_looks_inside(run: Run) -> None:
    ran = run("read", "cup", "20", "bore", "1", "22.0500000001")
    assert ran.status == 1
    assert "out high" in ran.out
    strip = ran.out.split("out high")[1]
    assert strip.index("o") > strip.rindex("|")


def test_the_same_reading_twice_is_one_and_another_value_is_refused(
    build_dir: Path, run: Run
) -> None:
    run("read", "cup", "20", "bore", "1", "22.01")
    assert "known already" in run("read", "cup", "20", "bore", "1", "22.01").out
    ran = run("read", "cup", "20", "bore", "1", "22.02")
    assert ran.status == 2
    assert "22.01" in ran.err
    assert len(values(build_dir)) == 1


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("cupp", "20", "bore", "1", "22.01"), "did you mean cup?"),
        (("cup", "21", "bore", "1", "22.01"), "its route is: 10 turn outside, 20 bore"),
        (("cup", "20", "boer", "1", "22.01"), "did you mean bore?"),
        (("cup", "20", "bore", "9", "22.01"), "pieces 1 to 4"),
        (("cup", "10", "bore", "1", "22.01"), "made at op 20"),
        (("cup", "20", "bore", "1", "twenty"), "twenty"),
        (("cup", "20", "bore", "1", "1,234.5"), "1,234.5"),
        (("cup", "20", "bore", "1"), "PART OP DIM PIECE VALUE"),
        (("cup",), "PART and OP"),
        (("cup", "20", "bore", "1", "22.01", "-i", "laser"), "no instrument 'laser'"),
    ],
)
def test_what_cannot_be_taken_says_so_and_writes_nothing(
    build_dir: Path, run: Run, words: tuple[str, ...], said: str
) -> None:
    ran = run("read", *words)
    assert ran.status == 2
    assert said in ran.err
    assert "Traceback" not in ran.err
    assert values(build_dir) == []


def test_done_keeps_the_order_of_the_route(run: Run) -> None:
    assert run("done", "cup", "10", "1-2").status == 0
    assert run("done", "cup", "20", "3").status == 2
    ran = run("done", "cup", "20")  # those that are ready, and the rest named
    assert ran.status == 1
    assert ran.out.startswith("done: op 20 bore on cup 1, 2\n")
    assert "left out: op 10 is open on cup 3, 4" in ran.err
    assert run("done", "cup", "20", "3", "--override", "bored from the bar").status == 0
    assert "was done already" in run("done", "cup", "20", "1").out
    out = run("status", "cup").out
    assert "cup-1" in out
    status = json.loads(run("status", "--json").out)
    done = {p["name"]: p["done"] for p in status["parts"][0]["pieces"]}
    assert done == {"cup-1": [10, 20], "cup-2": [10, 20], "cup-3": [20], "cup-4": []}
    assert "order" not in {f["kind"] for f in status["findings"]}


def test_status_asks_for_readings_and_photos_that_are_missing(run: Run) -> None:
    run("done", "cup", "10")
    ran = run("status")
    assert ran.status == 1
    assert ran.out.splitlines()[0] == "next"
    assert "read height of cup 1-4" in ran.out
    assert "1 photo missing" in ran.out
    for piece in "1234":
        run("read", "cup", "10", "height", piece, "32.00")
    assert "no reading" not in run("status").out


def test_spread_counts_and_measures(run: Run) -> None:
    for piece, value in zip("1234", ("22.010", "22.020", "22.060", "21.990"), strict=True):
        run("read", "cup", "20", "bore", piece, value)
    ran = run("spread", "cup")
    assert ran.status == 1
    line = next(x for x in ran.out.splitlines() if x.strip().startswith("bore op 20"))
    for figure in ("22.0200", "21.990", "22.060", "0.070", "140 %"):
        assert figure in line
    stats = json.loads(run("spread", "--json").out)["dimensions"][0]
    assert (stats["n"], stats["out_low"], stats["out_high"]) == (4, 1, 1)
    assert stats["statistics"]["spread"] == "0.070"
    # Standard deviation by hand: deviations -10, 0, 40, -30 um, s = sqrt(2600 / 3) um.
    assert stats["statistics"]["standard_deviation"].startswith("0.0294392")


def test_piece_scrap_counts_what_is_left(run: Run) -> None:
    ran = run("piece", "cup-2", "scrap", "--why", "chatter", "--op", "10")
    assert "3 cup pieces left, 3 needed: no spare" in ran.out
    assert run("piece", "cup-3", "scrap").status == 2
    assert run("done", "cup", "10", "2").status == 2


def test_correct_supersedes_with_a_reason(run: Run) -> None:
    run("read", "cup", "20", "bore", "1", "22.31")
    ran = run("correct", "cup", "20", "bore", "1", "22.031", "--why", "a digit lost")
    assert (ran.status, "(was 22.31)" in ran.out) == (0, True)
    ran = run("correct", "cup", "20", "bore", "2", "22.031", "--why", "x")
    assert ran.status == 2
    assert "no reading" in ran.err


def test_verify_and_backup(build_dir: Path, run: Run) -> None:
    run("read", "cup", "20", "bore", "1", "22.01")
    ran = run("verify")
    said, head = ran.out.splitlines()
    assert (ran.status, said) == (0, "1 entry, 0 photos: all sound")
    assert head.startswith("head: entry 1, sum ") and len(head) == 19 + 64
    assert run("backup").status == 0
    assert len(list((build_dir / "backup").glob("*.db"))) == 1


def test_csv_long_and_wide_and_one_bad_line_writes_nothing(
    build_dir: Path, tmp_path: Path, run: Run
) -> None:
    long = tmp_path / "long.csv"
    long.write_text(
        "part,op,dimension,piece,value\ncup,20,bore,1,22.010\ncup,20,bore,2,22.o2\n"
        "cup,20,boer,3,22.03\ncup,20,bore,9,22.03\n",
        encoding="utf-8",
    )
    ran = run("read", "--csv", str(long))
    assert ran.status == 2
    for number in (3, 4, 5):
        assert f"long.csv:{number}: " in ran.err
    assert values(build_dir) == []
    long.write_text("part,op,dimension,piece,value\ncup,20,bore,1,22.010\n", encoding="utf-8")
    assert run("read", "--csv", str(long)).status == 0
    assert "1 known already" in run("read", "--csv", str(long)).out
    wide = tmp_path / "wide.csv"
    wide.write_text(
        "part;cup\nop;20\npiece;bore\ncup-2;22,020\ncup-3;22,061\ncup-4;\n", encoding="utf-8"
    )
    ran = run("read", "--csv", str(wide))
    assert ran.status == 1
    assert "cup-3 bore  22.061 mm  out high" in ran.out
    assert "2 entered, 1 not measured yet, 1 out" in ran.out
    assert len(values(build_dir)) == 3
    other = tmp_path / "other.csv"
    other.write_text(
        "part,op,dimension,piece,value\ncup,20,bore,4,22.02\ncup,20,bore,1,22.011\n",
        encoding="utf-8",
    )
    ran = run("read", "--csv", str(other))
    assert ran.status == 2
    assert "as 22.010 mm, not 22.011 mm" in ran.err
    assert len(values(build_dir)) == 3


def test_a_reading_below_zero_is_a_reading(build_dir: Path, run: Run) -> None:
    ran = run("read", "cup", "20", "bore", "1", "-22.01")
    assert "No such option" not in ran.err
    assert [row[5] for row in values(build_dir)] == ["-22.01"]
    ran = run("correct", "cup", "20", "bore", "1", "-22.02", "--why", "made up")
    assert "No such option" not in ran.err
    # What is no reading and no option still says so, and writes nothing.
    assert run("read", "cup", "20", "bore", "2", "--nonsense").status == 2
    assert len(values(build_dir)) == 2


def test_done_asks_only_for_what_is_unread(run: Run) -> None:
    for piece in "1234":
        run("read", "cup", "10", "height", piece, "32.00")
    assert "now read" not in run("done", "cup", "10", "1-2").out
    run("done", "cup", "20", "1-2")
    assert "now read socket, look" in run("done", "cup", "20", "3", "--override", "made up").out
