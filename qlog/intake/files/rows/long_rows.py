"""The long layout: a reading a line, under a header that names its columns."""

from __future__ import annotations

import re
from collections.abc import Iterable

from qlog.drawing.plan import Part
from qlog.intake.files.cells import Taking
from qlog.intake.files.given import Given
from qlog.intake.files.headings import (
    COLUMN_OF,
    COLUMNS,
    NO_READINGS,
    SUMMARIES,
    VERDICTS,
    split_heading,
)
from qlog.intake.files.layout import FileLayout
from qlog.intake.files.mapping import Headings
from qlog.intake.files.rows.reader import RowReader, split_comma, too_many
from qlog.intake.files.table import Bad, Column, FileLine, Meaning, SkipReason
from qlog.intake.typed.places import nearest, plain
from qlog.problem import ToSay


class LongRows(RowReader):
    """Reads the lines of one file; what it finds goes into `taking`."""

    def __init__(
        self, taking: Taking, given: Given, headings: Headings, layout: FileLayout, *, commas: bool
    ) -> None:
        super().__init__(taking, given, headings, layout, commas=commas)
        self._columns: list[str] = []  # by number; "" where nothing is read
        self._unit = ""

    def read(self) -> None:
        """Read the header, and every line unless the header is bad."""
        self._header()
        if self._taking.bad:
            return
        self._each(self._layout.body, self._read)

    def _read(self, line: FileLine) -> None:
        first = plain(line.cell(0))
        if self._headings.ignored(line.cell(0)):
            self._taking.skip(line.number, line.cell(0), SkipReason.ASKED)
        elif first in SUMMARIES and self._columns[0] in ("piece", "part", "dimension"):
            self._taking.skip(line.number, line.cell(0), SkipReason.SUMMARY)
        else:
            self._line(line)

    def _header(self) -> None:
        header, taking = self._layout.header, self._taking
        for number, cell in enumerate(header.cells):
            name, unit = split_heading(self._headings.renamed(cell))
            column = COLUMN_OF.get(plain(name)) if cell else None
            if self._leave_out(number, cell, column):
                if cell:
                    taking.columns.append(Column(cell, Meaning.SKIPPED))
                self._columns.append("")
                continue
            if column == "value":
                self._unit = unit
            if cell and (column is None or column in self._columns):
                what = ToSay("error.second_column", column=column)
                if column is None:
                    what = ToSay("error.no_column_known")
                known = [c for c in COLUMNS if c not in self._columns]
                hint = ToSay("error.or_ignore", near=nearest(cell, known), cell=cell)
                taking.note_bad(header.number, Bad(cell, what, hint))
            elif column is not None:
                taking.columns.append(Column(cell, Meaning(column), unit=unit))
            self._columns.append(column or "")
        if "piece" not in self._columns:
            heads = ", ".join(header.cells)
            taking.note_bad(
                header.number,
                Bad(heads, ToSay("error.piece_column"), ToSay("error.name_column_piece")),
            )
        if "made" in self._columns:
            at = self._columns.index("made")
            taking.dates.of_column(
                (line.cell(at) for line in self._layout.body),
                self._headings.day_first(header.cell(at)),
            )
        if "piece" in self._columns:
            at = self._columns.index("piece")
            taking.letters = lettered(line.cell(at) for line in self._layout.body)

    def _leave_out(self, number: int, cell: str, column: str | None) -> bool:
        """Whether a column holds no readings: who measured, and what somebody made of it."""
        if self._headings.ignored(cell):
            return True
        if self._headings.target(cell) is not None:
            return False
        if column is None:
            return plain(cell) in NO_READINGS | SUMMARIES
        others = [c for c in self._layout.header.cells if COLUMN_OF.get(plain(c)) == "value"]
        if column != "value" or len(others) < 2 or plain(cell) not in NO_READINGS:
            return False
        return all(plain(line.cell(number)) in VERDICTS for line in self._layout.body)

    def _line(self, line: FileLine) -> None:
        taking, columns = self._taking, self._columns
        if any(line.cells[len(columns) :]):
            raise too_many(line.cells, len(columns), commas=self._commas)
        fields = {c: cell for c, cell in zip(columns, line.cells, strict=False) if c}
        value = fields.get("value", "")
        self._refuse_split_comma(line, value)
        part = self._part(fields.get("part", ""))
        op = taking.op(fields["op"], part) if fields.get("op") else self._given.op
        if self._given.op is not None and op != self._given.op:
            raise Bad(
                fields["op"], ToSay("error.op_asked", op=self._given.op), ToSay("error.give_file")
            )
        name = fields.get("dimension", "")
        if not name:
            raise Bad(
                "", ToSay("error.dimension_named"), nearest("", [d.id for d in part.dimensions])
            )
        place = taking.place(
            part, op, taking.dimension(name, part), name, own=bool(fields.get("op"))
        )
        if not fields.get("piece"):
            raise Bad(
                "", ToSay("error.piece_named"), ToSay("error.write_piece_such_as", part=part.id)
            )
        piece = taking.piece(fields["piece"], part)
        besides = taking.besides(line.number, fields)
        unit = fields.get("unit") or self._unit
        taking.take(place, piece, value, "" if place.callout.attribute else unit, besides)

    def _refuse_split_comma(self, line: FileLine, value: str) -> None:
        after = self._columns.index("value") + 1
        if (
            self._commas
            and after < min(len(line.cells), len(self._columns))
            and self._columns[after] in ("note", "unit")
            and re.fullmatch(r"[+-]?\d+", value)
            and re.fullmatch(r"\d+", line.cells[after])
        ):
            raise Bad(f"{value},{line.cells[after]}", *split_comma())

    def _part(self, text: str) -> Part:
        given = self._given.whole_part(self._taking)
        if not text:
            if given is None:
                ids = ", ".join(p.id for p in self._taking.build.parts)
                raise Bad("", ToSay("error.part_named"), ToSay("error.parts_are", ids=ids))
            return given
        part = self._taking.part(text)
        if self._given.part is not None and part is not self._given.part:
            raise Bad(
                text, ToSay("error.part_asked", part=self._given.part.id), ToSay("error.give_file")
            )
        return part


def lettered(cells: Iterable[str]) -> bool:
    """Whether the pieces of a file are labelled A, B, C ..., each of them by one letter."""
    labels = [c for c in cells if c and plain(c) not in SUMMARIES]
    letters = [c for c in labels if len(c) == 1 and c.isascii() and c.isalpha()]
    return len(letters) >= 2 and len(letters) == len(labels)
