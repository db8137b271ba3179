"""Files of readings: comma, semicolon or tab separated text, as spreadsheets write it.

Two layouts are read. The long one has a reading a line, under a header that names its columns:
`part, op, dimension, piece, value` and, if wanted, `unit, instrument, made, temperature, note`.
The wide one has pieces in rows and dimensions in columns, under `part;cup` and `op;20` lines or
with both given by the caller; rows of nominal, limits, unit and instrument may follow its header.

A file is taken whole or not at all: one bad line leaves nothing to write, and every bad line is
listed with what would be accepted. Only plain values come out; nothing is written here.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

from qlog.drawing.callouts.callout import Callout, Kind
from qlog.drawing.plan import Build, Dimension, Part
from qlog.drawing.units import Unit
from qlog.intake.typed.temperatures import celsius
from qlog.intake.typed.times import moment
from qlog.intake.typed.values import Typed, TypedError, parse_passed, parse_unit, parse_value

_LARGEST = 20_000_000  # bytes; a set of a few hundred readings has some 20 kB
_SEPARATORS = {"\t": "tab", ";": "semicolon", ",": "comma"}  # in the order of preference

_COLUMNS = {
    "part": ("part", "drawing"),
    "op": ("op", "operation", "op no", "operation no", "after op", "step"),
    "dimension": ("dimension", "dim", "feature", "characteristic"),
    "piece": ("piece", "pieces", "piece no", "piece number", "workpiece", "no", "nr", "number", ""),
    "value": ("value", "reading", "measured", "measured value", "actual", "size", "result"),
    "unit": ("unit", "units"),
    "instrument": ("instrument", "gauge", "gage", "measured with"),
    "made": ("made", "date", "time", "when", "measured on", "date and time"),
    "temperature": ("temperature", "temp", "temperature c", "temp c", "c"),
    "note": ("note", "notes", "remark", "remarks", "comment", "comments"),
}
_COLUMN_OF = {word: column for column, words in _COLUMNS.items() for word in words}

_SECOND_HEADERS = {
    "nominal": ("nominal", "nominal size", "drawing size", "basic size"),
    "lower": ("lower", "lower limit", "min", "minimum", "smallest"),
    "upper": ("upper", "upper limit", "max", "maximum", "largest"),
    "limits": ("limits", "tolerance", "tol", "callout", "drawing"),
    "unit": ("unit", "units"),
    "instrument": ("instrument", "gauge", "gage", "measured with"),
}
_SECOND_HEADER_OF = {word: row for row, words in _SECOND_HEADERS.items() for word in words}

_NOT_MEASURED = frozenset(("", "-", "--", "–", "—", "?"))
_SKIPPED = frozenset(("skipped", "skip", "on purpose"))
_CANNOT = frozenset(("cannot", "cannot measure", "cannot be measured", "unreachable"))
_SCRAPPED = frozenset(("scrap", "scrapped", "rejected"))


class TableError(ValueError):
    """A file that cannot be read at all; the message says what, where and what to do."""


@dataclass(frozen=True, slots=True)
class Row:
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


@dataclass(frozen=True, slots=True)
class BadLine:
    """A line that cannot be taken: the offending text, what is wrong, what would be accepted."""

    line: int
    text: str
    what: str
    accepted: str

    def __str__(self) -> str:
        return f"{self.text!r}: {self.what}; {self.accepted}"


@dataclass(frozen=True, slots=True)
class Table:
    """What a file holds. `rows` is empty when any line is bad.

    `remarks` are worth a word and stop nothing: an encoding that had to be guessed, a nominal or
    a limit that differs from the drawing, a line that is there twice.
    """

    path: Path
    layout: str  # "long" or "wide"
    separator: str  # "comma", "semicolon" or "tab"
    encoding: str
    rows: tuple[Row, ...]
    bad: tuple[BadLine, ...]
    blanks: int  # cells that hold no reading: not measured yet
    remarks: tuple[str, ...]


def read_table(
    path: Path,
    known: Build,
    *,
    part: str | None = None,
    op: int | None = None,
    pieces: Mapping[str, Collection[int]] | None = None,
) -> Table:
    """Read a file of readings and check every name in it against the plan.

    `part` and `op` stand in where the file does not name them; a file that names others is bad.
    `pieces` gives the numbers in use for each part, the plan's by default. Raises TableError when
    the file is missing, empty, too large, no text, or has no header that can be understood.
    """
    text, encoding, remarks = _decode(path)
    separator, grid, broken = _grid(text, known, path)
    reader = _Reader(known, pieces or {}, separator == ",")
    reader.remarks += remarks
    if broken is not None:
        reader.bad.append(broken)
    reader.given(part, op)
    layout = reader.read(grid, path)
    bad = tuple(sorted(reader.bad, key=lambda b: b.line))
    return Table(
        path=path,
        layout=layout,
        separator=_SEPARATORS[separator],
        encoding=encoding,
        rows=() if bad else tuple(reader.rows),
        bad=bad,
        blanks=reader.blanks,
        remarks=tuple(reader.remarks),
    )


_Line = tuple[int, list[str]]  # line number of its start, cells stripped of white space


def _decode(path: Path) -> tuple[str, str, list[str]]:
    """The file's text, the name of its encoding, and a remark where that is a guess."""
    try:
        size = path.stat().st_size
        if size > _LARGEST:
            raise TableError(
                f"{path}: {size / 1e6:.0f} MB is too much for a file of readings; "
                "export only the sheet with the readings"
            )
        data = path.read_bytes()
    except OSError as error:
        reason = error.strerror or str(error)
        raise TableError(f"{path}: cannot be read: {reason}; check the name") from error
    if data[:4] in (b"PK\x03\x04", b"\xd0\xcf\x11\xe0"):
        raise TableError(f"{path}: a spreadsheet, not text; save the sheet as CSV and give that")
    if not data.strip():
        raise TableError(f"{path}: the file is empty; nothing to take in")
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return _decode_as("utf-16", "UTF-16", data, path), "UTF-16", ["read as UTF-16"]
    if b"\x00" in data[:200]:  # ASCII in UTF-16 has every other byte zero
        evens, odds = data[:200:2].count(0), data[1:200:2].count(0)
        if min(evens, odds) == 0 and max(evens, odds) > 20:
            name = "utf-16-be" if evens else "utf-16-le"
            return _decode_as(name, "UTF-16", data, path), "UTF-16", ["read as UTF-16"]
        raise TableError(f"{path}: not a text file; save the sheet as CSV and give that")
    try:
        return data.decode("utf-8-sig"), "UTF-8", []
    except UnicodeDecodeError:
        pass
    text = _decode_as("cp1252", "UTF-8 or cp1252", data, path)
    remark = "not UTF-8: read as cp1252 (Western Windows); check signs such as ° and µ in the notes"
    return text, "cp1252", [remark]


def _decode_as(codec: str, name: str, data: bytes, path: Path) -> str:
    try:
        return data.decode(codec)
    except UnicodeDecodeError as error:
        raise TableError(
            f"{path}: byte {error.start} is not {name}; save the file as UTF-8"
        ) from error


def _grid(text: str, known: Build, path: Path) -> tuple[str, list[_Line], BadLine | None]:
    """The file cut into cells with the separator under which its header makes sense.

    The BadLine is a quoting mistake that ends the reading of the file, if there is one.
    """
    declared = re.match(r"sep=([\t;,])\r?\n", text, re.IGNORECASE)
    candidates = [declared[1]] if declared else list(_SEPARATORS)
    tried = {s: _cut(text, s, skip_first=declared is not None) for s in candidates}
    names = {_plain(w) for p in known.parts for d in p.dimensions for w in (d.id, d.name)}
    score = {
        s: max((_recognised(cells, names) for _, cells in lines[:12]), default=0)
        for s, (lines, _) in tried.items()
    }
    best = max(candidates, key=lambda s: score[s])  # the first of equals
    lines, broken = tried[best]
    if score[best] < 2:
        raise TableError(
            f"{path}: no header line that can be understood; {_HEADER_WANTED}, "
            "separated by commas, semicolons or tabs"
        )
    return best, lines, broken


_HEADER_WANTED = (
    "name the columns part, op, dimension, piece, value, "
    "or put pieces in rows under a line of dimension names that begins with piece"
)


def _cut(text: str, separator: str, *, skip_first: bool) -> tuple[list[_Line], BadLine | None]:
    rows = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    lines: list[_Line] = []
    start = 1
    while True:
        try:
            cells = next(rows)
        except StopIteration:
            return lines, None
        except csv.Error as error:
            return lines, BadLine(
                start,
                text.splitlines()[start - 1] if start <= len(text.splitlines()) else "",
                f"quotes that do not pair up ({error})",
                'put quotes round the whole cell and double those inside it: "3/8"""',
            )
        if any(cell.strip() for cell in cells) and not (skip_first and start == 1):
            lines.append((start, [cell.strip() for cell in cells]))
        start = rows.line_num + 1


def _recognised(cells: Sequence[str], names: Collection[str]) -> int:
    known = [_plain(_split_heading(c)[0]) for c in cells if c]
    return sum(1 for c in known if c in names or (c and c in _COLUMN_OF))


def _plain(text: str) -> str:
    """A heading without case, signs and doubled spaces."""
    return " ".join(re.findall(r"\w+", text.replace("_", " ").casefold()))


def _split_heading(text: str) -> tuple[str, str]:
    """A heading and the unit in brackets behind it: `Bore (mm)`."""
    match = re.fullmatch(r"(.*?)\s*[(\[]([^()\[\]]*)[)\]]\s*", text)
    return (match[1], match[2]) if match else (text, "")


class _Bad(Exception):
    """One bad cell: its text, what is wrong with it, what would be accepted."""

    def __init__(self, text: str, what: str, accepted: str) -> None:
        super().__init__(what)
        self.text, self.what, self.accepted = text, what, accepted


@dataclass(slots=True)
class _Place:
    """Where a reading belongs, as far as it is known."""

    part: Part
    op: int
    dimension: Dimension
    callout: Callout


class _Reader:
    """One pass over the cut file; collects rows, bad lines and remarks."""

    def __init__(self, known: Build, pieces: Mapping[str, Collection[int]], commas: bool) -> None:
        self.known = known
        self.pieces = pieces
        self.commas = commas
        self.rows: list[Row] = []
        self.bad: list[BadLine] = []
        self.blanks = 0
        self.remarks: list[str] = []
        self.part: Part | None = None
        self.op: int | None = None
        self._taken: dict[tuple[str, int, str, int], Row] = {}

    # -- names ---------------------------------------------------------------------------------

    def given(self, part: str | None, op: int | None) -> None:
        """Take over what the caller knows. Raises TableError when the plan has no such part."""
        try:
            self.part = None if part is None else self._part(part)
            if op is not None and self.part is not None:
                self._op(str(op), self.part)
        except _Bad as bad:
            raise TableError(f"{bad.text!r}: {bad.what}; {bad.accepted}") from bad
        self.op = op

    def _part(self, text: str) -> Part:
        for part in self.known.parts:
            if _plain(text) in (_plain(part.id), _plain(part.name)):
                return part
        raise _Bad(text, "no part of this build", _nearest(text, [p.id for p in self.known.parts]))

    def _op(self, text: str, part: Part) -> int:
        match = re.fullmatch(r"(?:op(?:eration)?\.?\s*)?0*([0-9]{1,6})", text, re.IGNORECASE)
        numbers = [o.number for o in part.operations]
        if match is None or int(match[1]) not in numbers:
            named = [o.number for o in part.operations if _plain(o.name) == _plain(text)]
            if len(named) == 1:
                return named[0]
            raise _Bad(
                text,
                f"no operation of {part.id}",
                "its operations are " + ", ".join(str(n) for n in numbers),
            )
        return int(match[1])

    def _dimension(self, text: str, part: Part) -> Dimension:
        for dimension in part.dimensions:
            if text == dimension.id:
                return dimension
        found = [d for d in part.dimensions if _plain(text) in (_plain(d.id), _plain(d.name))]
        if len(found) == 1:
            return found[0]
        raise _Bad(
            text, f"no dimension of {part.id}", _nearest(text, [d.id for d in part.dimensions])
        )

    def _piece(self, text: str, part: Part) -> int:
        numbers = self.pieces.get(part.id, part.pieces)
        match = re.fullmatch(r"(?:(.*?)[\s_-]*)?#?\s*([0-9]{1,6})", text)
        prefix = _plain(match[1] or "") if match else ""
        if match is None or prefix not in ("", "piece", "no", _plain(part.id), _plain(part.name)):
            raise _Bad(text, f"no piece of {part.id}", f"write {part.id}-3 or 3")
        if int(match[2]) not in numbers:
            raise _Bad(
                text,
                f"no piece of {part.id}",
                f"its pieces are {min(numbers)} to {max(numbers)}"
                if numbers
                else "it has no pieces yet",
            )
        return int(match[2])

    def _instrument(self, text: str) -> str | None:
        if not text:
            return None
        for instrument in self.known.instruments:
            if _plain(text) in (_plain(instrument.id), _plain(instrument.name)):
                return instrument.id
        ids = [i.id for i in self.known.instruments]
        raise _Bad(text, "no instrument of this build", _nearest(text, ids))

    def _place(
        self, part: Part, op: int | None, dimension: Dimension, text: str, *, named: bool = False
    ) -> _Place:
        """Where a reading belongs; `named` says that its own line names the operation."""
        if op is None:
            if len(dimension.requirements) > 1:
                raise _Bad(
                    text,
                    f"{dimension.id} is read after more than one operation, and none is named",
                    "add an op column or an `op` line: one of "
                    + ", ".join(str(r.op) for r in dimension.requirements),
                )
            op = dimension.op
        elif not named and dimension not in part.read_after(op):
            own = ", ".join(str(r.op) for r in dimension.requirements)
            raise _Bad(
                text,
                f"{dimension.id} is read after op {own}, and op {op} was asked for",
                f"leave the op out, or give a file of op {op} only",
            )
        requirement = dimension.requirement_at(op)
        if requirement is None:
            raise _Bad(
                text,
                f"{dimension.id} has no limits after op {op}",
                f"it is read after op {dimension.requirements[0].op} or later",
            )
        return _Place(part, op, dimension, requirement.callout)

    # -- cells ---------------------------------------------------------------------------------

    def _made(self, text: str) -> str | None:
        if not text:
            return None
        try:
            found = moment(text, self.known.timezone)
        except TypedError as error:
            raise _Bad(text, error.what, error.accepted) from None
        return found.iso

    @staticmethod
    def _temperature(text: str) -> Decimal | None:
        try:
            return celsius(text) if text else None
        except TypedError as error:
            raise _Bad(text, error.what, error.accepted) from None

    def _take(self, line: int, place: _Place, piece: int, cell: str, unit: str, row: Row) -> None:
        """Read one value cell into the rows, `row` carrying what the line says besides."""
        word = " ".join(cell.casefold().split())
        if word in _NOT_MEASURED:
            self.blanks += 1
            return
        typed: Typed | None = None
        passed: bool | None = None
        gap = "skipped" if word in _SKIPPED else "cannot" if word in _CANNOT else ""
        if word in _SCRAPPED:
            raise _Bad(
                cell,
                "a scrapped piece is no reading",
                "leave the cell blank and enter the scrapped piece by itself, with the reason",
            )
        try:
            if gap:
                pass
            elif place.callout.attribute:
                passed = parse_passed(cell)
            else:
                typed = self._value(cell, unit, place.callout)
        except TypedError as error:
            raise _Bad(cell, error.what, error.accepted) from error
        new = Row(
            line=line, part=place.part.id, op=place.op, dimension=place.dimension.id, piece=piece,
            instrument=row.instrument, made=row.made, temperature=row.temperature, note=row.note,
            typed=typed, passed=passed, gap=gap,
        )  # fmt: skip
        key = (new.part, new.op, new.dimension, new.piece)
        before = self._taken.get(key)
        if before is None:
            self._taken[key] = new
            self.rows.append(new)
            return
        if (before.passed, before.gap, _size(before)) != (new.passed, new.gap, _size(new)):
            raise _Bad(
                cell,
                f"{new.part}-{new.piece} {new.dimension} after op {new.op} "
                f"has another value in line {before.line}",
                "keep the one that holds",
            )
        self.remarks.append(f"line {line} says the same as line {before.line}: taken once")

    @staticmethod
    def _value(cell: str, unit: str, callout: Callout) -> Typed:
        asked = parse_unit(unit, callout.unit) if unit else callout.unit
        near = callout.nominal
        if near is None:
            near = callout.limits.upper if callout.limits.lower is None else callout.limits.lower
        if near is not None and asked is not callout.unit:
            near = Typed("", near, callout.unit).to(asked)
        typed = parse_value(cell, asked, near)
        if unit and typed.unit is not asked:
            raise _Bad(cell, f"the unit column or heading says {unit}", "let both say the same")
        return typed

    # -- layouts -------------------------------------------------------------------------------

    def read(self, grid: list[_Line], path: Path) -> str:
        """Read all lines; answers with the layout."""
        body = list(grid)
        while body and self._metadata(body[0]):
            body.pop(0)
        if not body:
            raise TableError(f"{path}: only the part and op lines; {_HEADER_WANTED}")
        line, heading = body[0]
        columns = [_COLUMN_OF.get(_plain(_split_heading(cell)[0])) for cell in heading]
        if "value" in columns and "dimension" in columns:
            self._long(line, heading, body[1:])
            return "long"
        self._wide(line, heading, body[1:], path)
        return "wide"

    def _metadata(self, line: _Line) -> bool:
        """Take a `part;cup` or `op;20` line in; False when the line is something else."""
        number, cells = line
        filled = [c for c in cells if c]
        first = _plain(filled[0])
        if len(filled) != 2 or _COLUMN_OF.get(first) not in ("part", "op"):
            return False
        if _COLUMN_OF.get(_plain(filled[1])) is not None:
            return False  # a header of two columns
        try:
            if _COLUMN_OF[first] == "part":
                part = self._part(filled[1])
                if self.part is not None and self.part is not part:
                    raise _Bad(filled[1], f"{self.part.id} was asked for", "give the file of that")
                self.part = part
            elif self.part is None:
                raise _Bad(filled[1], "an operation without a part", "put the part line first")
            else:
                op = self._op(filled[1], self.part)
                if self.op is not None and self.op != op:
                    raise _Bad(filled[1], f"op {self.op} was asked for", "give the file of that")
                self.op = op
        except _Bad as bad:
            self._note_bad(number, bad)
        return True

    def _note_bad(self, line: int, bad: _Bad) -> None:
        self.bad.append(BadLine(line, bad.text, bad.what, bad.accepted))

    def _whole_part(self) -> Part | None:
        if self.part is None and len(self.known.parts) == 1:
            return self.known.parts[0]
        return self.part

    def _long(self, heading_line: int, heading: list[str], body: Iterable[_Line]) -> None:
        columns: list[str] = []
        heading_unit = ""
        for cell in heading:
            name, unit = _split_heading(cell)
            column = _COLUMN_OF.get(_plain(name)) if cell else None
            if column == "value":
                heading_unit = unit
            if cell and (column is None or column in columns):
                what = "no column known here" if column is None else f"a second {column} column"
                known = [c for c in _COLUMNS if c not in columns]
                self._note_bad(heading_line, _Bad(cell, what, _nearest(cell, known)))
            columns.append(column or "")
        if "piece" not in columns:
            self._note_bad(
                heading_line, _Bad(", ".join(heading), "no piece column", "name a column piece")
            )
        if self.bad:
            return
        for line, cells in body:
            try:
                self._long_line(line, columns, cells, heading_unit)
            except _Bad as bad:
                self._note_bad(line, bad)

    def _long_line(
        self, line: int, columns: list[str], cells: list[str], heading_unit: str
    ) -> None:
        if any(cells[len(columns) :]):
            raise self._too_many(cells, len(columns))
        fields = {c: cell for c, cell in zip(columns, cells, strict=False) if c}
        value = fields.get("value", "")
        after = columns.index("value") + 1
        if (
            self.commas
            and after < len(cells)
            and columns[after] in ("note", "unit")
            and re.fullmatch(r"[+-]?\d+", value)
            and re.fullmatch(r"\d+", cells[after])
        ):
            raise _Bad(f"{value},{cells[after]}", *_SPLIT_COMMA)
        part = self._long_part(fields.get("part", ""))
        op = self._op(fields["op"], part) if fields.get("op") else self.op
        if self.op is not None and op != self.op:
            raise _Bad(fields["op"], f"op {self.op} was asked for", "give the file of that")
        name = fields.get("dimension", "")
        if not name:
            raise _Bad("", "no dimension named", _nearest("", [d.id for d in part.dimensions]))
        named = bool(fields.get("op"))
        place = self._place(part, op, self._dimension(name, part), name, named=named)
        if not fields.get("piece"):
            raise _Bad("", "no piece named", f"write {part.id}-3 or 3")
        piece = self._piece(fields["piece"], part)
        row = self._besides(line, fields)
        unit = fields.get("unit") or heading_unit
        self._take(line, place, piece, value, "" if place.callout.attribute else unit, row)

    def _long_part(self, text: str) -> Part:
        given = self._whole_part()
        if not text:
            if given is None:
                ids = ", ".join(p.id for p in self.known.parts)
                raise _Bad("", "no part named", f"the parts are {ids}")
            return given
        part = self._part(text)
        if self.part is not None and part is not self.part:
            raise _Bad(text, f"{self.part.id} was asked for", "give the file of that")
        return part

    def _besides(self, line: int, fields: Mapping[str, str]) -> Row:
        """A row with nothing but what a line says beside its readings."""
        return Row(
            line=line, part="", op=0, dimension="", piece=0,
            instrument=self._instrument(fields.get("instrument", "")),
            made=self._made(fields.get("made", "")),
            temperature=self._temperature(fields.get("temperature", "")),
            note=fields.get("note", ""),
        )  # fmt: skip

    def _too_many(self, cells: list[str], wanted: int) -> _Bad:
        line = ",".join(cells) if self.commas else " ".join(cells)
        if self.commas:
            return _Bad(line, f"{len(cells)} cells under a header of {wanted}", _SPLIT_COMMA[1])
        return _Bad(
            line,
            f"{len(cells)} cells under a header of {wanted}",
            "give every cell a heading, or quote a cell that holds the separator",
        )

    def _wide(self, heading_line: int, heading: list[str], body: list[_Line], path: Path) -> None:
        part = self._whole_part()
        if part is None:
            if any(b.line < heading_line for b in self.bad):
                return  # the part line itself is bad: say that, and no more
            ids = ", ".join(p.id for p in self.known.parts)
            raise TableError(
                f"{path}: pieces in rows, but no part named; begin the file with a line "
                f"`part;{self.known.parts[0].id}`, or name the part (one of {ids})"
            )
        while heading and not heading[-1]:
            heading = heading[:-1]
        columns = self._wide_heading(heading_line, heading, part)
        if self.bad:
            return
        units, instruments = {i: u for i, (_, _, u) in columns.items()}, dict[int, str | None]()
        seen_piece = False
        for line, cells in body:
            try:
                second = _SECOND_HEADER_OF.get(_plain(cells[0])) if not seen_piece else None
                if second is not None:
                    self._second_header(line, second, cells, columns, units, instruments)
                    continue
                seen_piece = True
                self._wide_line(line, cells, len(heading), part, columns, units, instruments)
            except _Bad as bad:
                self._note_bad(line, bad)

    def _wide_heading(
        self, line: int, heading: list[str], part: Part
    ) -> dict[int, tuple[str, _Place | None, str]]:
        """Column number -> (name of a column besides the readings, or "" and the place, unit)."""
        columns: dict[int, tuple[str, _Place | None, str]] = {}
        seen: set[str] = set()
        corner = _plain(heading[0])
        if _COLUMN_OF.get(corner) != "piece" and corner not in (_plain(part.id), _plain(part.name)):
            self._note_bad(
                line, _Bad(heading[0], "the first column holds the pieces", "head it piece")
            )
        for number, cell in enumerate(heading[1:], 1):
            name, unit = _split_heading(cell)
            besides = _COLUMN_OF.get(_plain(name))
            try:
                if not cell:
                    raise _Bad("", f"column {number + 1} has no heading", "name its dimension")
                try:
                    dimension = self._dimension(name, part)
                except _Bad:
                    if besides not in ("instrument", "made", "temperature", "note"):
                        raise
                    columns[number] = (besides, None, "")
                    continue
                if dimension.id in seen:
                    raise _Bad(cell, "a second column of that dimension", "keep one of them")
                seen.add(dimension.id)
                place = self._place(part, self.op, dimension, cell)
                if unit:
                    self._unit(unit, place.callout)
                columns[number] = ("", place, unit)
            except _Bad as bad:
                self._note_bad(line, bad)
        return columns

    @staticmethod
    def _unit(text: str, callout: Callout) -> None:
        try:
            parse_unit(text, callout.unit)
        except TypedError as error:
            raise _Bad(text, error.what, error.accepted) from error

    def _second_header(
        self,
        line: int,
        kind: str,
        cells: list[str],
        columns: Mapping[int, tuple[str, _Place | None, str]],
        units: dict[int, str],
        instruments: dict[int, str | None],
    ) -> None:
        for number, (_, place, _) in columns.items():
            cell = cells[number] if number < len(cells) else ""
            if not cell or place is None:
                continue
            if kind == "unit":
                self._unit(cell, place.callout)
                units[number] = cell
            elif kind == "instrument":
                instruments[number] = self._instrument(cell)
            else:
                self._compare(line, kind, cell, place, units[number])

    def _compare(self, line: int, kind: str, cell: str, place: _Place, unit: str) -> None:
        """Remark on a nominal or a limit that is not the drawing's."""
        callout = place.callout
        ours = {
            "nominal": callout.nominal,
            "lower": callout.limits.lower,
            "upper": callout.limits.upper,
        }.get(kind)
        if ours is None or callout.kind in (Kind.GO_NO_GO, Kind.BY_EYE):
            return
        try:
            theirs = self._value(cell, unit, callout).to(callout.unit)
        except (TypedError, _Bad):
            return  # a callout in words or a deviation: nothing to compare
        if theirs != ours and not (kind != "nominal" and theirs + (callout.nominal or 0) == ours):
            self.remarks.append(
                f"line {line}: {kind} of {place.dimension.id} is {cell} in the file and "
                f"{ours} {callout.unit.symbol} on the drawing; the drawing's is used"
            )

    def _wide_line(
        self,
        line: int,
        cells: list[str],
        width: int,
        part: Part,
        columns: Mapping[int, tuple[str, _Place | None, str]],
        units: Mapping[int, str],
        instruments: Mapping[int, str | None],
    ) -> None:
        if any(cells[width:]):
            raise self._too_many(cells, width)
        if self.commas and len(cells) < width:
            # Otherwise "1,8,5" under "piece,bore,height" would pass for 8 and 5.
            raise _Bad(
                ",".join(cells), f"{len(cells)} cells under a header of {width}", _SPLIT_COMMA[1]
            )
        piece = self._piece(cells[0], part)
        texts = {c: cells[n] for n, (c, _, _) in columns.items() if c and n < len(cells)}
        row = self._besides(line, texts)
        for number, (_, place, _) in columns.items():
            if place is None:
                continue
            cell = cells[number] if number < len(cells) else ""
            instrument = row.instrument or instruments.get(number)
            with_instrument = Row(
                line=line, part="", op=0, dimension="", piece=0, instrument=instrument,
                made=row.made, temperature=row.temperature, note=row.note,
            )  # fmt: skip
            unit = "" if place.callout.attribute else units.get(number, "")
            try:
                if self.commas and number > 1 and _cut_in_two(cells[number - 1], cell):
                    raise _Bad(f"{cells[number - 1]},{cell}", *_SPLIT_COMMA)
                self._take(line, place, piece, cell, unit, with_instrument)
            except _Bad as bad:
                self._note_bad(line, bad)


_SPLIT_COMMA = (
    "a decimal comma in a comma-separated file cuts the number in two",
    'separate with ;, or put the number in quotes ("8,01"), and leave no cell out',
)


def _cut_in_two(cell: str, following: str) -> bool:
    """Whether two cells look like one number with a decimal comma: `8` and `012`."""
    return bool(re.fullmatch(r"[+-]?\d+", cell) and re.fullmatch(r"0\d+", following))


def _size(row: Row) -> object:
    """What a row's reading amounts to, so that 8.020 and 8.02 mm are the same."""
    if row.typed is None:
        return None
    typed = row.typed
    lengths = (Unit.INCH, Unit.MICROMETRE, Unit.MICROINCH)
    return typed.to(Unit.MM) if typed.unit in lengths else typed.value


def _nearest(text: str, known: Sequence[str]) -> str:
    """What is accepted, with the nearest spelling first."""
    from difflib import get_close_matches

    if not known:
        return "none is set up"
    near = get_close_matches(_plain(text), [_plain(k) for k in known], n=1, cutoff=0.6)
    listed = "one of " + ", ".join(known[:12]) + (" ..." if len(known) > 12 else "")
    if not near:
        return listed
    best = next(k for k in known if _plain(k) == near[0])
    return f"{best}? ({listed})"
