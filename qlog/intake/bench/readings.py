"""Readings: a typed text made into a fact for the logbook, and files of them taken in whole."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING

from qlog.drawing.callouts.callout import Callout
from qlog.drawing.plan import Build, Dimension, Instrument, Part
from qlog.drawing.units import Unit
from qlog.frozen import frozen
from qlog.intake.typed.places import PlaceError, instrument_of
from qlog.intake.typed.values import Typed, TypedError, parse_passed, parse_value
from qlog.logbook.facts import Gap, Reading
from qlog.logbook.store import Appended, Conflict, Logbook
from qlog.problem import Problem

if TYPE_CHECKING:
    from qlog.intake.entry_checks import Question


class ReadingError(Problem):
    """A reading that cannot be taken."""


def requirement_for(part: Part, dimension: Dimension, op: int) -> Callout:
    """The callout that a reading after `op` is held against.

    Raises PlaceError when the dimension is not there yet at that operation.
    """
    found = dimension.requirement_at(op)
    if found is None:
        first = dimension.requirements[0].op
        raise PlaceError(
            f"{part.id} {dimension.id} is made at op {first}; after op {op} there is nothing to "
            f"read: `qlog read {part.id} {first}`"
        )
    return found.callout


def instrument_for(build: Build, dimension: Dimension, named: str | None) -> Instrument | None:
    """The instrument named, else the one the plan gives. Raises PlaceError when unknown."""
    id = named or dimension.instrument
    return None if id is None else instrument_of(build, id)


def unit_of_entry(callout: Callout, instrument: Instrument | None) -> Unit:
    """The unit that a bare number is taken in: the instrument's, if it measures that kind.

    A metric caliper on an inch drawing shows millimetres, and its number comes without a unit.
    """
    lengths = (Unit.MM, Unit.INCH)
    if instrument is not None and instrument.unit in lengths and callout.unit in lengths:
        return instrument.unit
    return callout.unit


def typed_value(callout: Callout, instrument: Instrument | None, text: str) -> Typed | bool:
    """What was typed: a value with its unit, or passed / failed for a counted check.

    Raises ReadingError with what would be accepted.
    """
    try:
        if callout.attribute:
            return parse_passed(text)
        unit = unit_of_entry(callout, instrument)
        near = callout.nominal if callout.nominal is not None else callout.limits.middle
        if near is not None and unit is not callout.unit:
            from qlog.drawing.units import convert

            near = convert(near, callout.unit, unit)
        return parse_value(text, unit, near)
    except TypedError as error:
        raise ReadingError(str(error)) from error


def make_reading(
    part: Part,
    op: int,
    dimension: Dimension,
    piece: int,
    typed: Typed | bool,
    *,
    text: str = "",
    instrument: Instrument | None = None,
    temperature: Decimal | None = None,
    instrument_temperature: Decimal | None = None,
    note: str = "",
) -> Reading:
    """A reading as the logbook keeps it: the text as typed beside its canonical value."""
    if isinstance(typed, bool):
        value, unit, as_typed = ("go" if typed else "no-go"), "", text or str(typed)
    else:
        value, unit, as_typed = f"{typed.value:f}", typed.unit.value, typed.text
    return Reading(
        part=part.id,
        op=op,
        dimension=dimension.id,
        piece=piece,
        typed=as_typed.strip() or value,
        value=value,
        unit=unit,
        instrument=None if instrument is None else instrument.id,
        temperature=None if temperature is None else f"{temperature:f}",
        instrument_temperature=(
            None if instrument_temperature is None else f"{instrument_temperature:f}"
        ),
        note=note,
    )


@frozen
class TakenFile:
    """What became of a file of readings."""

    readings: tuple[Appended[Reading], ...]
    gaps: tuple[Appended[Gap], ...]
    blanks: int
    remarks: tuple[str, ...]
    warnings: tuple[str, ...] = ()  # what the entry checks would have asked

    @property
    def new(self) -> int:
        """Entries that were not there before."""
        return sum(e.new for e in self.readings) + sum(e.new for e in self.gaps)


class BadFile(ReadingError):
    """A file with bad lines: nothing was written; `lines` lists every one of them."""

    def __init__(self, path: Path, lines: Sequence[str]) -> None:
        self.lines = tuple(lines)
        number = f"{len(lines)} bad line{'s' if len(lines) != 1 else ''}"
        super().__init__("\n".join([f"{path}: {number}, nothing was written", *lines]))


def take_file(
    build: Build,
    logbook: Logbook,
    path: Path,
    *,
    part: str | None = None,
    op: int | None = None,
    instrument: str | None = None,
    note: str = "",
    strict: bool = False,
) -> TakenFile:
    """Enter a file of readings in one transaction, all of it or nothing.

    Raises BadFile when any line is bad or contradicts what is logged already, and with `strict`
    when the entry checks ask about any; ReadingError when the file cannot be read at all.
    """
    from qlog.intake.bench.batch_so_far import BatchSoFar
    from qlog.intake.files.csv_files import TableError, read_table
    from qlog.intake.typed.times import is_ahead

    try:
        table = read_table(path, build, part=part, op=op)
    except TableError as error:
        raise ReadingError(str(error)) from error
    if table.bad:
        raise BadFile(path, [f"{path.name}:{b.line}: {b}" for b in table.bad])
    facts: list[Reading | Gap] = []
    made: list[str | None] = []
    against: list[str] = []
    warnings: list[str] = []
    dated: set[int] = set()
    known: dict[str, BatchSoFar] = {}
    for row in table.rows:
        owner = build.part(row.part)
        dimension = owner.dimension(row.dimension)
        if row.gap:
            fact: Reading | Gap = Gap(row.part, row.op, row.dimension, row.piece, row.gap, row.note)
        else:
            value = row.typed if row.typed is not None else bool(row.passed)
            fact = make_reading(
                owner,
                row.op,
                dimension,
                row.piece,
                value,
                text="" if row.passed is None else ("go" if row.passed else "no-go"),
                instrument=instrument_for(build, dimension, row.instrument or instrument),
                temperature=row.temperature,
                note=row.note or note,
            )
        existing = logbook.find(fact)
        if existing is not None and any(
            getattr(existing.fact, n) != getattr(fact, n) for n in fact.SAME
        ):
            against.append(f"{path.name}:{row.line}: {Conflict(existing, fact)}")
        elif existing is None and isinstance(fact, Reading):
            if row.part not in known:
                known[row.part] = BatchSoFar(build, logbook, owner)
            for question in known[row.part].questions(fact, row.typed or Decimal(0)):
                warnings.append(f"{path.name}:{row.line}: {as_warning(fact, question)}")
            known[row.part].add(fact)
        if row.made is not None and row.line not in dated and is_ahead(row.made):
            warnings.append(f"{path.name}:{row.line}: {row.made} has not come yet")
        dated.add(row.line)
        facts.append(fact)
        made.append(row.made)
    if against:
        raise BadFile(path, [*against, "correct what is logged, or the file"])
    if strict and warnings:
        raise BadFile(path, warnings)
    entries = logbook.append_all(facts, made=made)
    return TakenFile(
        tuple(e for e in entries if isinstance(e.fact, Reading)),  # type: ignore[misc]
        tuple(e for e in entries if isinstance(e.fact, Gap)),  # type: ignore[misc]
        table.blanks,
        table.remarks,
        tuple(warnings),
    )


def as_warning(reading: Reading, question: Question) -> str:
    """A question where nobody can answer it: which reading, what is odd, how to put it right."""
    where = f"{reading.part}-{reading.piece} {reading.dimension} {reading.typed}"
    if question.retype is None:
        return f"{where}: {question.message}"
    value = f'"{question.retype}"' if " " in question.retype else question.retype
    return (
        f"{where}: {question.message} (if so: qlog correct {reading.part} {reading.op} "
        f"{reading.dimension} {reading.piece} {value} --why ...)"
    )
