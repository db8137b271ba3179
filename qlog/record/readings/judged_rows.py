"""Live readings and gaps of a logbook as rows, judged where the picture judges them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from qlog.logbook.facts import Entry, Gap, Reading
from qlog.logbook.store import Logbook
from qlog.record.readings.fields import NAMES, VERSION
from qlog.review.part.batch import SeriesView
from qlog.review.picture import Picture
from qlog.review.views import ReadingView
from qlog.study.conformity.uncertainty import two_digits

#: A number is a Decimal, yes is True; None is empty.
Cell = str | int | Decimal | bool | None
Row = dict[str, Cell]


def rows_of(logbook: Logbook, picture: Picture, part: str | None = None) -> list[Row]:
    """One row for every live reading and gap in order of entry, with all fields."""
    every = list(_views(picture))
    views = {view.entry: (series, view) for series, view in every if not view.raws}
    asked = {} if part is None else {"part": part}
    entries: list[Entry[Reading] | Entry[Gap]] = [
        *logbook.live(Reading, **asked), *logbook.live(Gap, **asked),
    ]  # fmt: skip
    seen: set[tuple[object, ...]] = set()
    rows: list[Row] = []
    marks = {
        (part.id, piece): part.mark(piece) or None
        for part in picture.build.parts
        for piece in range(1, len(part.marks) + 1)
    }
    for entry in sorted(entries, key=lambda e: e.id):
        if entry.fact.piece < 0:  # of an earlier making of the piece
            continue
        row: Row = dict.fromkeys(NAMES)
        row |= {
            "qlog_readings": VERSION, "entry": entry.id, "part": entry.fact.part,
            "op": entry.fact.op, "dimension": entry.fact.dimension, "piece": entry.fact.piece,
            "made": entry.made, "entered": entry.entered, "revision": entry.revision,
            "beside": True if entry.fact.key() in seen else None,
            "mark": marks.get((entry.fact.part, entry.fact.piece)),
        }  # fmt: skip
        seen.add(entry.fact.key())
        row |= _said(entry.fact)
        if entry.id in views:
            row |= _judged(*views[entry.id])
        rows.append(row)
    rows += [
        _computed(series, view) for series, view in every if view.raws and part in (None, view.part)
    ]
    return rows


def _computed(series: SeriesView, view: ReadingView) -> Row:
    """What was computed from other readings: nothing was typed for it, and nothing is read in."""
    return dict.fromkeys(NAMES) | {
        "qlog_readings": VERSION, "part": view.part, "op": view.op, "dimension": view.dimension,
        "piece": view.piece, "made": view.made,
        "computed": "; ".join(f"{r.name}={r.typed} {r.unit.value}" for r in view.raws),
        **_judged(series, view),
    }  # fmt: skip


def _views(picture: Picture) -> Iterator[tuple[SeriesView, ReadingView]]:
    for part in picture.parts:
        for series in part.series:
            for reading in series.readings:
                yield series, reading
                for other in reading.beside:
                    yield series, other


def _said(fact: Reading | Gap) -> Row:
    if isinstance(fact, Gap):
        return {"gap": fact.kind, "note": fact.why or None}
    counted = fact.value in ("go", "no-go")
    return {
        "typed": fact.typed, "exact": fact.value,
        "value": None if counted else Decimal(fact.value), "unit": fact.unit or None,
        "instrument": fact.instrument, "temperature": _number(fact.temperature),
        "instrument_temperature": _number(fact.instrument_temperature), "note": fact.note or None,
    }  # fmt: skip


def _judged(series: SeriesView, view: ReadingView) -> Row:
    limits = view.judgement.limits if view.judgement is not None else series.limits
    u = view.uncertainty
    return {
        "callout": series.callout.text, "size": view.value, "limit_unit": limits.unit.value or None,
        "lower": limits.lower, "upper": limits.upper, "verdict": view.word,
        "standard_uncertainty": None if u is None else two_digits(u), "setup": view.setup,
        "suspect": view.suspect or None, "corrected": len(view.corrections),
    }  # fmt: skip


def setting_lines(picture: Picture, part: str | None = None) -> list[list[Cell]]:
    """What the operations were set to: a header, and one line for every value and run of pieces."""
    lines: list[list[Cell]] = [
        ["part", "op", "operation", "what", "value", "unit", "first_piece", "last_piece", "made"]
    ]
    for view in picture.parts:
        for op in view.ops if part in (None, view.part.id) else ():
            for one in op.settings:
                value = Decimal(one.value) if one.unit else one.value
                lines += [
                    [view.part.id, op.operation.number, op.operation.name, one.what, value,
                     one.unit, first, last, one.made]
                    for first, last in _runs(one.pieces)
                ]  # fmt: skip
    return lines


def _runs(pieces: Sequence[int]) -> list[tuple[int, int]]:
    """Numbers in a row as their first and last."""
    found: list[tuple[int, int]] = []
    for piece in pieces:
        if found and found[-1][1] == piece - 1:
            found[-1] = (found[-1][0], piece)
        else:
            found.append((piece, piece))
    return found


def _number(text: str | None) -> Decimal | None:
    return None if text is None else Decimal(text)


def wide(rows: list[Row]) -> list[list[Cell]]:
    """Rows of one part as a table: pieces down, dimensions across; read after one op or several.

    The first lines name the part, and units, instruments and limits of every column, so that the
    table can be read in again; a dimension read after several operations makes a table for each
    operation. Where a place has readings of several instruments, the first stands.
    """
    if not rows:
        return []
    columns = sorted({(int(str(r["op"])), str(r["dimension"])) for r in rows})
    found = {(r["op"], r["dimension"], r["piece"]): r for r in reversed(rows)}
    firsts = {c: next(r for r in rows if (r["op"], r["dimension"]) == c) for c in columns}
    marks = {int(str(r["piece"])): r["mark"] for r in rows}
    table: list[list[Cell]] = [["part", rows[0]["part"]]]
    ops = sorted({op for op, _ in columns})
    once = len({name for _, name in columns}) == len(columns)
    for names in [columns] if once else [[c for c in columns if c[0] == op] for op in ops]:
        table.append([])
        if len({op for op, _ in names}) == 1:
            table.append(["op", names[0][0]])
        table.append(["piece", *(name for _, name in names)])
        table.append(["unit", *(firsts[c]["unit"] for c in names)])
        for limit in ("lower", "upper"):
            table.append([limit, *(firsts[c][limit] for c in names)])
        for piece in sorted({int(str(r["piece"])) for r in rows}):
            places = [found.get((*c, piece)) for c in names]
            called = marks.get(piece) or piece
            table.append([called, *(None if r is None else _shown(r) for r in places)])
    return table


def _shown(row: Row) -> Cell:
    return row["gap"] or (row["exact"] if row["value"] is None else row["value"])
