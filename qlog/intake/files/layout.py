"""How a file is laid out: where its header stands, what precedes it, which way it runs."""

from __future__ import annotations

import re
from collections.abc import Sequence

from qlog.drawing.plan import Build
from qlog.frozen import frozen
from qlog.intake.files.headings import (
    COLUMN_OF,
    column_of,
    is_repeat,
    split_heading,
    without_repeat,
)
from qlog.intake.files.mapping import Headings
from qlog.intake.files.table import FileLine
from qlog.intake.typed.places import plain

OWN = "qlog_readings"  # heads exported readings
_HEAD = 40  # lines among which a header is looked for


@frozen
class FileLayout:
    """A file's lines shared out: in front of the header, the header, and what follows it."""

    kind: str  # "own", "long", "wide" or "turned"
    before: tuple[FileLine, ...]
    header: FileLine
    body: tuple[FileLine, ...]


class Knowing:
    """Which words are names in this build or were said to be headings."""

    def __init__(self, build: Build, headings: Headings) -> None:
        self._headings = headings
        self._parts = {plain(w) for p in build.parts for w in (p.id, p.name)}
        self.dimensions = {
            plain(w) for p in build.parts for d in p.dimensions for w in (d.id, d.name)
        }

    def heading(self, cell: str) -> bool:
        """Whether a cell is a heading known here, an empty one excepted."""
        if not cell:
            return False
        if self._headings.target(cell) is not None:
            return True
        return self.names_dimension(cell) or plain(split_heading(cell)[0]) in COLUMN_OF

    def names_dimension(self, cell: str) -> bool:
        """Whether a cell is the name of a dimension, alone or with a count behind it."""
        name = split_heading(self._headings.renamed(cell))[0]
        return bool(cell) and (
            plain(name) in self.dimensions or plain(without_repeat(name)) in self.dimensions
        )

    def labels_piece(self, cell: str) -> bool:
        """Whether a cell looks like a piece's label: `3`, `cup-3`, `Piece 3`."""
        match = re.fullmatch(r"(\D*?)[\s_.#:-]*\d{1,4}", cell)
        return match is not None and (
            COLUMN_OF.get(plain(match[1])) == "piece" or plain(match[1]) in self._parts
        )

    def score(self, lines: Sequence[FileLine]) -> int:
        """How much of the best line of a file is understood as a header; 2 will do."""
        known = max((self._known(line) for line in lines[:_HEAD]), default=0)
        return 2 if known < 2 and self.turned_at(lines) is not None else known

    def _known(self, line: FileLine) -> int:
        return sum(1 for cell in line.cells if self.heading(cell))

    def turned_at(self, lines: Sequence[FileLine]) -> int | None:
        """Where the header of a file with dimensions in rows stands; None where there is none."""
        last: int | None = None
        for at, line in enumerate(lines[:_HEAD]):
            if sum(map(self.labels_piece, line.cells[1:])) < 2:
                continue
            if last is None:
                last = self._last_named(lines)
            if at < last and not any(map(self.names_dimension, line.cells)):
                return at
        return None

    def _last_named(self, lines: Sequence[FileLine]) -> int:
        """The last line that begins with the name of a dimension, -1 for none."""
        known: dict[str, bool] = {}
        for at in range(len(lines) - 1, -1, -1):
            cell = lines[at].cell(0)
            if cell not in known:  # a long list says the same part in every line
                known[cell] = self.names_dimension(cell)
            if known[cell]:
                return at
        return -1

    def header_at(self, lines: Sequence[FileLine]) -> int:
        """Where the line stands that is understood best as a header: the first of equals."""
        scores = [self._known(line) for line in lines[:_HEAD]]
        return scores.index(max(scores))


def lay_out(lines: Sequence[FileLine], knowing: Knowing, headings: Headings) -> FileLayout | None:
    """The file shared out; None when no header is understood."""
    if not lines or knowing.score(lines) < 2:
        return None
    if lines[0].cell(0) == OWN:
        return FileLayout("own", (), lines[0], tuple(lines[1:]))
    turned = knowing.turned_at(lines)
    if turned is not None:
        return FileLayout(
            "turned", tuple(lines[:turned]), lines[turned], tuple(lines[turned + 1 :])
        )
    at = knowing.header_at(lines)
    header, body = lines[at], tuple(lines[at + 1 :])
    if body and _counts_under(body[0]):
        header, body = _joined(header, body[0]), body[1:]
    columns = [column_of(headings.renamed(cell)) for cell in header.cells]
    kind = "long" if "value" in columns and "dimension" in columns else "wide"
    return FileLayout(kind, tuple(lines[:at]), header, body)


def _counts_under(line: FileLine) -> bool:
    """Whether a line holds only `1st`, `2nd` under the headings above it."""
    filled = [cell for cell in line.cells if cell]
    return (
        len(filled) >= 2 and not line.cell(0) and all(is_repeat(cell) for cell in filled)
        and any(not cell.isdecimal() for cell in filled)
    )  # fmt: skip


def _joined(header: FileLine, counts: FileLine) -> FileLine:
    """One header of two: a merged heading is written over its first column only."""
    cells: list[str] = []
    above = ""
    for column in range(max(len(header.cells), len(counts.cells))):
        own, count = header.cell(column), counts.cell(column)
        above = own or above
        cells.append(f"{above} {count}" if count else own)
    return FileLine(header.number, tuple(cells))
