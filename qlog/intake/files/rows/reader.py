"""What every reader of a file's rows has: bad lines noted, and numbers that a comma cut in two."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence

from qlog.intake.files.cells import Taking
from qlog.intake.files.given import Given
from qlog.intake.files.layout import FileLayout
from qlog.intake.files.mapping import Headings
from qlog.intake.files.table import Bad, FileLine
from qlog.problem import ToSay


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


def split_comma() -> tuple[ToSay, ToSay]:
    """What is wrong where a decimal comma cut a number in two, and what would be accepted."""
    return ToSay("error.comma_cuts"), ToSay("error.comma_separate")


def cut_in_two(cell: str, following: str) -> bool:
    """Whether two cells look like one number with a decimal comma: `8` and `012`."""
    return bool(re.fullmatch(r"[+-]?\d+", cell) and re.fullmatch(r"0\d+", following))


def too_many(cells: Sequence[str], wanted: int, *, commas: bool) -> Bad:
    """A line with more cells than its header."""
    what = ToSay("error.cells_under_header", n=len(cells), width=wanted)
    if commas:
        return Bad(",".join(cells), what, split_comma()[1])
    return Bad(" ".join(cells), what, ToSay("error.give_every_cell"))
