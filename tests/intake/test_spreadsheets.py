"""Spreadsheets as people have them: each is read as expected, or refused for the right reason.

The files in sheets are invented and made for these tests; the plan is the small one of
conftest. Which layouts people use is common practice.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from qlog.drawing.build_file.load import load
from qlog.drawing.plan import Build
from qlog.intake.files.read_table import read_table
from qlog.intake.files.table import FileRow, FileTable, Guess, SkipReason, TableError
from qlog.manual import text
from tests.conftest import SMALL_PLAN

SHEETS = Path(__file__).parent / "sheets"
CUP = {"part": "cup", "op": 20}
ANY = {"part": "cup"}
BORE2 = "bore 1 22.010, bore 2 22.020"


@pytest.fixture(scope="module")
def build(tmp_path_factory: pytest.TempPathFactory) -> Build:
    folder = tmp_path_factory.mktemp("plan")
    (folder / "build.toml").write_text(SMALL_PLAN, encoding="utf-8")
    return load(folder / "build.toml")


def outcome(row: FileRow) -> str:
    if row.typed is not None:
        return f"{row.typed.value}{'' if row.typed.unit.value == 'mm' else row.typed.unit.value}"
    return row.gap or ("go" if row.passed else "no-go")


def told(table: FileTable) -> str:
    return ", ".join(f"{r.dimension} {r.piece} {outcome(r)}" for r in table.rows)


READ: list[tuple[str, dict[str, Any], str]] = [
    ("long.csv", {}, BORE2),
    ("title_lines.csv", {}, BORE2),
    ("units_row.csv", ANY, "bore 1 22.010, height 1 32.02, bore 2 22.020, height 2 31.98"),
    ("not_available.csv", ANY, "bore 1 22.010, height 2 31.98, bore 3 22.030"),
    ("mean_and_min.csv", CUP, BORE2),
    ("summary_german.csv", CUP, BORE2),
    ("operator_and_result.csv", CUP, "bore 1 22.010, bore 2 22.060"),
    ("long_with_verdict.csv", CUP, "bore 1 22.010, bore 2 22.060"),
    (
        "turned.csv", ANY,
        "bore 1 22.010, bore 2 22.020, bore 3 22.030, height 1 32.01, height 2 31.98, "
        "height 3 32.00",
    ),
    (
        "turned_with_units.csv", ANY,
        "bore 1 22.010, bore 2 22.020, height 1 32.01, height 2 31.98",
    ),
    ("german.csv", {}, BORE2),
    ("letters.csv", CUP, f"{BORE2}, bore 3 22.030"),
    ("slash_month_first.csv", {}, BORE2),
    ("slash_day_first.csv", {}, BORE2),
    ("month_names.csv", {}, BORE2),
    ("day_numbers.csv", {}, BORE2),
    ("cp1252.csv", {}, "bore 1 22.010"),
    ("utf16.txt", {}, "bore 1 22.010"),
    ("bom_and_sep.csv", CUP, "bore 1 22.010"),
    ("inch_file_headed.csv", CUP, "bore 1 0.8665in, bore 2 0.8669in"),
    ("quoted_comma.csv", CUP, BORE2),
    ("limits_on_top.csv", CUP, "bore 1 22.010"),
    ("part_unnamed.csv", {}, "outside 1 1.0005in, outside 2 0.9995in"),
    ("labels.csv", CUP, f"{BORE2}, bore 3 22.030"),
    ("spaces.csv", CUP, BORE2),
    ("attribute.csv", CUP, "look 1 go, look 2 no-go"),
    ("title_and_dates.xlsx", ANY, "bore 1 22.01, height 1 32.01, bore 2 22.02"),
    ("german.ods", ANY, "bore 1 22.01, height 1 32.01, bore 2 22.02, height 2 31.98"),
    ("two_sheets.xlsx", {**ANY, "sheet": "more"}, "height 1 32.01"),
    (
        "merged.xlsx", {**ANY, "headings": {"bore 2nd": "ignore", "height 1st": "ignore"}},
        "bore 1 22.01, height 1 32",
    ),
    (
        "first_and_second.csv", {**ANY, "headings": {"bore 2nd": "again", "height 2nd": "again"}},
        "bore 1 22.010, bore 1 22.011, height 1 32.01, height 1 32.02, "
        "bore 2 22.020, bore 2 22.021, height 2 31.98, height 2 31.97",
    ),
    (
        "foreign_heading.csv", {**CUP, "headings": {"Ident": "piece", "Bohrung": "bore"}}, BORE2,
    ),
    ("unknown_column.csv", {**CUP, "headings": {"colour": "ignore"}}, "bore 1 22.010"),
    ("slash_open.csv", {"headings": {"date": "made day-first"}}, "bore 1 22.010"),
    (
        "inch_file.csv", {**CUP, "headings": {"bore": "bore (in)"}, "skip": (3, 4)},
        "bore 1 0.8665in",
    ),
]  # fmt: skip

REFUSED: list[tuple[str, dict[str, Any], str]] = [
    ("first_and_second.csv", ANY, "--ignore \"bore 2nd\""),
    ("repeat_in_heading.csv", CUP, "--ignore \"bore 2nd\""),
    ("merged.xlsx", ANY, "--ignore \"bore 2nd\""),
    ("slash_open.csv", {}, "day or month first"),
    ("slash_both.csv", {}, "day or month first"),
    ("inch_file.csv", CUP, "3 of 3 readings of bore are near 22 mm only if they are inches"),
    ("metric_file_in_inch_part.csv", {"part": "ring"}, "only if they are millimetres"),
    ("decimal_comma_cut.csv", CUP, "separate with ;"),
    ("unknown_column.csv", CUP, "--ignore \"colour\""),
    ("two_values.csv", {}, "another value in line 2"),
    ("scrapped.csv", CUP, "no reading"),
    ("text.csv", CUP, "no header line"),
    ("foreign_heading.csv", CUP, "no header line"),
    ("picture.csv", CUP, "not a text file"),
    ("two_sheets.xlsx", ANY, "--sheet NAME"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "given", "expected"), READ)
def test_a_sheet_is_read(build: Build, name: str, given: dict[str, Any], expected: str) -> None:
    table = read_table(SHEETS / name, build, **given)
    assert table.bad == ()
    assert told(table) == expected


@pytest.mark.parametrize(("name", "given", "why"), REFUSED)
def test_a_sheet_is_refused(build: Build, name: str, given: dict[str, Any], why: str) -> None:
    try:
        table = read_table(SHEETS / name, build, **given)
    except TableError as error:
        said = str(error)
    else:
        assert table.rows == ()
        said = "\n".join(map(str, table.bad))
    assert why in said


@pytest.mark.parametrize("number", [0, 1, 2])
def test_the_examples_of_the_manual_are_read(build: Build, tmp_path: Path, number: int) -> None:
    example = re.findall(r"```\n(.*?)```", text("import"), re.DOTALL)[number]
    path = tmp_path / "example.csv"
    path.write_text(example, encoding="utf-8")
    table = read_table(path, build, part="cup")
    assert (table.bad, table.remarks, table.assumed) == ((), (), ())
    assert len(table.rows) == (3, 4, 6)[number]


def test_every_sheet_is_tried() -> None:
    tried = {name for name, _, _ in READ + REFUSED}
    assert tried == {path.name for path in SHEETS.iterdir()}
    assert len(tried) >= 31


@pytest.mark.parametrize(
    ("name", "given", "guess", "read_as"),
    [
        ("letters.csv", CUP, Guess.LETTERS, "cup-1"),
        ("slash_month_first.csv", {}, Guess.MONTH_FIRST, "2026-04-03"),
        ("slash_day_first.csv", {}, Guess.DAY_FIRST, "2026-04-03"),
        ("day_numbers.csv", {}, Guess.DAY_NUMBERS, "2026-04-13"),
        ("part_unnamed.csv", {}, Guess.PART, "ring"),
    ],
)
def test_what_the_whole_file_settles_is_said(
    build: Build, name: str, given: dict[str, Any], guess: Guess, read_as: str
) -> None:
    (assumed,) = read_table(SHEETS / name, build, **given).assumed
    assert (assumed.guess, assumed.read_as) == (guess, read_as)


@pytest.mark.parametrize("name", ["long.csv", "german.csv", "title_lines.csv", "month_names.csv"])
def test_a_file_that_leaves_nothing_open_needs_no_guess(build: Build, name: str) -> None:
    assert read_table(SHEETS / name, build).assumed == ()


def test_times_of_every_kind_are_those_of_the_clock_on_the_wall(build: Build) -> None:
    def made(name: str, **given: Any) -> list[str]:
        return [(r.made or "")[:16] for r in read_table(SHEETS / name, build, **given).rows]

    assert made("month_names.csv") == ["2026-04-13T00:00", "2026-04-14T19:30"]
    # 46125 days after 1899-12-30 is 2026-04-13: ISO 8601 days counted with Python's own calendar.
    assert made("day_numbers.csv") == ["2026-04-13T00:00", "2026-04-13T19:30"]
    assert made("slash_month_first.csv") == ["2026-04-03T00:00", "2026-04-13T00:00"]
    assert made("title_and_dates.xlsx", part="cup")[0] == "2026-04-13T19:30"
    turned = made("turned_with_units.csv", part="cup")
    assert turned[:2] == ["2026-04-13T00:00", "2026-04-14T00:00"]


def test_lines_without_readings_are_named(build: Build) -> None:
    table = read_table(SHEETS / "mean_and_min.csv", build, **CUP)
    assert [(s.text, s.why) for s in table.skipped] == [
        (text, SkipReason.SUMMARY) for text in ("Mean", "Min", "Max", "Range")
    ]
    titles = read_table(SHEETS / "title_lines.csv", build).skipped
    assert [s.why for s in titles] == [SkipReason.TITLE, SkipReason.TITLE]
