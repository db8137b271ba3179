"""Files of readings: text as spreadsheets write it, and the spreadsheets themselves.

Three layouts are read. The long one has a reading a line, under a header that names its columns:
`part, op, dimension, piece, value` and, if wanted, `unit, instrument, made, temperature, note`.
The wide one has pieces in rows and dimensions in columns, under `part;cup` and `op;20` lines or
with both given by the caller; rows of nominal, limits, unit and instrument may follow its header.
The turned one has dimensions in rows and pieces in columns. Exported readings are taken in as
they were.

A file is taken whole or not at all: one bad line leaves nothing to write, and every bad line is
listed with what would be accepted. Only plain values come out; nothing is written here.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from pathlib import Path

from qlog.drawing.plan import Build, Part
from qlog.intake.files.cells import Taking
from qlog.intake.files.columns import Dates, in_another_unit
from qlog.intake.files.file_lines import open_sheet
from qlog.intake.files.given import Given, given
from qlog.intake.files.headings import split_heading
from qlog.intake.files.layout import FileLayout, Knowing, lay_out
from qlog.intake.files.mapping import Headings
from qlog.intake.files.rows.long_rows import LongRows
from qlog.intake.files.rows.own_rows import OwnRows
from qlog.intake.files.rows.turned_rows import TurnedRows
from qlog.intake.files.rows.wide_rows import WideRows
from qlog.intake.files.table import Assumed, FileTable, Guess, SkipReason, TableError
from qlog.intake.typed.places import PlaceError, dimension_of
from qlog.problem import ToSay


def read_table(
    path: Path,
    build: Build,
    *,
    part: str | None = None,
    op: int | None = None,
    headings: Mapping[str, str] | None = None,
    skip: Collection[int] = (),
    sheet: str | None = None,
) -> FileTable:
    """Read a file of readings and check every name in it against the plan.

    `part` and `op` stand in where the file does not name them; a file that names others is bad.
    `headings` says what headings are to be read as, `skip` which lines are left out, `sheet` which
    one of a spreadsheet is meant. Raises TableError when the file is missing, empty, too large,
    neither text nor a spreadsheet, or has no header that can be understood.
    """
    said = Headings(headings or {})
    knowing = Knowing(build, said)
    source = open_sheet(
        path, lambda lines: knowing.score([x for x in lines if x.number not in skip]), sheet
    )
    taking = Taking(build, Dates(build.timezone))
    taking.remarks += source.remarks
    if source.broken is not None:
        taking.bad.append(source.broken)
    whole = given(taking, part, op)
    lines = [line for line in source.lines if line.number not in skip]
    for line in source.lines:
        if line.number in skip:
            taking.skip(line.number, " ".join(filter(None, line.cells)), SkipReason.ASKED)
    layout = lay_out(lines, knowing, said)
    if layout is None:
        raise TableError(ToSay("error.header_line_can", path=path))
    for line in layout.before:
        if not whole.take(line, taking):
            taking.skip(line.number, " ".join(filter(None, line.cells)), SkipReason.TITLE)
    if layout.kind == "own":
        OwnRows(taking, layout, source.separator).read()
    elif layout.kind == "long":
        LongRows(taking, whole, said, layout, commas=source.commas).read()
    else:
        owner = _part_of(path, taking, whole, layout, said)
        rows = WideRows if layout.kind == "wide" else TurnedRows
        if owner is not None:
            rows(taking, whole, said, layout, commas=source.commas).read(owner)
    if not taking.bad and layout.kind != "own":
        taking.bad += in_another_unit(taking.rows, build)
    bad = tuple(sorted(taking.bad, key=lambda b: b.line))
    return FileTable(
        path=path,
        layout=layout.kind,
        separator=source.separator,
        encoding=source.encoding,
        rows=() if bad else tuple(taking.rows),
        bad=bad,
        blanks=taking.blanks,
        remarks=tuple(taking.remarks),
        columns=tuple(taking.columns),
        skipped=tuple(sorted(taking.skipped, key=lambda s: s.line)),
        assumed=tuple(taking.assumed.values()),
    )


def _part_of(
    path: Path, taking: Taking, whole: Given, layout: FileLayout, headings: Headings
) -> Part | None:
    """The part that a wide file is of; None when its part line is bad already.

    Where none is named, it may be the only part that has all dimensions of the file: that is a
    guess, and said. Raises TableError.
    """
    part = whole.whole_part(taking)
    if part is not None or taking.bad:
        return part
    named = [
        split_heading(headings.renamed(cell))[0]
        for cell in (
            layout.header.cells if layout.kind == "wide" else [line.cell(0) for line in layout.body]
        )
    ]
    counts = {p.id: sum(1 for name in named if name and _has(p, name)) for p in taking.build.parts}
    most = max(counts.values())
    alike = [p for p in taking.build.parts if counts[p.id] == most]
    if most and len(alike) == 1 and sum(1 for n in counts.values() if n) == 1:
        taking.assumed[Guess.PART] = Assumed(Guess.PART, layout.header.cell(1), alike[0].id)
        return alike[0]
    ids = ", ".join(p.id for p in taking.build.parts)
    raise TableError(
        ToSay("error.pieces_rows_but", path=path, parts=taking.build.parts[0].id, ids=ids)
    )


def _has(part: Part, name: str) -> bool:
    try:
        dimension_of(part, name)
    except PlaceError:
        return False
    return True
