"""What happened, said: one line for what was told together."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from qlog.drawing.decimals import as_typed
from qlog.drawing.plan import Build
from qlog.frozen import frozen
from qlog.logbook.facts import Trial
from qlog.review.diary.days import Happening
from qlog.review.diary.events import Event, What
from qlog.review.views import PhotoView, ReadingView
from qlog.study.conformity.verdict import Verdict
from qlog.words.catalogue import Words
from qlog.words.entries import cause_text, entry_text, own_text
from qlog.words.history import event_text
from qlog.words.placing import place_text
from qlog.words.settings import settings_text
from qlog.words.values import verdict_word


@frozen
class ReadOn:
    """One reading among others of its dimension."""

    piece: int
    called: str  # the piece, among its kind
    value: str  # as it was typed
    word: str  # its verdict; "" where it is good
    reading: ReadingView


def place_line(happening: Happening, build: Build, words: Words) -> str:
    """The part and the operation of it; "" for what belongs to the build."""
    part = next((p for p in build.parts if p.id == happening.part), None)
    if part is None:
        return happening.part
    operation = next((o for o in part.operations if o.number == happening.op), None)
    if operation is None:
        return part.name
    return words("told.place", part=part.name, op=operation.number, name=operation.name)


def readings_of(happening: Happening, words: Words) -> tuple[ReadOn, ...]:
    """The readings of a dimension that was read, piece by piece."""
    if happening.what is not What.READ:
        return ()
    found = []
    for reading in (e.reading for e in happening.events):
        if reading is not None:
            good = reading.verdict is Verdict.GOOD or reading.passed is True
            found.append(
                ReadOn(
                    reading.piece,
                    words.called(reading.part, reading.piece),
                    _value(reading, words),
                    "" if good else verdict_word(words, reading),
                    reading,
                )
            )
    return tuple(sorted(found, key=lambda read: read.piece))


def _value(reading: ReadingView, words: Words) -> str:
    if reading.passed is not None:
        return words("value.go" if reading.passed else "value.no_go")
    return words.number(as_typed(reading.typed))


def happening_text(happening: Happening, words: Words) -> str:
    """One line: `done on 1-5`, `socket: 1 22.01, 2 22.06 out high`."""
    first = happening.events[0]
    pieces = words.runs(happening.part, happening.pieces)
    match happening.what:
        case What.READ:
            listed = ", ".join(_read_on(r, words) for r in readings_of(happening, words))
            return words("told.read", name=happening.name, readings=listed)
        case What.DONE if not _fact(first).override:
            return words("told.done", pieces=pieces)
        case What.DONE:
            return words("told.done_override", pieces=pieces, why=_fact(first).override)
        case What.BEGUN:
            note = _fact(first).note
            return words("told.begun_note", note=note) if note else words("told.begun")
        case What.SET:
            held = [s for e in happening.events for s in e.settings]
            return words("told.set", piece=_piece(first, words), said=settings_text(held, words))
        case What.SHIPPED:
            key = f"told.{_fact(first).direction}"
            return words(key, pieces=pieces, who=_fact(first).who)
        case What.BUILT_IN:
            built = words.list([_piece(e, words) for e in happening.events])
            return words("told.built", item=words.item(_fact(first).item), pieces=built)
        case What.PHOTO:
            return words.count("n.photos", len(happening.events))
        case What.LOGGED:
            return _logged(happening.events, words)
    return one_text(first, words)


def photo_lines(photo: PhotoView, words: Words) -> str:
    """A photo in a list: its number, its file, where it belongs, its caption."""
    place = place_text(photo, words)
    said = words("told.photo", number=photo.number, file=photo.photo.name, place=place)
    return words("told.of_piece", piece=said, said=photo.caption) if photo.caption else said


def one_text(event: Event, words: Words) -> str:
    """One event that stands alone, with the piece that it is about."""
    match event.what:
        case What.WAS_READ if event.correction is not None:
            return words(
                "told.was_read",
                piece=_piece(event, words),
                name=event.name,
                value=words.number(event.correction.typed),
            )
        case What.CORRECTED if event.correction is not None:
            return words(
                "told.corrected",
                piece=_piece(event, words),
                name=event.name,
                old=words.number(event.correction.typed),
                new=words.number(event.correction.became),
                reason=own_text(event.correction.reason, words),
            )
        case What.SETUP:
            cause = cause_text(_fact(event).cause, words)
            return words("told.setup", piece=_piece(event, words), cause=cause)
        case What.REVISED:
            return words("told.revised", revision=event.revision)
        case What.TAKEN_BACK if event.entry is not None:
            said = entry_text(event.entry.fact, words)
            return words("told.taken_back", entry=said, reason=own_text(event.reason, words))
        case What.CHECKED | What.LOGGED if event.entry is not None:
            return _logged((event,), words)
    said = event_text(event, words)
    if of_one_piece(event):
        return words("told.of_piece", piece=_piece(event, words), said=said)
    return said


#: What is told of one piece: its name, and what happened to it.
_OF_PIECE = (What.DECIDED, What.NOTED, What.GAP, What.REMADE, What.READ_BESIDE)


def of_one_piece(event: Event) -> bool:
    """Whether it is said as the name of a piece and what happened to it."""
    return event.piece is not None and event.what in _OF_PIECE


def _logged(events: Sequence[Event], words: Words) -> str:
    """Entries that are said as they are listed; a study by its count."""
    facts = [e.entry.fact for e in events if e.entry is not None]
    if isinstance(facts[0], Trial) and len(facts) > 1:
        study, instrument = facts[0].study, facts[0].instrument
        return words("told.trials", study=study, n=len(facts), instrument=instrument)
    return "; ".join(entry_text(fact, words) for fact in facts)


def _read_on(read: ReadOn, words: Words) -> str:
    key = "told.reading_word" if read.word else "told.reading"
    return words(key, piece=read.called, value=read.value, word=read.word)


def _fact(event: Event) -> Any:
    assert event.entry is not None
    return event.entry.fact


def _piece(event: Event, words: Words) -> str:
    return "" if event.piece is None else words.piece(event.part, event.piece)
