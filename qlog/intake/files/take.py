"""Files of readings made ready, looked at, and entered whole or not at all."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from decimal import Decimal
from pathlib import Path

from qlog.drawing.plan import Build
from qlog.frozen import frozen, replace
from qlog.intake.bench.batch_so_far import BatchSoFar
from qlog.intake.bench.readings import ReadingError, instrument_for, make_reading
from qlog.intake.entry_checks import Question
from qlog.intake.files.read_table import read_table
from qlog.intake.files.table import FileRow, FileTable, TableError
from qlog.intake.typed.times import is_ahead
from qlog.logbook.facts import Entry, Gap, Reading
from qlog.logbook.own_words import Own
from qlog.logbook.part_log import PartLog
from qlog.logbook.store import Appended, Conflict, Logbook
from qlog.problem import ToSay, said_by


@frozen
class FileWarning:
    """What would be asked about one line of a file: its time of making, or its reading."""

    line: int
    reading: Reading | None = None
    question: Question | None = None
    ahead: str = ""  # a time of making that has not come yet
    more: tuple[str, ...] = ()  # further ones of its kind on the same dimension


@frozen
class ReadyFile:
    """A file understood and checked, with nothing of it written yet."""

    table: FileTable
    facts: tuple[Reading | Gap, ...]
    made: tuple[str | None, ...]  # of each fact, ISO 8601 with offset
    known: int  # facts that the logbook has already
    warnings: tuple[FileWarning, ...]  # what the entry checks ask about, alike ones in one line


@frozen
class TakenFile:
    """What became of a file of readings."""

    readings: tuple[Appended[Reading], ...]
    gaps: tuple[Appended[Gap], ...]
    firsts: tuple[Appended[Reading | Gap], ...] = ()  # that second readings stand instead of

    @property
    def new(self) -> int:
        """Entries that were not there before."""
        return sum(e.new for of in (self.readings, self.gaps, self.firsts) for e in of)

    @property
    def known(self) -> int:
        """Entries that were there."""
        return sum(not e.new for of in (self.readings, self.gaps, self.firsts) for e in of)


class BadFile(ReadingError):
    """A file with bad lines: nothing was written; `lines` lists every one of them."""

    def __init__(self, path: Path, lines: Sequence[str]) -> None:
        self.lines = tuple(lines)
        key = "error.bad_line" if len(lines) == 1 else "error.bad_lines"
        super().__init__(ToSay(key, path=path, n=len(lines), lines=self.lines))


class DoubtfulFile(ReadingError):
    """A file that was to be entered only without any doubt: nothing was written."""

    def __init__(self, warnings: Sequence[FileWarning]) -> None:
        self.warnings = tuple(warnings)
        super().__init__(ToSay("error.entry_checks_ask"))


class _Warnings:
    """Warnings of one file; those of one kind on one dimension become one with further ones."""

    def __init__(self) -> None:
        self._first: dict[object, FileWarning] = {}

    def add(self, warning: FileWarning, kind: object, which: str) -> None:
        first = self._first.get(kind)
        self._first[kind] = warning if first is None else replace(first, more=(*first.more, which))

    def all(self) -> tuple[FileWarning, ...]:
        return tuple(self._first.values())


def ready_file(
    build: Build,
    logbook: Logbook,
    path: Path,
    *,
    part: str | None = None,
    op: int | None = None,
    instrument: str | None = None,
    note: str = "",
    made: str | None = None,
    strict: bool = False,
    headings: Mapping[str, str] | None = None,
    skip: Collection[int] = (),
    sheet: str | None = None,
) -> ReadyFile:
    """Read a file and check it against plan and logbook; nothing is written.

    `made` is the time of lines that name none. Raises BadFile when any line is bad or contradicts
    what is logged already, with `strict` DoubtfulFile when the entry checks ask about any;
    ReadingError when the file cannot be read at all.
    """
    try:
        table = read_table(path, build, part=part, op=op, headings=headings, skip=skip, sheet=sheet)
    except TableError as error:
        raise ReadingError(said_by(error)) from error
    if table.bad:
        raise BadFile(path, [_at(path, b.line, b.told) for b in table.bad])
    facts = [_fact(build, row, instrument, note) for row in table.rows]
    against: list[str] = []
    warnings = _Warnings()
    dated: set[int] = set()
    batches: dict[str, BatchSoFar] = {}
    known = 0
    seconds = _seconds(table.rows)
    for index, (row, fact) in enumerate(zip(table.rows, facts, strict=True)):
        if row.part not in batches:
            batches[row.part] = BatchSoFar(build, PartLog.read(logbook, build.part(row.part)))
        # The log of the part knows most places to be empty without asking the file again.
        existing = logbook.find(fact) if _taken(batches[row.part].log, fact) else None
        if existing is not None and _beside(row, existing.fact, fact):
            existing = None
        other = seconds.get(index)
        if other is not None and _says(existing, facts[other]):
            if row.again:  # the first one is there; the second is to come
                existing = None
        elif existing is not None and not _says(existing, fact):
            against.append(_at(path, row.line, Conflict(existing, fact)))
        known += existing is not None
        if existing is None and isinstance(fact, Reading):
            for question in batches[row.part].questions(fact, row.typed or Decimal(0)):
                warnings.add(
                    FileWarning(row.line, fact, question),
                    (question.check, row.part, row.op, row.dimension),
                    f"{row.part}-{row.piece} {fact.typed}",
                )
            batches[row.part].add(fact)
        if row.made is not None and row.line not in dated and is_ahead(row.made):
            warnings.add(FileWarning(row.line, ahead=row.made), "ahead", row.made)
        dated.add(row.line)
    if against:
        raise BadFile(path, [*against, ToSay("error.correct_what_logged")])
    if strict and warnings.all():
        raise DoubtfulFile(warnings.all())
    times = tuple(made if row.made is None else row.made for row in table.rows)
    return ReadyFile(table, tuple(facts), times, known, warnings.all())


def _taken(log: PartLog, fact: Reading | Gap) -> bool:
    """Whether something is at the place of a fact, in the log or further up in the file."""
    if isinstance(fact, Gap):
        return log.gap(fact.dimension, fact.op, fact.piece) is not None
    return log.reading(fact.dimension, fact.op, fact.piece) is not None


def _at(path: Path, line: int, what: object) -> ToSay:
    return ToSay("error.at_line", file=path.name, line=line, what=what)


def _seconds(rows: Sequence[FileRow]) -> dict[int, int]:
    """First and second readings of the same place, each with the index of the other."""
    firsts: dict[tuple[object, ...], int] = {}
    found: dict[int, int] = {}
    for index, row in enumerate(rows):
        place = row.part, row.op, row.dimension, row.piece
        if row.again:
            found |= {index: firsts[place], firsts[place]: index}
        firsts.setdefault(place, index)
    return found


def _says(existing: Entry[Reading | Gap] | None, fact: Reading | Gap) -> bool:
    """Whether what is logged is that very thing."""
    return (
        existing is not None and type(existing.fact) is type(fact)
        and all(getattr(existing.fact, n) == getattr(fact, n) for n in fact.SAME)
    )  # fmt: skip


def _fact(build: Build, row: FileRow, instrument: str | None, note: str) -> Reading | Gap:
    owner = build.part(row.part)
    dimension = owner.dimension(row.dimension)
    if row.gap:
        return Gap(row.part, row.op, row.dimension, row.piece, row.gap, row.note or note)
    if row.own:
        used = None if row.instrument is None else build.instrument(row.instrument)
    else:
        used = instrument_for(build, dimension, row.instrument or instrument)
    return make_reading(
        owner,
        row.op,
        dimension,
        row.piece,
        row.typed if row.typed is not None else bool(row.passed),
        text=row.text or ("" if row.passed is None else ("go" if row.passed else "no-go")),
        instrument=used,
        temperature=row.temperature,
        instrument_temperature=row.instrument_temperature,
        note=row.note or note,
    )


def _beside(row: FileRow, there: Reading | Gap, fact: Reading | Gap) -> bool:
    """Whether a row says of itself that it stands beside what is there."""
    return (
        (row.beside or row.again) and isinstance(there, Reading) and isinstance(fact, Reading)
        and there.instrument != fact.instrument
    )  # fmt: skip


def enter_file(logbook: Logbook, ready: ReadyFile) -> TakenFile:
    """Enter what was made ready in one transaction, all of it or nothing.

    Raises Conflict when the logbook came to say something else in the meantime.
    """
    entries: list[Appended[Reading | Gap]] = []
    firsts: list[Appended[Reading | Gap]] = []
    rows = ready.table.rows
    seconds = _seconds(rows)
    with logbook.together():
        for index, (fact, made, row) in enumerate(zip(ready.facts, ready.made, rows, strict=True)):
            there = logbook.find(fact) if index in seconds else None
            if row.again and there is not None and not _says(there, fact):
                if _beside(row, there.fact, fact):
                    entries.append(logbook.append(fact, made=made, beside=True))
                    continue
                entries.append(
                    logbook.append(fact, made=made, supersedes=there.id, reason=Own.SECOND)
                )
            elif index in seconds and not row.again:
                if not _says(there, ready.facts[seconds[index]]):
                    firsts.append(logbook.append(fact, made=made))
            else:
                entries.append(logbook.append(fact, made=made, beside=row.beside))
    return TakenFile(
        tuple(e for e in entries if isinstance(e.fact, Reading)),  # type: ignore[misc]
        tuple(e for e in entries if isinstance(e.fact, Gap)),  # type: ignore[misc]
        tuple(firsts),
    )
