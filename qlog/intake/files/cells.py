"""Cells made into values, and all that a file holds collected with its mistakes."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from qlog.drawing.callouts.callout import Callout
from qlog.drawing.plan import Build, Dimension, Part
from qlog.drawing.units import Unit
from qlog.frozen import frozen, replace
from qlog.intake.files.columns import Dates
from qlog.intake.files.headings import CANNOT, NOT_MEASURED, SCRAPPED, SKIPPED
from qlog.intake.files.table import (
    Assumed,
    Bad,
    BadLine,
    Column,
    FileRow,
    Guess,
    NoSuchName,
    SkippedLine,
    SkipReason,
)
from qlog.intake.typed.parse import Typed, TypedError, parse_passed, parse_unit, parse_value
from qlog.intake.typed.places import (
    PlaceError,
    dimension_of,
    instrument_of,
    number_of,
    op_of,
    part_of,
    piece_labelled,
)
from qlog.intake.typed.temperatures import celsius
from qlog.problem import ToSay


@frozen
class CellPlace:
    """Where a reading belongs, as far as it is known."""

    part: Part
    op: int
    dimension: Dimension
    callout: Callout


@frozen
class Besides:
    """What a line says beside its readings."""

    line: int
    instrument: str | None = None
    made: str | None = None
    temperature: Decimal | None = None
    note: str = ""


def named(find: Callable[..., object], where: object, text: str, key: str, **facts: str) -> object:
    """What `find` has under that name in `where`. Raises NoSuchName, which says key and facts."""
    try:
        return find(where, text)
    except PlaceError as error:
        raise NoSuchName(text, ToSay(key, **facts), error.accepted or error.what) from error


@dataclass(slots=True)
class Taking:
    """Rows, mistakes and remarks of one file, as they are found."""

    build: Build
    dates: Dates
    rows: list[FileRow] = field(default_factory=list)
    bad: list[BadLine] = field(default_factory=list)
    blanks: int = 0
    remarks: list[str] = field(default_factory=list)
    columns: list[Column] = field(default_factory=list)
    skipped: list[SkippedLine] = field(default_factory=list)
    assumed: dict[Guess, Assumed] = field(default_factory=dict)
    letters: bool = False  # whether the pieces are labelled A, B, C ...
    _parts: dict[str, Part] = field(default_factory=dict)
    _pieces: dict[tuple[str, str], int] = field(default_factory=dict)
    _taken: dict[tuple[str, int, str, int], FileRow] = field(default_factory=dict)

    def note_bad(self, line: int, bad: Bad) -> None:
        """Keep a mistake."""
        self.bad.append(BadLine(line, bad.text, bad.what, bad.accepted))

    def skip(self, line: int, text: str, why: SkipReason) -> None:
        """Keep a line that holds no readings."""
        self.skipped.append(SkippedLine(line, text, why))

    # -- names ---------------------------------------------------------------------------------

    def part(self, text: str) -> Part:
        """A part by id or name. Raises Bad."""
        found = self._parts.get(text)
        if found is None:
            looked = named(part_of, self.build, text, "error.no_part_here")
            assert isinstance(looked, Part)
            found = self._parts[text] = looked
        return found

    def op(self, text: str, part: Part) -> int:
        """An operation by number or name. Raises Bad."""
        try:
            return op_of(part, text).number
        except PlaceError as error:
            raise Bad(
                text, ToSay("error.no_operation_of_part", part=part.id), error.accepted
            ) from error

    def dimension(self, text: str, part: Part) -> Dimension:
        """A dimension by id, name or number on the drawing. Raises Bad."""
        found = named(dimension_of, part, text, "error.no_dimension_of", part=part.id)
        assert isinstance(found, Dimension)
        return found

    def piece(self, text: str, part: Part) -> int:
        """A piece by number, by name, or by its letter where the file has letters. Raises Bad."""
        if self.letters and len(text) == 1 and text.isascii() and text.isalpha():
            number = ord(text.upper()) - ord("A") + 1
            self.assumed.setdefault(Guess.LETTERS, Assumed(Guess.LETTERS, text, part.named(number)))
            text = str(number)
        found = self._pieces.get((part.id, text))
        if found is None:
            looked = named(piece_labelled, part, text, "error.no_piece_of", part=part.id)
            assert isinstance(looked, int)
            found = self._pieces[part.id, text] = looked
        return found

    def numbered(self, text: str, part: Part) -> int:
        """A piece by its number, whatever it is marked with. Raises Bad."""
        found = named(number_of, part, text, "error.no_piece_of", part=part.id)
        assert isinstance(found, int)
        return found

    def instrument(self, text: str) -> str | None:
        """An instrument by id or name; None for an empty text. Raises Bad."""
        if not text:
            return None
        try:
            return instrument_of(self.build, text).id
        except PlaceError as error:
            raise Bad(text, ToSay("error.instrument_build"), error.accepted) from error

    def place(
        self, part: Part, op: int | None, dimension: Dimension, text: str, *, own: bool = False
    ) -> CellPlace:
        """Where a reading belongs; `own` says that its own line names the operation. Raises Bad."""
        if dimension.derived is not None:
            read = ", ".join(d.id for d in part.read_for(dimension))
            what = ToSay("error.computed_from", dimension=dimension.id, read=read)
            raise Bad(text, what, ToSay("error.readings", read=read))
        if op is None:
            if len(dimension.requirements) > 1:
                raise Bad(
                    text,
                    ToSay("error.read_after_more", dimension=dimension.id),
                    ToSay(
                        "error.add_an_op", ops=", ".join(str(r.op) for r in dimension.requirements)
                    ),
                )
            op = dimension.op
        elif not own and dimension not in part.read_after(op):
            after = ", ".join(str(r.op) for r in dimension.requirements)
            what = ToSay("error.read_after_op_op", dimension=dimension.id, after=after, op=op)
            raise Bad(text, what, ToSay("error.leave_op_out", op=op))
        requirement = dimension.requirement_at(op)
        if requirement is None:
            what = ToSay("error.limits_after_op", dimension=dimension.id, op=op)
            raise Bad(text, what, ToSay("error.read_after_op", op=dimension.requirements[0].op))
        return CellPlace(part, op, dimension, requirement.callout)

    # -- values --------------------------------------------------------------------------------

    def besides(self, line: int, fields: Mapping[str, str]) -> Besides:
        """What a line says beside its readings. Raises Bad."""
        try:
            warm = fields.get("temperature", "")
            return Besides(
                line,
                self.instrument(fields.get("instrument", "")),
                self.made(fields.get("made", "")),
                celsius(warm, self.build.unit) if warm else None,
                fields.get("note", ""),
            )
        except TypedError as error:
            raise Bad(error.text, error.what, error.accepted) from error

    def made(self, text: str) -> str | None:
        """A time of making, ISO 8601 with offset; None for an empty text. Raises Bad."""
        if not text:
            return None
        found, assumed = self.dates.read(text)
        if assumed is not None:
            self.assumed.setdefault(assumed.guess, assumed)
        return found

    def take(
        self,
        place: CellPlace,
        piece: int,
        cell: str,
        unit: str,
        besides: Besides,
        *,
        again: bool = False,
    ) -> None:
        """Read one value cell into the rows; `again` of a place that may be read. Raises Bad."""
        word = " ".join(cell.casefold().split())
        if word in NOT_MEASURED:
            self.blanks += 1
            return
        if word in SCRAPPED:
            raise Bad(cell, ToSay("error.scrapped_piece_reading"), ToSay("error.leave_cell_blank"))
        typed: Typed | None = None
        passed: bool | None = None
        gap = "skipped" if word in SKIPPED else "cannot" if word in CANNOT else ""
        try:
            if not gap and place.callout.attribute:
                passed = parse_passed(cell)
            elif not gap:
                typed = value(cell, unit, place.callout)
        except TypedError as error:
            raise Bad(cell, error.what, error.accepted) from error
        new = FileRow(
            line=besides.line, part=place.part.id, op=place.op, dimension=place.dimension.id,
            piece=piece, instrument=besides.instrument, made=besides.made,
            temperature=besides.temperature, note=besides.note,
            typed=typed, passed=passed, gap=gap,
        )  # fmt: skip
        key = (new.part, new.op, new.dimension, new.piece)
        before = self._taken.get(key)
        if before is None:
            self._taken[key] = new
            self.rows.append(new)
            return
        differ = (before.passed, before.gap, _size(before)) != (new.passed, new.gap, _size(new))
        if again and not before.again and (differ or before.instrument != new.instrument):
            self._taken[key] = replace(new, again=True)
            self.rows.append(self._taken[key])
            return
        if differ:
            raise Bad(
                cell,
                ToSay(
                    "error.after_op_another",
                    part=new.part,
                    piece=new.piece,
                    dimension=new.dimension,
                    op=new.op,
                    line=before.line,
                ),
                ToSay("error.keep_one_holds"),
            )
        told = ToSay("error.remark_same", line=besides.line, before=before.line)
        self.remarks.append(told)


def value(cell: str, unit: str, callout: Callout) -> Typed:
    """A measured value; `unit` is what column or heading say, or empty. Raises Bad, TypedError."""
    asked = parse_unit(unit, callout.unit) if unit else callout.unit
    near = callout.nominal
    if near is None:
        near = callout.limits.upper if callout.limits.lower is None else callout.limits.lower
    if near is not None and asked is not callout.unit:
        near = Typed("", near, callout.unit).to(asked)
    typed = parse_value(cell, asked, near)
    if unit and typed.unit is not asked:
        raise Bad(cell, ToSay("error.unit_column_heading", unit=unit), ToSay("error.let_both_say"))
    return typed


def unit_fits(text: str, callout: Callout) -> None:
    """Refuse a unit that readings of that callout cannot have. Raises Bad."""
    try:
        parse_unit(text, callout.unit)
    except TypedError as error:
        raise Bad(text, error.what, error.accepted) from error


def _size(row: FileRow) -> object:
    """What a row's reading amounts to, so that 8.020 and 8.02 mm are the same."""
    if row.typed is None:
        return None
    lengths = (Unit.INCH, Unit.MICROMETRE, Unit.MICROINCH)
    return row.typed.to(Unit.MM) if row.typed.unit in lengths else row.typed.value
