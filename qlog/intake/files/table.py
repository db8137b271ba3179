"""What a file of readings holds, as plain values."""

from __future__ import annotations

from decimal import Decimal
from enum import StrEnum
from pathlib import Path

from qlog.frozen import frozen
from qlog.intake.typed.parse import Typed
from qlog.problem import ToSay


class TableError(ValueError):
    """A file that cannot be read at all; the message says what, where and what to do."""


class Bad(Exception):
    """One bad cell: its text, what is wrong with it, what would be accepted."""

    def __init__(self, text: str, what: str, accepted: str) -> None:
        super().__init__(what)
        self.text, self.what, self.accepted = text, what, accepted


class NoSuchName(Bad):
    """One that names nothing of the plan."""


@frozen
class FileLine:
    """A line of a file cut into cells without white space round them; `number` counts from 1."""

    number: int
    cells: tuple[str, ...]

    def cell(self, column: int) -> str:
        """The cell of that column, empty where the line ends before it."""
        return self.cells[column] if column < len(self.cells) else ""


@frozen
class FileSheet:
    """A file cut into cells, before anything of it is understood.

    `commas` says that commas separate the cells of a text. `broken` is a mistake in the quotes
    that ended the reading.
    """

    lines: tuple[FileLine, ...]
    separator: str  # "comma", "semicolon", "tab" or "sheet"
    encoding: str
    remarks: tuple[str, ...] = ()
    broken: BadLine | None = None

    @property
    def commas(self) -> bool:
        """Whether a decimal comma would cut a number in two."""
        return self.separator == "comma"


@frozen
class FileRow:
    """One cell of the file that holds something; exactly one of the last group is set.

    `made` is ISO 8601 with offset, None when the file does not say. `instrument` is an id of the
    plan. `temperature` is in degrees Celsius.
    """

    line: int
    part: str
    op: int
    dimension: str
    piece: int
    instrument: str | None = None
    made: str | None = None
    temperature: Decimal | None = None
    note: str = ""
    typed: Typed | None = None
    passed: bool | None = None
    gap: str = ""  # "skipped" or "cannot"
    text: str = ""  # of a check, as it was typed
    instrument_temperature: Decimal | None = None  # degrees Celsius
    again: bool = False  # a second reading of the place, which holds instead of the first
    beside: bool = False  # stands beside a reading of the same place by another instrument
    own: bool = False  # exported from a logbook: nothing is filled in


@frozen
class BadLine:
    """A line that cannot be taken: the offending text, what is wrong, what would be accepted."""

    line: int
    text: str
    what: str
    accepted: str

    @property
    def told(self) -> ToSay:
        """What stands there, what is wrong with it, what would be accepted, to be said."""
        return ToSay("error.typed", text=self.text, what=self.what, accepted=self.accepted)

    def __str__(self) -> str:
        return str(self.told)


class Meaning(StrEnum):
    """What a column was understood as."""

    PART = "part"
    OP = "op"
    DIMENSION = "dimension"
    PIECE = "piece"
    VALUE = "value"
    UNIT = "unit"
    INSTRUMENT = "instrument"
    MADE = "made"
    TEMPERATURE = "temperature"
    NOTE = "note"
    READINGS = "readings"  # of the dimension named
    AGAIN = "again"  # second readings of it
    SKIPPED = "skipped"


@frozen
class Column:
    """A heading as it stands in the file and what it was understood as."""

    heading: str
    meaning: Meaning
    dimension: str = ""
    unit: str = ""


class SkipReason(StrEnum):
    """Why a line holds no readings."""

    TITLE = "title"
    UNITS = "units"
    LIMITS = "limits"
    INSTRUMENTS = "instruments"
    SUMMARY = "summary"  # mean, smallest, largest
    ASKED = "asked"


@frozen
class SkippedLine:
    """A line from which no reading is taken."""

    line: int
    text: str
    why: SkipReason


class Guess(StrEnum):
    """What a file leaves open and was settled by looking at the whole of it."""

    DAY_FIRST = "day_first"
    MONTH_FIRST = "month_first"
    DAY_NUMBERS = "day_numbers"
    LETTERS = "letters"
    PART = "part"


@frozen
class Assumed:
    """A guess with what it is about: nothing that rests on one is written without a yes."""

    guess: Guess
    example: str  # from the file
    read_as: str


@frozen
class FileTable:
    """What a file holds. `rows` is empty when any line is bad.

    `remarks` are worth a word and stop nothing: an encoding that had to be guessed, a nominal or
    a limit that differs from the drawing, a line that is there twice.
    """

    path: Path
    layout: str  # "long", "wide" or "turned" (dimensions in rows)
    separator: str
    encoding: str
    rows: tuple[FileRow, ...]
    bad: tuple[BadLine, ...]
    blanks: int  # cells that hold no reading: not measured yet
    remarks: tuple[str, ...]
    columns: tuple[Column, ...] = ()
    skipped: tuple[SkippedLine, ...] = ()
    assumed: tuple[Assumed, ...] = ()
