"""Exported readings: nothing is lost on the way out and in again, nothing runs in a spreadsheet."""

from __future__ import annotations

import io
import json
import tempfile
from decimal import Decimal
from pathlib import Path

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from qlog.drawing.build_file.load import load
from qlog.drawing.plan import Build
from qlog.intake.files.take import enter_file, ready_file
from qlog.logbook.facts import Gap, Reading
from qlog.logbook.store import Logbook, create
from qlog.manual import text
from qlog.record.publish import data_files
from qlog.record.readings.fields import FIELDS, NAMES
from qlog.record.readings.judged_rows import rows_of, wide
from qlog.record.readings.written import (
    as_csv,
    as_json_lines,
    as_xlsx,
    long_csv,
    long_lines,
    protected,
)
from qlog.review.whole import picture_from
from tests.conftest import SMALL_PLAN, run_qlog


@pytest.fixture(scope="module")
def build(tmp_path_factory: pytest.TempPathFactory) -> Build:
    folder = tmp_path_factory.mktemp("plan")
    (folder / "build.toml").write_text(SMALL_PLAN, encoding="utf-8")
    return load(folder / "build.toml")


def opened(build: Build, folder: str, name: str) -> Logbook:
    path = Path(folder) / name
    create(path)
    return Logbook(path, revision=build.revision, source=build.source)


numbers = st.decimals("21.5", "22.5", places=3).map(lambda d: f"{d:f}")
texts = st.text(st.characters(codec="utf-8", exclude_categories=("Cs", "Cc")), max_size=12).map(
    str.strip
) | st.sampled_from(["=1+1", "-", "@x", "3-4", "1/2", "'", "''a", "2.5", "12 May"])
warm = st.none() | st.sampled_from(["21.5", "18", "-3.25"])
times = st.sampled_from(["2026-04-18T19:30:00+02:00", "2026-01-02T03:04:05.678900+00:00"])


@st.composite
def facts(draw: st.DrawFn) -> list[tuple[Reading | Gap, str]]:
    """Readings and gaps at different places, as the commands enter them."""
    found: list[tuple[Reading | Gap, str]] = []
    places = [(op, dim, piece) for op, dim in ((10, "height"), (20, "bore"), (20, "look"))
              for piece in (1, 2, 3, 4)]  # fmt: skip
    for op, dim, piece in draw(st.lists(st.sampled_from(places), unique=True, max_size=6)):
        kind = draw(st.sampled_from(["value", "gap"]))
        note = draw(texts)
        if kind == "gap":
            gap = Gap("cup", op, dim, piece, draw(st.sampled_from(["skipped", "cannot"])), note)
            found.append((gap, draw(times)))
            continue
        value, unit, typed = draw(numbers), "mm", ""
        if dim == "look":
            value, unit, typed = draw(st.sampled_from(["go", "no-go"])), "", "ok"
            typed = "ok" if value == "go" else "not ok"
        fact = Reading(
            "cup", op, dim, piece, typed or draw(st.sampled_from([value, f"{value} mm",
            value.replace(".", ",")])), value, unit,
            draw(st.none() | st.sampled_from(["caliper", "micrometer"])), draw(warm),
            draw(warm), note,
        )  # fmt: skip
        found.append((fact, draw(times)))
    return found


WRITERS = {
    "en.csv": lambda rows: long_csv(rows, "en").encode(),
    "de.csv": lambda rows: long_csv(rows, "de").encode(),
    "lines.jsonl": lambda rows: as_json_lines(rows).encode(),
    "sheet.xlsx": lambda rows: as_xlsx(long_lines(rows)),
}


@pytest.mark.parametrize("name", WRITERS)
@settings(max_examples=15)
@given(logged=facts(), second=st.booleans())
def test_what_was_exported_is_taken_in_with_nothing_changed(
    build: Build, name: str, logged: list[tuple[Reading | Gap, str]], second: bool
) -> None:
    with tempfile.TemporaryDirectory() as folder:
        with opened(build, folder, "one.db") as log:
            for fact, made in logged:
                log.append(fact, made=made)
            firsts = [f for f, _ in logged if isinstance(f, Reading) and f.instrument == "caliper"]
            if second and firsts:
                from dataclasses import replace

                other = replace(firsts[0], instrument="micrometer", note="read again")
                log.append(other, made="2026-05-01T10:00:00+02:00", beside=True)
            rows = rows_of(log, picture_from(build, log, studied=False))
            before = [(e.fact, e.made) for k in (Reading, Gap) for e in log.live(k)]
        path = Path(folder) / name
        path.write_bytes(WRITERS[name](rows))
        with opened(build, folder, "two.db") as log:
            if rows:
                enter_file(log, ready_file(build, log, path))
            after = [(e.fact, e.made) for k in (Reading, Gap) for e in log.live(k)]
            assert after == before
            if rows:  # told twice is told once
                assert enter_file(log, ready_file(build, log, path)).new == 0


@given(text=texts | st.text(max_size=8), mark=st.sampled_from([".", ","]))
def test_protection_is_taken_away_again(text: str, mark: str) -> None:
    shown = protected(text, mark)
    assert (shown.removeprefix("'") if shown.startswith("'") else shown) == text


@pytest.mark.parametrize(
    "text", ["=1+1", "+1", "-x", "@sum", "3/8", "1-5", "8.1.2", "12 May", "Mai 4", "19:30", "'x"]
)
def test_text_that_a_spreadsheet_would_change_is_protected(text: str) -> None:
    assert protected(text, ".") == f"'{text}"


@pytest.mark.parametrize(("text", "mark"), [("22.010", "."), ("22,010", ","), ("cup", ".")])
def test_text_that_no_spreadsheet_would_change_is_as_it_is(text: str, mark: str) -> None:
    assert protected(text, mark) == text


@pytest.fixture
def read_cups(build_dir: Path) -> Path:
    for piece, value in ((1, "22.010"), (2, "22.020"), (3, "22.061")):
        run_qlog("--build", str(build_dir), "read", "cup", "20", "bore", str(piece), value)
    return build_dir


def test_the_spreadsheet_holds_numbers_limits_and_verdicts(read_cups: Path) -> None:
    out = read_cups / "all.xlsx"
    assert run_qlog("--build", str(read_cups), "export", "-o", str(out)).status == 0
    sheet = openpyxl.load_workbook(out).active
    lines = list(sheet.iter_rows(values_only=True))
    assert lines[0] == NAMES
    first = dict(zip(NAMES, lines[1], strict=True))
    assert (first["value"], first["lower"], first["upper"]) == (22.01, 22, 22.05)
    assert [dict(zip(NAMES, x, strict=True))["verdict"] for x in lines[1:]] == [
        "good", "good", "out high",
    ]  # fmt: skip
    assert sheet.cell(2, NAMES.index("value") + 1).number_format == "0.000"
    again = run_qlog("--build", str(read_cups), "export", "-o", str(out))
    assert (again.status, "is there already" in again.err) == (2, True)


def test_german_csv_has_semicolons_and_decimal_commas(read_cups: Path) -> None:
    ran = run_qlog("--build", str(read_cups), "export", "--csv", "de")
    assert ";22,010;mm;" in ran.out
    assert run_qlog("--build", str(read_cups), "export").out.splitlines()[0] == ",".join(NAMES)


def test_the_wide_table_reads_in_again(read_cups: Path, tmp_path: Path, build: Build) -> None:
    path = tmp_path / "wide.csv"
    ran = run_qlog("--build", str(read_cups), "export", "cup", "--wide", "--csv", "de")
    assert "piece;bore" in ran.out and "3;22,061" in ran.out
    path.write_text(ran.out, encoding="utf-8")
    with opened(build, str(tmp_path), "new.db") as log:
        enter_file(log, ready_file(build, log, path))
        assert [(e.fact.piece, e.fact.value) for e in log.live(Reading)] == [
            (1, "22.010"), (2, "22.020"), (3, "22.061"),
        ]  # fmt: skip


def test_json_lines_hold_one_reading_each(read_cups: Path) -> None:
    ran = run_qlog("--build", str(read_cups), "export", "--json-lines")
    first = json.loads(ran.out.splitlines()[0])
    assert (first["qlog_readings"], first["value"], first["piece"]) == (1, "22.010", 1)


def test_a_newer_version_is_refused(read_cups: Path, tmp_path: Path) -> None:
    written = run_qlog("--build", str(read_cups), "export").out
    newer = tmp_path / "newer.csv"
    newer.write_text(written.replace("\n1,", "\n2,"), encoding="utf-8", newline="")
    ran = run_qlog("--build", str(read_cups), "read", "--csv", str(newer))
    assert (ran.status, "newer qlog" in ran.err) == (2, True)


def test_the_manual_describes_every_field() -> None:
    page = text("export")
    assert all(f"| `{field.name}` |" in page for field in FIELDS)


def test_the_records_table_follows_the_editions_language() -> None:
    row = {"piece": 1, "value": "22.010", "note": "3/8", "passed": None}
    assert "".join(data_files.as_csv([row], list(row), "de-AT")).splitlines()[1] == "1;22,010;'3/8;"
    assert "".join(data_files.as_csv([row], list(row), "en")).splitlines()[1] == "1,22.010,'3/8,"
    assert io.StringIO(as_csv([["part", Decimal("1.50")]], "de")).read() == "part;1,50\r\n"


def test_nothing_wide_of_nothing() -> None:
    assert wide([]) == []


@pytest.mark.parametrize("notes", [[], ["a"], ["two\nlines ]", '\u2028\x85 "ä"']])
def test_rows_written_one_by_one_are_what_the_standard_library_writes(notes: list[str]) -> None:
    rows = [{"piece": n, "note": note, "passed": None} for n, note in enumerate(notes)]
    whole = {"title": "a ] b", "entries": "3", "readings": rows}
    about = {"title": "a ] b", "entries": "3"}
    assert "".join(data_files.as_json(iter(rows), about)) == (
        json.dumps(whole, ensure_ascii=False, indent=1) + "\n"
    )
