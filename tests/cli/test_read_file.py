"""`qlog read --csv`: shown first, asked about, entered whole or not at all."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from tests.conftest import Ran
from tests.terminal import Terminal

Run = Callable[..., Ran]


@pytest.fixture
def bored(build_dir: Path, run: Run) -> Path:
    assert run("done", "cup", "10").status == 0
    return build_dir


def readings(folder: Path) -> list[tuple[str, str, str]]:
    with closing(sqlite3.connect(folder / "logbook.db")) as db:
        return db.execute(
            "SELECT dimension, typed, e.made FROM reading r JOIN entry e ON e.id = r.entry"
        ).fetchall()


@pytest.fixture
def write(tmp_path: Path) -> Callable[[str], str]:
    def put(text: str) -> str:
        path = tmp_path / "bores.csv"
        path.write_text(text, encoding="utf-8")
        return str(path)

    return put


def test_a_dry_run_shows_everything_and_writes_nothing(
    bored: Path, run: Run, write: Callable[[str], str]
) -> None:
    file = write("Cups, in the evening\npiece,bore,operator\n1,22.010,me\n2,220.20,me\nMean,22,\n")
    ran = run("read", "--csv", file, "cup", "20", "--dry-run")
    assert (ran.status, readings(bored)) == (0, [])
    assert "readings of bore" in ran.out and "left out" in ran.out
    assert "line 5 left out (worked out, not measured): Mean" in ran.out
    assert "1: 22.010 mm, 2: 220.20 mm" in ran.out
    assert "look  bores.csv:4: cup-2 bore 220.20: 22.02?" in ran.out
    assert "nothing was written" in ran.out


def test_on_a_terminal_nothing_is_written_without_a_yes(
    bored: Path, write: Callable[[str], str]
) -> None:
    file = write("piece,bore\n1,22.010\n")
    for answer, count in (("n", 0), ("y", 1)):
        with Terminal("read", "--csv", file, "cup", "20", folder=bored) as terminal:
            terminal.expect("enter 1 reading?")
            terminal.type(answer)
            terminal.ended()
        assert len(readings(bored)) == count


def test_what_the_file_leaves_open_needs_a_yes(
    bored: Path, run: Run, write: Callable[[str], str]
) -> None:
    file = write("serial,bore\nA,22.010\nB,22.020\n")
    ran = run("read", "--csv", file, "cup", "20")
    assert (ran.status, readings(bored)) == (2, [])
    assert "letters are read as pieces: A is cup-1" in ran.err and "--yes" in ran.err
    assert run("read", "--csv", file, "cup", "20", "--yes").status == 0
    assert len(readings(bored)) == 2


def test_what_was_said_of_headings_is_kept_and_used_again(
    bored: Path, run: Run, write: Callable[[str], str]
) -> None:
    file = write("Ident,Bohrung,Farbe\n1,22.010,rot\n")
    first = run("read", "--csv", file, "cup", "20", "--map", "Ident=piece", "--map",
                "Bohrung=bore", "--ignore", "Farbe")  # fmt: skip
    assert first.status == 0, first.err
    assert '"Ident" = "piece"' in (bored / "import.toml").read_text(encoding="utf-8")
    write("Ident,Bohrung,Farbe\n2,22.020,rot\n")
    assert run("read", "--csv", file, "cup", "20").status == 0
    assert [typed for _, typed, _ in readings(bored)] == ["22.010", "22.020"]


def test_a_mapping_to_nothing_known_is_refused(
    bored: Path, run: Run, write: Callable[[str], str]
) -> None:
    ran = run("read", "--csv", write("a,b\n1,2\n"), "--map", "a=peace")
    assert (ran.status, "did you mean piece?" in ran.err) == (2, True)
    assert not (bored / "import.toml").exists()


def test_lines_are_left_out_and_the_time_is_given(
    bored: Path, run: Run, write: Callable[[str], str]
) -> None:
    file = write("piece,bore\n1,22.010\n2,nonsense\n3,22.030\n")
    when = "2026-04-18T20:30+02:00"
    ran = run("read", "--csv", file, "cup", "20", "--skip-rows", "3", "--made", when)
    assert ran.status == 0, ran.err
    assert [made[:16] for _, _, made in readings(bored)] == ["2026-04-18T20:30"] * 2


def test_alike_warnings_are_one_line_with_a_count(
    bored: Path, run: Run, write: Callable[[str], str]
) -> None:
    file = write("piece,bore\n1,220.10\n2,220.20\n3,220.30\n")
    ran = run("read", "--csv", file, "cup", "20")
    (line,) = [x for x in ran.err.splitlines() if "22.01?" in x]
    assert line.endswith("(and 2 more like it: cup-2 220.20, cup-3 220.30)")


def test_what_reads_a_file_goes_with_a_file_only(run: Run) -> None:
    ran = run("read", "cup", "20", "bore", "1", "22.01", "--dry-run")
    assert (ran.status, "go with --csv FILE" in ran.err) == (2, True)


def test_a_time_to_come_in_a_file_is_said_with_its_line(
    bored: Path, run: Run, write: Callable[[str], str]
) -> None:
    file = write("piece,bore,date\n1,22.010,2026-04-18 20:30\n2,22.020,2999-01-01 20:30\n")
    ran = run("read", "--csv", file, "cup", "20", "--dry-run")
    assert "bores.csv:3" in ran.out + ran.err and "2999-01-01" in ran.out + ran.err
    assert "bores.csv:2" not in ran.out + ran.err


TWICE = (
    "piece,bore,,height,\n,1st,2nd,1st,2nd\n1,22.010,22.011,32.01,32.02\n2,22.020,,31.98,31.98\n"
)
AGAIN = ("--map", "bore 2nd=again", "--map", "height 2nd=again")


def live(run: Run) -> set[tuple[str, str, str]]:
    rows = [row.split(",") for row in run("export").out.splitlines()[1:]]
    return {(row[4], row[5], row[6]) for row in rows}


def test_merged_first_and_second_columns_are_taken_the_second_holds(
    bored: Path, run: Run, write: Callable[[str], str]
) -> None:
    file = write(TWICE)
    assert run("read", "--csv", file, "cup").status == 2 and not readings(bored)
    shown = run("read", "--csv", file, "cup", *AGAIN, "--dry-run").out
    assert "second readings, which hold, of bore" in shown
    assert "1: 22.010 mm, 1: 22.011 mm, 2: 22.020 mm" in shown
    ran = run("read", "--csv", file, "cup", *AGAIN)
    assert (ran.status, len(readings(bored))) == (0, 6), ran.err
    holding = {("bore", "1", "22.011"), ("bore", "2", "22.020"), ("height", "1", "32.02"),
               ("height", "2", "31.98")}  # fmt: skip
    assert live(run) == holding
    assert "22.011 (was 22.010: second reading of the file)" in run("piece", "cup-1").out
    again = run("read", "--csv", file, "cup")  # the mapping is kept
    assert (again.status, len(readings(bored)), live(run)) == (0, 6, holding)
    assert run("verify").status == 0


def test_a_second_reading_comes_after_a_first_that_is_logged_and_against_no_other(
    bored: Path, run: Run, write: Callable[[str], str]
) -> None:
    assert run("read", "cup", "20", "bore", "1", "22.010").status == 0
    file = write("piece,bore 1st,bore 2nd\n1,22.010,22.011\n")
    assert run("read", "--csv", file, "cup", *AGAIN[:2]).status == 0
    assert live(run) == {("bore", "1", "22.011")}
    other = run("read", "--csv", write("piece,bore 1st,bore 2nd\n1,22.01,22.03\n"), "cup")
    assert other.status == 2 and "22.011" in other.err
    assert live(run) == {("bore", "1", "22.011")}


def test_two_columns_with_two_instruments_stand_beside_each_other(
    bored: Path, run: Run, write: Callable[[str], str]
) -> None:
    file = write("piece,bore 1st,bore 2nd\ninstrument,caliper,micrometer\n1,22.01,22.012\n")
    for _ in range(2):
        assert run("read", "--csv", file, "cup", *AGAIN[:2]).status == 0
    assert live(run) == {("bore", "1", "22.01"), ("bore", "1", "22.012")}
