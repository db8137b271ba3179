"""The wide layout: pieces in rows, dimensions in columns, limits and units in rows on top."""

from __future__ import annotations

from qlog.drawing.plan import Part
from qlog.frozen import replace
from qlog.intake.files.cells import Taking, unit_fits
from qlog.intake.files.given import Given
from qlog.intake.files.headings import (
    COLUMN_OF,
    NO_READINGS,
    SECOND_HEADER_OF,
    SUMMARIES,
    split_heading,
)
from qlog.intake.files.layout import FileLayout
from qlog.intake.files.mapping import Headings
from qlog.intake.files.rows.long_rows import lettered
from qlog.intake.files.rows.reader import RowReader
from qlog.intake.files.rows.reading_column import ReadingColumn, enter, fits_header, series_of
from qlog.intake.files.table import Bad, Column, FileLine, Meaning, NoSuchName, SkipReason
from qlog.intake.typed.places import plain
from qlog.problem import ToSay

_BESIDES = ("instrument", "made", "temperature", "note")
_WHY = {"unit": SkipReason.UNITS, "instrument": SkipReason.INSTRUMENTS}


class WideRows(RowReader):
    """Reads the lines of one file; what it finds goes into `taking`."""

    def __init__(
        self, taking: Taking, given: Given, headings: Headings, layout: FileLayout, *, commas: bool
    ) -> None:
        super().__init__(taking, given, headings, layout, commas=commas)
        self._series: dict[int, ReadingColumn] = {}
        self._besides: dict[int, str] = {}
        self._width = 0
        self._seen_piece = False

    def read(self, part: Part) -> None:
        """Read the header, and every line unless the header is bad."""
        self._header(part)
        if self._taking.bad:
            return

        def read(line: FileLine) -> None:
            if not self._skipped(line):
                self._seen_piece = True
                self._line(line, part)

        self._each(self._layout.body, read)

    def _header(self, part: Part) -> None:
        taking, header = self._taking, self._layout.header
        self._width = max((n for n, c in enumerate(header.cells, 1) if c), default=0)
        corner = header.cell(0)
        if COLUMN_OF.get(plain(self._headings.renamed(corner))) != "piece" and (
            plain(corner) not in (plain(part.id), plain(part.name))
        ):
            taking.note_bad(
                header.number,
                Bad(
                    corner,
                    ToSay("error.first_column_holds"),
                    ToSay("error.head_piece_map", corner=corner),
                ),
            )
        taking.columns.append(Column(corner, Meaning.PIECE))
        taking.letters = lettered(
            line.cell(0) for line in self._layout.body if not self._on_top(line)
        )
        seen: set[str] = set()
        for number, cell in enumerate(header.cells[: self._width]):
            if number == 0:
                continue
            try:
                self._heading(part, number, cell, seen)
            except Bad as bad:
                taking.note_bad(header.number, bad)

    def _on_top(self, line: FileLine) -> bool:
        first = plain(line.cell(0))
        return bool(first) and (first in SECOND_HEADER_OF or first in SUMMARIES)

    def _heading(self, part: Part, number: int, cell: str, seen: set[str]) -> None:
        taking = self._taking
        if not cell:
            if not any(line.cell(number) for line in self._layout.body):
                return  # an empty column between others
            raise Bad(
                "", ToSay("error.column_heading", number=number + 1), ToSay("error.name_dimension")
            )
        if self._headings.ignored(cell):
            taking.columns.append(Column(cell, Meaning.SKIPPED))
            return
        besides = COLUMN_OF.get(plain(split_heading(self._headings.renamed(cell))[0]))
        try:
            series = series_of(taking, self._given, self._headings, part, cell, seen)
        except Bad as bad:
            if not isinstance(bad, NoSuchName):
                raise
            if besides in _BESIDES:
                self._besides[number] = besides
                taking.columns.append(Column(cell, Meaning(besides)))
                if besides == "made":
                    taking.dates.of_column(
                        (line.cell(number) for line in self._layout.body),
                        self._headings.day_first(cell),
                    )
                return
            if plain(cell) in NO_READINGS | SUMMARIES:
                taking.columns.append(Column(cell, Meaning.SKIPPED))
                return
            hint = ToSay("error.or_leave_out", hint=bad.accepted, cell=cell)
            raise Bad(cell, bad.what, hint) from bad
        self._series[number] = series
        meaning = Meaning.AGAIN if series.again else Meaning.READINGS
        taking.columns.append(Column(cell, meaning, series.place.dimension.id, series.unit))

    def _skipped(self, line: FileLine) -> bool:
        """Whether a line holds no readings of a piece; units, limits and instruments are used."""
        taking = self._taking
        first = plain(line.cell(0))
        if self._headings.ignored(line.cell(0)):
            taking.skip(line.number, line.cell(0), SkipReason.ASKED)
            return True
        second = SECOND_HEADER_OF.get(first) if first and not self._seen_piece else None
        if second is None and not line.cell(0) and not self._seen_piece and self._all_units(line):
            second = "unit"
        if second is not None:
            self._second_header(line, second)
            taking.skip(line.number, line.cell(0), _WHY.get(second, SkipReason.LIMITS))
            return True
        if first in SUMMARIES:
            taking.skip(line.number, line.cell(0), SkipReason.SUMMARY)
            return True
        return False

    def _all_units(self, line: FileLine) -> bool:
        cells = {n: line.cell(n).strip("()[]") for n in self._series if line.cell(n)}
        try:
            for number, cell in cells.items():
                unit_fits(cell, self._series[number].place.callout)
        except Bad:
            return False
        return bool(cells)

    def _second_header(self, line: FileLine, kind: str) -> None:
        for number, series in self._series.items():
            series.hold(kind, line.cell(number), line.number, self._taking)

    def _line(self, line: FileLine, part: Part) -> None:
        taking = self._taking
        fits_header(line, self._width, commas=self._commas)
        piece = taking.piece(line.cell(0), part)
        besides = taking.besides(
            line.number, {column: line.cell(n) for n, column in self._besides.items()}
        )
        for number, series in self._series.items():
            own = replace(besides, instrument=besides.instrument or series.instrument)
            enter(taking, line, number, series, piece, own, commas=self._commas)
