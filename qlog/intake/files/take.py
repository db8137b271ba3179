"""Files of readings entered whole or not at all."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from pathlib import Path

from qlog.drawing.plan import Build
from qlog.frozen import frozen
from qlog.intake.bench.batch_so_far import BatchSoFar
from qlog.intake.bench.readings import ReadingError, as_warning, instrument_for, make_reading
from qlog.intake.files.csv_files import TableError, read_table
from qlog.intake.typed.times import is_ahead
from qlog.logbook.facts import Gap, Reading
from qlog.logbook.part_log import PartLog
from qlog.logbook.store import Appended, Conflict, Logbook


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
                known[row.part] = BatchSoFar(build, PartLog.read(logbook, owner))
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
