"""Decisions and remarks: dispositions, setups, notes, corrections, lines of a rehearsal."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from qlog.drawing.plan import Build, Dimension, Part
from qlog.intake.bench.readings import instrument_for, make_reading, requirement_for, typed_value
from qlog.logbook.facts import Assembly, Disposition, Entry, Note, Reading, Remade, Said, Setup
from qlog.logbook.own_words import Own
from qlog.logbook.part_log import PartLog
from qlog.logbook.store import Appended, Logbook
from qlog.problem import Problem, ToSay

#: What may be decided about a piece, as typed on the command line.
DECISIONS = {"scrap": "scrap", "rework": "rework", "use-as-is": "use as is"}


def dispose(
    logbook: Logbook,
    part: Part,
    piece: int,
    decision: str,
    why: str,
    *,
    op: int | None = None,
    made: str | None = None,
    even_assembled: bool = False,
) -> Appended[Disposition]:
    """Decide about a piece.

    Raises Problem without a reason, when it is to be scrapped but sits in an item, and when it
    was scrapped before: scrap is for good, unless that entry itself is taken back.
    """
    if not why.strip():
        raise Problem(ToSay("error.say_why_qlog", piece=part.named(piece), decision=decision))
    if decision != "scrap":
        for decided in logbook.live(Disposition, part=part.id, piece=piece, decision="scrap"):
            raise Problem(
                ToSay(
                    "error.scrapped_if_mistake",
                    piece=part.named(piece),
                    why=decided.fact.why,
                    decided=decided.id,
                )
            )
    if decision == "scrap" and not even_assembled:
        for entry in logbook.live(Assembly, part=part.id, piece=piece):
            raise Problem(
                ToSay("error.built_into_say", piece=part.named(piece), item=entry.fact.item)
            )
    fact = Disposition(part.id, piece, op, decision, why.strip())
    return logbook.append(fact, made=made)


def remake(
    logbook: Logbook, part: Part, piece: int, why: str, *, made: str | None = None
) -> Appended[Remade]:
    """A piece is made anew and takes over the number; what was logged of the first one is kept.

    Raises Problem without a reason, when nothing was logged of the piece, when it is built into an
    item, and while it is sent out.
    """
    name = part.named(piece)
    if not why.strip():
        raise Problem(ToSay("error.say_why_qlog_piece", name=name))
    log = PartLog.read(logbook, part)
    if piece in log.assembly:
        raise Problem(ToSay("error.built_into_take", name=name, item=log.assembly[piece].fact.item))
    if piece in log.away:
        raise Problem(ToSay("error.sent_out_count", name=name))
    if piece not in log.touched and not log.decisions(piece):
        raise Problem(ToSay("error.nothing_logged_yet", name=name))
    return logbook.append(Remade(part.id, piece, why.strip()), made=made)


def begin_setup(
    logbook: Logbook,
    part: Part,
    op: int,
    piece: int,
    cause: str,
    *,
    note: str = "",
    made: str | None = None,
) -> Appended[Setup]:
    """A new setup begins with this piece."""
    fact = Setup(part.id, op, piece, cause, note)
    return logbook.append(fact, made=made)


def remark(
    logbook: Logbook,
    part: Part,
    text: str,
    *,
    op: int | None = None,
    piece: int | None = None,
    made: str | None = None,
) -> Appended[Note]:
    """Keep a remark. Raises Problem when it is empty."""
    if not text.strip():
        raise Problem(ToSay("error.empty_note_says"))
    fact = Note(part.id, op, piece, text.strip())
    return logbook.append(fact, made=made)


def logged_reading(
    logbook: Logbook, part: Part, op: int, dimension: Dimension, piece: int
) -> Entry[Reading]:
    """The live reading of that place. Raises Problem when there is none."""
    found = logbook.live(Reading, part=part.id, op=op, dimension=dimension.id, piece=piece)
    if not found:
        raise Problem(
            ToSay(
                "error.reading_after_op",
                piece=part.named(piece),
                dimension=dimension.id,
                op=op,
                part=part.id,
                called=part.called(piece),
            )
        )
    return found[-1]


def _decimal(text: str | None) -> Decimal | None:
    return None if text is None else Decimal(text)


def correct_reading(
    build: Build,
    logbook: Logbook,
    part: Part,
    op: int,
    dimension: Dimension,
    piece: int,
    text: str,
    why: str,
    *,
    made: str | None = None,
    instrument: str | None = None,
    temperature: Decimal | None = None,
    instrument_temperature: Decimal | None = None,
) -> tuple[Entry[Reading], Appended[Reading]]:
    """Supersede a reading; answers the old entry and the new one. Raises Problem.

    Instrument and temperatures (degrees Celsius) stay as they were where none is given.
    """
    old = logged_reading(logbook, part, op, dimension, piece)
    if not why.strip():
        raise Problem(ToSay("error.correction_needs_reason"))
    callout = requirement_for(part, dimension, op, piece)
    used = instrument_for(build, dimension, instrument or old.fact.instrument)
    fact = make_reading(
        part,
        op,
        dimension,
        piece,
        typed_value(callout, used, text),
        text=text,
        instrument=used,
        temperature=_decimal(old.fact.temperature) if temperature is None else temperature,
        instrument_temperature=(
            _decimal(old.fact.instrument_temperature)
            if instrument_temperature is None
            else instrument_temperature
        ),
        note=old.fact.note,
    )
    new = logbook.append(fact, supersedes=old.id, reason=why, made=made)
    return old, new


def enter_said(logbook: Logbook, decisions: Sequence[Said]) -> int:
    """Enter what the maker decided in a rehearsal, all of it or none; returns how many are new.

    One that is there already changes nothing; another about the same line replaces the earlier
    one, which stays in the logbook.
    """
    new = 0
    with logbook.together():
        for said in decisions:
            old = logbook.find(said)
            if old is not None and old.fact == said:
                continue
            if old is None:
                logbook.append(said)
            else:
                logbook.append(said, supersedes=old.id, reason=Own.REHEARSED)
            new += 1
    return new
