"""The wide layout turned over: dimensions in rows, pieces in columns."""

from __future__ import annotations

from qlog.drawing.plan import Part
from qlog.intake.files.cells import Besides, Taking
from qlog.intake.files.given import Given
from qlog.intake.files.headings import COLUMN_OF, NO_READINGS, SECOND_HEADER_OF, SUMMARIES
from qlog.intake.files.layout import FileLayout
from qlog.intake.files.mapping import Headings
from qlog.intake.files.rows.reader import RowReader
from qlog.intake.files.rows.reading_column import ReadingColumn, enter, fits_header, series_of
from qlog.intake.files.table import Bad, Column, FileLine, Meaning, SkipReason
from qlog.intake.typed.places import plain
from qlog.problem import ToSay


class TurnedRows(RowReader):
    """Reads the lines of one file; what it finds goes into `taking`."""

    def __init__(
        self, taking: Taking, given: Given, headings: Headings, layout: FileLayout, *, commas: bool
    ) -> None:
        super().__init__(taking, given, headings, layout, commas=commas)
        self._pieces: dict[int, int] = {}
        self._besides: dict[int, str] = {}
        self._made: dict[int, str] = {}  # by column, where a row gives the times

    def read(self, part: Part) -> None:
        """Read the header, and every line unless the header is bad."""
        self._header(part)
        if self._taking.bad:
            return
        seen: set[str] = set()

        def read(line: FileLine) -> None:
            if not self._skipped(line):
                self._line(line, part, seen)

        self._each(filter(self._of_times, self._layout.body), self._times)
        self._each(self._layout.body, read)

    def _header(self, part: Part) -> None:
        taking, header = self._taking, self._layout.header
        taking.columns.append(Column(header.cell(0), Meaning.DIMENSION))
        for number, cell in enumerate(header.cells):
            if number == 0 or not cell:
                continue
            word = plain(self._headings.renamed(cell))
            limit = word in SECOND_HEADER_OF and not self._pieces
            if self._headings.ignored(cell) or (word in SUMMARIES | NO_READINGS and not limit):
                taking.columns.append(Column(cell, Meaning.SKIPPED))
                continue
            second = SECOND_HEADER_OF.get(word)
            if second is not None:
                self._besides[number] = second
                continue
            try:
                piece = taking.piece(cell, part)
                if piece in self._pieces.values():
                    raise Bad(
                        cell, ToSay("error.second_column_piece"), ToSay("error.keep_one_them")
                    )
                self._pieces[number] = piece
                taking.columns.append(Column(cell, Meaning.PIECE))
            except Bad as bad:
                taking.note_bad(header.number, bad)

    def _of_times(self, line: FileLine) -> bool:
        return COLUMN_OF.get(plain(self._headings.renamed(line.cell(0)))) == "made"

    def _times(self, line: FileLine) -> None:
        """Times of making by piece, for all rows of readings."""
        texts = {n: line.cell(n) for n in self._pieces if line.cell(n)}
        self._taking.dates.of_column(texts.values(), self._headings.day_first(line.cell(0)))
        self._made = {n: self._taking.made(text) or "" for n, text in texts.items()}

    def _skipped(self, line: FileLine) -> bool:
        taking, first = self._taking, line.cell(0)
        if self._headings.ignored(first):
            taking.skip(line.number, first, SkipReason.ASKED)
        elif plain(first) in SUMMARIES | NO_READINGS:
            taking.skip(line.number, first, SkipReason.SUMMARY)
        else:
            return self._of_times(line)
        return True

    def _line(self, line: FileLine, part: Part, seen: set[str]) -> None:
        taking = self._taking
        fits_header(line, len(self._layout.header.cells), commas=self._commas)
        series = series_of(taking, self._given, self._headings, part, line.cell(0), seen)
        self._aside(line, series)
        for number, piece in self._pieces.items():
            besides = Besides(line.number, series.instrument, self._made.get(number))
            enter(taking, line, number, series, piece, besides, commas=self._commas)

    def _aside(self, line: FileLine, series: ReadingColumn) -> None:
        """Units, instruments and limits that stand beside the readings."""
        for number, kind in self._besides.items():
            series.hold(kind, line.cell(number), line.number, self._taking)
