"""Files of readings as spreadsheets, people and other programs write them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from qlog.drawing.callouts.callout import Callout, Kind
from qlog.drawing.decision import DecisionRule
from qlog.drawing.limits import Limits
from qlog.drawing.plan import Build, Dimension, Instrument, Operation, Part, Requirement
from qlog.drawing.units import Unit
from qlog.intake.files.read_table import read_table
from qlog.intake.files.table import BadLine, FileRow, FileTable, TableError

D = Decimal
Read = Callable[..., FileTable]


def size(
    id: str, name: str, lower: str | None, upper: str | None, nominal: str | None, *ops: int,
    kind: Kind = Kind.DIAMETER, unit: Unit = Unit.MM,
) -> Dimension:  # fmt: skip
    limits = Limits(D(lower) if lower else None, D(upper) if upper else None, unit)
    callout = Callout("", kind, unit, D(nominal) if nominal else None, limits, "as written")
    return Dimension(id, name, tuple(Requirement(op, callout) for op in ops), None, 1)


def part(id: str, name: str, *dimensions: Dimension, spare: int = 2) -> Part:
    operations = tuple(Operation(n, f"op {n}", "turning") for n in (10, 20, 30))
    return Part(id, name, None, 8, spare, operations, dimensions)


CUP = part(
    "cup",
    "Candle cup",
    size("bore", "Bore", "8", "8.015", "8", 20),
    size("height", "Overall height", "29.9", "30.1", "30", 20),
    size("rim", "Rim diameter", "39.8", "40.2", "40", 20, 30),
    size("thread", "Thread", None, None, None, 20, kind=Kind.GO_NO_GO, unit=Unit.NONE),
    size("finish", "Finish", None, "0.8", None, 30, kind=Kind.ROUGHNESS, unit=Unit.MICROMETRE),
)
FOOT = part("foot", "Foot", size("bore", "Bore", "11.9", "12.1", "12", 10))
TOOLS = (
    Instrument("mic25", "Micrometer 0-25", "micrometer", Unit.MM, D("0.001"), D("0.004")),
    Instrument("cal", "Caliper 150", "caliper", Unit.MM, D("0.01"), D("0.03")),
)
BUILD = Build(
    title="", maker="", recipient="", occasion="", unit=Unit.MM, general="",
    decision=DecisionRule(), language="en", timezone="Europe/Vienna", materials=(),
    instruments=TOOLS, parts=(CUP, FOOT), joints=(), stacks=(), groups=(), bans=(), credits=(),
    object_record=(), photo_formats=(), folder=Path(), revision="", source="",
)  # fmt: skip


@pytest.fixture
def read(tmp_path: Path) -> Read:
    def write_and_read(text: str | bytes, **given: Any) -> FileTable:
        path = tmp_path / "readings.csv"
        path.write_bytes(text if isinstance(text, bytes) else text.encode("utf-8"))
        return read_table(path, BUILD, **given)

    return write_and_read


def short(table: FileTable) -> list[tuple[int, str, int, str, int, str]]:
    """Rows as line, part, op, dimension, piece, value."""
    return [(r.line, r.part, r.op, r.dimension, r.piece, outcome(r)) for r in table.rows]


def outcome(row: FileRow) -> str:
    if row.typed is not None:
        return f"{row.typed.value} {row.typed.unit.value}".strip()
    return row.gap or ("go" if row.passed else "no-go")


def only_bad(table: FileTable) -> BadLine:
    assert table.rows == ()
    assert len(table.bad) == 1, table.bad
    return table.bad[0]


def test_long_layout_with_all_columns(read: Read) -> None:
    table = read(
        "part,op,dimension,piece,value,unit,instrument,made,temperature,note\n"
        'cup,20,bore,cup-1,8.012,mm,mic25,2026-03-14 18:20,21.5,"first one, warm"\n'
        "cup,20,height,2,1.1815,in,Caliper 150,2026-07-01T10:00+00:00,,\n"
        "foot,op 10,bore,foot-3,12.01,,,,,\n"
    )
    assert (table.layout, table.separator, table.encoding) == ("long", "comma", "UTF-8")
    assert table.bad == ()
    assert short(table) == [
        (2, "cup", 20, "bore", 1, "8.012 mm"),
        (3, "cup", 20, "height", 2, "1.1815 in"),
        (4, "foot", 10, "bore", 3, "12.01 mm"),
    ]
    first, second, third = table.rows
    assert first.typed is not None
    assert first.typed.text == "8.012"
    assert (first.instrument, first.temperature, first.note) == (
        "mic25", D("21.5"), "first one, warm",
    )  # fmt: skip
    assert first.made == "2026-03-14T18:20:00+01:00"  # the build's own clock, winter time
    assert second.made == "2026-07-01T10:00:00+00:00"
    assert second.instrument == "cal"
    assert (third.made, third.instrument, third.temperature, third.note) == (None, None, None, "")


def test_long_layout_in_another_order_and_other_words(read: Read) -> None:
    table = read("Piece No.;Feature;Reading (mm);Operation;Part\n3;Bore;8,01;20;Candle cup\n")
    assert short(table) == [(2, "cup", 20, "bore", 3, "8.01 mm")]


def test_wide_layout_with_its_part_and_limits_on_top(read: Read) -> None:
    table = read(
        "part;cup\r\nop;20\r\n\r\n"
        "piece;bore;Overall height (mm);thread;instrument\r\n"
        "nominal;8;30;;\r\n"
        "lower limit;8,000;29,9;;\r\n"
        "upper limit;8,015;30,1;;\r\n"
        "cup-1;8,012;29,98;go;cal\r\n"
        "cup-2;8,009;;no-go;\r\n"
        "3;;30,02;;mic25\r\n"
    )
    assert (table.layout, table.separator) == ("wide", "semicolon")
    assert table.bad == ()
    assert table.remarks == ()
    assert table.blanks == 3
    assert short(table) == [
        (8, "cup", 20, "bore", 1, "8.012 mm"),
        (8, "cup", 20, "height", 1, "29.98 mm"),
        (8, "cup", 20, "thread", 1, "go"),
        (9, "cup", 20, "bore", 2, "8.009 mm"),
        (9, "cup", 20, "thread", 2, "no-go"),
        (10, "cup", 20, "height", 3, "30.02 mm"),
    ]
    assert [r.instrument for r in table.rows] == ["cal", "cal", "cal", None, None, "mic25"]


def test_wide_layout_with_units_and_instruments_in_header_rows(read: Read) -> None:
    table = read(
        "piece\tbore\theight\nunit\tmm\tin\ninstrument\tmic25\tcal\n1\t8.012\t1.1805\n",
        part="cup",
        op=20,
    )
    assert table.separator == "tab"
    assert short(table) == [
        (4, "cup", 20, "bore", 1, "8.012 mm"),
        (4, "cup", 20, "height", 1, "1.1805 in"),
    ]
    assert [r.instrument for r in table.rows] == ["mic25", "cal"]


def test_wide_layout_with_the_part_in_the_corner_and_no_op(read: Read) -> None:
    table = read("cup,bore,finish\n1,8.01,0.4\n", part="cup")
    assert short(table) == [
        (2, "cup", 20, "bore", 1, "8.01 mm"),
        (2, "cup", 30, "finish", 1, "0.4 um"),
    ]


def test_blank_is_not_zero(read: Read) -> None:
    table = read("piece,bore,height\n1,,29.98\n2,-,30\n3,skipped,cannot\n", part="cup")
    assert table.blanks == 2
    assert short(table) == [
        (2, "cup", 20, "height", 1, "29.98 mm"),
        (3, "cup", 20, "height", 2, "30 mm"),
        (4, "cup", 20, "bore", 3, "skipped"),
        (4, "cup", 20, "height", 3, "cannot"),
    ]


def test_scrapped_is_no_reading(read: Read) -> None:
    bad = only_bad(read("piece,bore\n1,scrapped\n", part="cup"))
    assert "no reading" in bad.what
    assert "leave the cell blank" in bad.accepted


def test_one_bad_line_leaves_nothing_to_write_and_all_are_listed(read: Read) -> None:
    table = read(
        "part,op,dimension,piece,value,instrument,made,temperature\n"
        "cup,20,bore,1,8.012,,,\n"
        "cupp,20,bore,1,8.012,,,\n"
        "cup,25,bore,1,8.012,,,\n"
        "cup,20,boer,1,8.012,,,\n"
        "cup,20,bore,11,8.012,,,\n"
        "cup,20,bore,foot-1,8.012,,,\n"
        "cup,20,bore,2,eight,,,\n"
        "cup,20,bore,2,8.012,micc25,,\n"
        "cup,20,bore,2,8.012,,03/04/2026,\n"
        "cup,20,bore,2,8.012,,,warm\n"
        "cup,10,bore,2,8.012,,,\n"
        "cup,,rim,2,40.0,,,\n"
        "cup,20,thread,2,yes,,,\n"
        ",20,bore,3,8.0,,,\n"
        "cup,20,,3,8.0,,,\n"
        "cup,20,bore,,8.0,,,\n"
        "cup,20,bore,3,8 cm,,,\n"
        "cup,20,bore,3,8.0,,,900\n"
    )
    assert table.rows == ()
    assert [(b.line, b.text) for b in table.bad] == [
        (3, "cupp"), (4, "25"), (5, "boer"), (6, "11"), (7, "foot-1"), (8, "eight"),
        (9, "micc25"), (10, "03/04/2026"), (11, "warm"), (12, "bore"), (13, "rim"), (14, "yes"),
        (15, ""), (16, ""), (17, ""), (18, "8 cm"), (19, "900"),
    ]  # fmt: skip
    accepted = {b.line: b.accepted for b in table.bad}
    assert accepted[3] == "did you mean cup?"
    assert accepted[4] == "its route is: 10 op 10, 20 op 20, 30 op 30"
    assert accepted[5] == "did you mean bore?"
    assert accepted[6] == "raise `spare` in build.toml if there is a cup-11"
    assert accepted[9] == "did you mean mic25?"
    assert accepted[10].startswith("write 2026-04-13, or say it with --map")
    assert accepted[12] == "it is read after op 20 or later"
    assert accepted[13].endswith("one of 20, 30")
    assert str(table.bad[0]).startswith("'cupp': no part of this build; did you mean")


def test_a_dimension_before_a_later_finish_is_read_after_the_op_that_is_named(read: Read) -> None:
    table = read("part,op,dimension,piece,value\ncup,20,rim,1,40.1\ncup,30,rim,1,40.0\n")
    assert [r.op for r in table.rows] == [20, 30]


def test_no_column_of_another_operation_is_filed_under_the_one_asked_for(read: Read) -> None:
    assert read("piece,rim,finish\n1,40.1,0.7\n", part="cup", op=30).bad == ()
    bad = only_bad(read("piece,rim,bore\n1,40.1,8.01\n", part="cup", op=30))
    assert bad.what == "bore is read after op 20, and op 30 was asked for"
    assert only_bad(read("dimension,piece,value\nbore,1,8.01\n", part="cup", op=30)).text == "bore"


def test_bad_headings_are_listed_with_the_nearest_name(read: Read) -> None:
    table = read("piece,bore,hieght,,bore\n1,8.0,30,1,8.0\n", part="cup")
    assert [(b.line, b.text) for b in table.bad] == [(1, "hieght"), (1, ""), (1, "bore")]
    assert table.bad[0].accepted.startswith("did you mean height?")
    assert "second column" in table.bad[2].what
    long = read("part,op,dimension,piece,value,colour\ncup,20,bore,1,8.0,red\n")
    assert only_bad(long).text == "colour"
    twice = read("part,op,dimension,piece,value,reading\ncup,20,bore,1,8.0,8.0\n")
    assert "second value column" in only_bad(twice).what
    no_piece = read("part,op,dimension,value\ncup,20,bore,8.0\n")
    assert "no piece column" in only_bad(no_piece).what


@pytest.mark.parametrize(
    "text",
    [
        "part,op,dimension,piece,value\ncup,20,bore,1,8,012\n",
        "part,op,dimension,piece,value,note\ncup,20,bore,1,8,012\n",
        "part,op,dimension,piece,value,unit\ncup,20,bore,1,8,012\n",
        "part,cup\npiece,bore,height\n1,8,012,29,98\n",
        "part,cup\npiece,bore,height\n1,8,012\n",  # as many cells as headings
        "part,cup\npiece,bore,height,finish\n1,8,5\n",
    ],
)
def test_a_decimal_comma_never_splits_into_two_numbers(read: Read, text: str) -> None:
    bad = only_bad(read(text))
    assert "separate with ;" in bad.accepted


def test_a_quoted_decimal_comma_is_a_number(read: Read) -> None:
    table = read('part,op,dimension,piece,value\ncup,20,bore,1,"8,012"\n')
    assert short(table) == [(2, "cup", 20, "bore", 1, "8.012 mm")]


def test_the_nominal_settles_a_comma_and_nothing_else_does(read: Read) -> None:
    assert short(read("piece;bore\n1;8,012\n", part="cup"))[0][5] == "8.012 mm"
    bad = only_bad(read("piece;height\n1;1,234\n", part="cup"))
    assert "1.234 or 1234" in bad.what


def test_inch_marks_and_fractions(read: Read) -> None:
    table = read('piece;bore;height\n1;5/16";"1 3/16"""\n', part="cup")
    assert [outcome(r) for r in table.rows] == ["0.3125 in", "1.1875 in"]
    clash = only_bad(read('piece;bore (mm)\n1;5/16"\n', part="cup"))
    assert "says mm" in clash.what


def test_quotes_that_do_not_pair_up(read: Read) -> None:
    table = read('part,op,dimension,piece,value\ncup,20,bore,1,8.0\ncup,20,bore,2,"8.0\n')
    bad = only_bad(table)
    assert bad.line == 3
    assert "quotes" in bad.what


def test_a_quoted_cell_of_two_lines_keeps_the_count(read: Read) -> None:
    table = read(
        'part,op,dimension,piece,value,note\ncup,20,bore,1,8.0,"two\nlines"\ncup,20,bore,x,8.0,\n'
    )
    assert only_bad(table).line == 4


@pytest.mark.parametrize("codec", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be"])
def test_unicode_encodings(read: Read, codec: str) -> None:
    text = "part;op;dimension;piece;value;note\ncup;30;finish;1;0,8 µm;ø ok\n"
    table = read(text.encode(codec))
    assert short(table) == [(2, "cup", 30, "finish", 1, "0.8 um")]
    assert table.rows[0].note == "ø ok"
    assert bool(table.remarks) is codec.startswith("utf-16")


def test_cp1252_is_read_and_said(read: Read) -> None:
    text = "part;op;dimension;piece;value;temperature\ncup;30;finish;1;0,8 µm;21 °C\n"
    table = read(text.encode("cp1252"))
    assert table.encoding == "cp1252"
    assert table.rows[0].temperature == D(21)
    assert "cp1252" in table.remarks[0]


def test_the_spreadsheets_own_separator_line(read: Read) -> None:
    table = read("sep=;\r\npiece;bore\r\n1;8,01\r\n", part="cup")
    assert short(table) == [(3, "cup", 20, "bore", 1, "8.01 mm")]


@pytest.mark.parametrize(
    ("text", "made"),
    [
        ("2026-03-14", "2026-03-14T00:00:00+01:00"),
        ("14.03.2026", "2026-03-14T00:00:00+01:00"),
        ("1.7.2026 9:05", "2026-07-01T09:05:00+02:00"),
        ("2026-07-01T09:05:30Z", "2026-07-01T09:05:30+00:00"),
        ("03/04/2026", None),
        ("14/13/2026", None),
        ("18:20", None),
        ("31.02.2026", None),
        ("yesterday", None),
    ],
)
def test_dates(read: Read, text: str, made: str | None) -> None:
    table = read(f"part,op,dimension,piece,value,date\ncup,20,bore,1,8.01,{text}\n")
    if made is None:
        assert only_bad(table).text == text
    else:
        assert table.rows[0].made == made


@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_line_endings(read: Read, ending: str) -> None:
    table = read(ending.join(["piece;bore", "", "1;8,01", ";", "2;8,02"]), part="cup")
    assert [(r.line, r.piece) for r in table.rows] == [(3, 1), (5, 2)]


def test_the_same_place_twice(read: Read) -> None:
    same = read("part,op,dimension,piece,value\ncup,20,bore,1,8.01\ncup,20,bore,cup-1,8.010 mm\n")
    assert len(same.rows) == 1
    assert same.remarks == ("line 3 says the same as line 2: taken once",)
    other = read("part,op,dimension,piece,value\ncup,20,bore,1,8.01\ncup,20,bore,1,8.02\n")
    bad = only_bad(other)
    assert bad.line == 3
    assert "line 2" in bad.what


def test_limits_that_are_not_the_drawings_are_remarked(read: Read) -> None:
    table = read(
        "piece;bore;height\nnominal;8;31\nlower;0;-0,1\nupper;8,020;+0,1\n1;8,01;30\n", part="cup"
    )
    assert len(table.rows) == 2
    assert [r.split(";")[0] for r in table.remarks] == [
        "line 2: nominal of height is 31 in the file and 30 mm on the drawing",
        "line 4: upper of bore is 8,020 in the file and 8.015 mm on the drawing",
    ]


def test_what_the_caller_asked_for_is_held_against_the_file(read: Read) -> None:
    assert "cup was asked for" in only_bad(read("part;foot\npiece;bore\n1;8\n", part="cup")).what
    op = read("part;cup\nop;30\npiece;finish\n1;0,4\n", op=20, part="cup")
    assert "op 20 was asked for" in op.bad[0].what
    long = read("part,op,dimension,piece,value\nfoot,10,bore,1,12\n", part="cup")
    assert "cup was asked for" in only_bad(long).what
    with pytest.raises(TableError, match=r"'cop': no part of this build; did you mean cup\?"):
        read("piece;bore\n1;8\n", part="cop")
    with pytest.raises(TableError, match="no operation of cup"):
        read("piece;bore\n1;8\n", part="cup", op=99)


def test_a_bad_part_line_is_said_once(read: Read) -> None:
    assert only_bad(read("part;cop\npiece;bore\n1;8\n")).text == "cop"


@pytest.mark.parametrize(
    ("data", "match"),
    [
        (b"", "empty"),
        (b" \r\n ", "empty"),
        (b"PK\x03\x04rest", "spreadsheet"),
        (b"\xd0\xcf\x11\xe0rest", "spreadsheet"),
        (b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", "not a text file"),
        (b"piece;bore\n1;8 \x81\n", "not UTF-8 or cp1252"),
        (b"lorem ipsum\ndolor sit\n", "no header line"),
        (b"piece;bore\n1;8\n", "no part named"),
        (b"part;cup\nop;20\n", "no header line"),
    ],
)
def test_files_that_cannot_be_read(read: Read, data: bytes, match: str) -> None:
    with pytest.raises(TableError, match=match):
        read(data)


def test_missing_file_and_folder(tmp_path: Path) -> None:
    with pytest.raises(TableError, match=r"nowhere\.csv: cannot be read"):
        read_table(tmp_path / "nowhere.csv", BUILD)
    with pytest.raises(TableError, match="cannot be read"):
        read_table(tmp_path, BUILD)


def test_a_build_of_one_part_needs_no_part_named(tmp_path: Path) -> None:
    path = tmp_path / "readings.csv"
    path.write_text("piece;bore\n1;8,01\n", encoding="utf-8")
    assert read_table(path, replace(BUILD, parts=(CUP,))).rows[0].part == "cup"


@settings(deadline=None, derandomize=True)
@given(st.binary(max_size=200))
def test_any_bytes_are_read_or_refused(
    tmp_path_factory: pytest.TempPathFactory, data: bytes
) -> None:
    path = tmp_path_factory.getbasetemp() / "any.csv"
    path.write_bytes(data)
    with pytest.raises(TableError):
        read_table(path, BUILD)


@settings(deadline=None, derandomize=True)
@given(st.text(alphabet="1238,;.\t\n\"-'cupborehgt ", max_size=120))
def test_any_lines_under_a_header_are_read_or_listed(
    tmp_path_factory: pytest.TempPathFactory, text: str
) -> None:
    path = tmp_path_factory.getbasetemp() / "lines.csv"
    path.write_text("part;cup\nop;20\npiece;bore;height\n" + text, encoding="utf-8", newline="")
    table = read_table(path, BUILD)
    assert not (table.rows and table.bad)
    assert all(b.line >= 3 and b.what and b.accepted for b in table.bad)
    for row in table.rows:
        assert row.typed is not None or row.gap
