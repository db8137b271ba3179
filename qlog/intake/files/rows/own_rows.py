"""Readings that `qlog export` wrote: taken in again exactly as they were."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal, InvalidOperation

from qlog.drawing.units import Unit
from qlog.frozen import replace
from qlog.intake.files.cells import Taking
from qlog.intake.files.layout import OWN, FileLayout
from qlog.intake.files.table import Bad, Column, FileRow, Meaning
from qlog.intake.typed.parse import Typed
from qlog.problem import ToSay

VERSION = 1

_MEANINGS = {
    "part": Meaning.PART, "op": Meaning.OP, "dimension": Meaning.DIMENSION,
    "piece": Meaning.PIECE, "exact": Meaning.VALUE, "unit": Meaning.UNIT,
    "instrument": Meaning.INSTRUMENT, "made": Meaning.MADE, "temperature": Meaning.TEMPERATURE,
    "note": Meaning.NOTE,
}  # fmt: skip


class OwnRows:
    """Reads the lines of one exported file; what it finds goes into `taking`.

    Limits, verdicts and all else that was worked out are not read: they are worked out again.
    """

    def __init__(self, taking: Taking, layout: FileLayout, separator: str) -> None:
        self._taking = taking
        self._layout = layout
        self._protected = separator in ("comma", "semicolon", "tab")
        self._comma = separator == "semicolon"

    def read(self) -> None:
        """Read every line."""
        names = self._layout.header.cells
        self._taking.columns += [Column(n, _MEANINGS.get(n, Meaning.SKIPPED)) for n in names]
        for line in self._layout.body:
            fields = {name: line.cell(at) for at, name in enumerate(names)}
            if fields.get("computed"):  # it follows from the readings
                continue
            try:
                self._taking.rows.append(self._row(line.number, fields))
            except Bad as bad:
                self._taking.note_bad(line.number, bad)

    def _row(self, line: int, fields: Mapping[str, str]) -> FileRow:
        taking = self._taking
        if fields[OWN] != str(VERSION):
            raise Bad(fields[OWN], ToSay("error.exported_newer_qlog"), ToSay("error.read_one"))
        part = taking.part(fields.get("part", ""))
        op = taking.op(fields.get("op", ""), part)
        dimension = taking.dimension(fields.get("dimension", ""), part)
        place = taking.place(part, op, dimension, dimension.id, own=True)
        row = FileRow(
            line=line, part=part.id, op=op, dimension=dimension.id,
            piece=taking.numbered(fields.get("piece", ""), part),
            instrument=taking.instrument(fields.get("instrument", "")),
            made=taking.made(fields.get("made", "")),
            temperature=self._number(fields.get("temperature", "")),
            instrument_temperature=self._number(fields.get("instrument_temperature", "")),
            note=self._text(fields.get("note", "")), own=True,
            beside=fields.get("beside", "") in ("yes", "True", "true"),
        )  # fmt: skip
        typed, exact = self._text(fields.get("typed", "")), self._text(fields.get("exact", ""))
        if fields.get("gap"):
            return replace(row, gap=fields["gap"])
        if place.callout.attribute:
            if exact not in ("go", "no-go"):
                raise Bad(exact, ToSay("error.neither_go_nor"), ToSay("error.write_go_go"))
            return replace(row, passed=exact == "go", text=typed)
        try:
            value, unit = Decimal(exact), Unit(fields.get("unit", ""))
            Typed(typed, value, unit).to(place.callout.unit)
        except (InvalidOperation, ValueError) as error:
            raise Bad(
                exact, ToSay("error.reading_unit_known"), ToSay("error.export_again")
            ) from error
        if not value.is_finite():
            raise Bad(exact, ToSay("error.export_no_number"), ToSay("error.export_again"))
        return replace(row, typed=Typed(typed, value, unit))

    def _text(self, cell: str) -> str:
        """A text without the apostrophe that protects it from spreadsheets."""
        return cell[1:] if self._protected and cell.startswith("'") else cell

    def _number(self, cell: str) -> Decimal | None:
        if not cell:
            return None
        try:
            return Decimal(cell.replace(",", ".") if self._comma else cell)
        except InvalidOperation as error:
            raise Bad(cell, ToSay("error.export_no_number"), ToSay("error.export_again")) from error
