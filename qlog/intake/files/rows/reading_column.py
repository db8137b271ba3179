"""One column of readings in the wide layout, or one row of it turned over."""

from __future__ import annotations

from dataclasses import dataclass

from qlog.drawing.callouts.callout import Kind
from qlog.drawing.plan import Part
from qlog.intake.files.cells import Besides, CellPlace, Taking, unit_fits, value
from qlog.intake.files.given import Given
from qlog.intake.files.headings import split_heading, without_repeat
from qlog.intake.files.mapping import Headings
from qlog.intake.files.rows.reader import cut_in_two, split_comma, too_many
from qlog.intake.files.table import Bad, FileLine
from qlog.intake.typed.parse import TypedError
from qlog.problem import ToSay


@dataclass(slots=True)
class ReadingColumn:
    """One column, or in a turned file one row, of readings."""

    place: CellPlace
    unit: str
    instrument: str | None = None
    again: bool = False  # second readings, which hold where they are there

    def hold(self, kind: str, cell: str, line: int, taking: Taking) -> None:
        """Take a unit, instrument or limit that stands beside the readings. Raises Bad."""
        if kind == "unit":
            cell = cell.strip("()[]")
        if not cell:
            return
        if kind == "unit":
            unit_fits(cell, self.place.callout)
            self.unit = cell
        elif kind == "instrument":
            self.instrument = taking.instrument(cell)
        else:
            compare(taking, line, kind, cell, self)


def series_of(
    taking: Taking, given: Given, headings: Headings, part: Part, cell: str, seen: set[str]
) -> ReadingColumn:
    """What a heading says of the readings under or behind it. Raises Bad."""
    name, unit = split_heading(headings.renamed(cell))
    try:
        dimension = taking.dimension(name, part)
    except Bad:
        if without_repeat(name) == name:
            raise
        dimension = taking.dimension(without_repeat(name), part)
    again = headings.again(cell)
    if dimension.id in seen and not again:
        what = ToSay("error.second_column_dimension")
        raise Bad(cell, what, ToSay("error.place_one_reading", cell=cell))
    seen.add(dimension.id)
    place = taking.place(part, given.op, dimension, cell)
    if unit:
        unit_fits(unit, place.callout)
    return ReadingColumn(place, unit, again=again)


def compare(taking: Taking, line: int, kind: str, cell: str, series: ReadingColumn) -> None:
    """Remark on a nominal or a limit that is not the drawing's."""
    callout = series.place.callout
    ours = {
        "nominal": callout.nominal,
        "lower": callout.limits.lower,
        "upper": callout.limits.upper,
    }.get(kind)
    if ours is None or callout.kind in (Kind.GO_NO_GO, Kind.BY_EYE):
        return
    try:
        theirs = value(cell, series.unit, callout).to(callout.unit)
    except (TypedError, Bad):
        return  # a callout in words or a deviation: nothing to compare
    if theirs != ours and not (kind != "nominal" and theirs + (callout.nominal or 0) == ours):
        taking.remarks.append(
            ToSay(
                "error.remark_drawing",
                line=line,
                kind=kind,
                dimension=series.place.dimension.id,
                cell=cell,
                ours=ours,
                unit=callout.unit.symbol,
            )
        )


def fits_header(line: FileLine, width: int, *, commas: bool) -> None:
    """Raises Bad for a line with more cells than the header, or fewer where commas separate.

    Otherwise "1,8,5" under "piece,bore,height" would pass for 8 and 5.
    """
    if any(line.cells[width:]):
        raise too_many(line.cells, width, commas=commas)
    if commas and len(line.cells) < width:
        what = ToSay("error.cells_under_header", n=len(line.cells), width=width)
        raise Bad(",".join(line.cells), what, split_comma()[1])


def enter(
    taking: Taking, line: FileLine, number: int, series: ReadingColumn, piece: int,
    besides: Besides, *, commas: bool,
) -> None:  # fmt: skip
    """Take one cell of a line as a reading of a piece; what is bad is noted."""
    cell = line.cell(number)
    unit = "" if series.place.callout.attribute else series.unit
    try:
        if commas and number > 1 and cut_in_two(line.cell(number - 1), cell):
            raise Bad(f"{line.cell(number - 1)},{cell}", *split_comma())
        taking.take(series.place, piece, cell, unit, besides, again=series.again)
    except Bad as bad:
        taking.note_bad(line.number, bad)
