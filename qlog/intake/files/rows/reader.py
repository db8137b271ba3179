"""What every reader of a file's rows has: bad lines are noted, and the next one is read."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from qlog.intake.files.cells import Taking
from qlog.intake.files.given import Given
from qlog.intake.files.layout import FileLayout
from qlog.intake.files.mapping import Headings
from qlog.intake.files.table import Bad, FileLine


class RowReader:
    """Reads the lines of one file; what it finds goes into `taking`."""

    def __init__(
        self, taking: Taking, given: Given, headings: Headings, layout: FileLayout, *, commas: bool
    ) -> None:
        self._taking = taking
        self._given = given
        self._headings = headings
        self._layout = layout
        self._commas = commas

    def _each(self, lines: Iterable[FileLine], read: Callable[[FileLine], None]) -> None:
        """Read line after line; what is bad in one is noted with its number."""
        for line in lines:
            try:
                read(line)
            except Bad as bad:
                self._taking.note_bad(line.number, bad)
