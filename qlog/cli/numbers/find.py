"""`qlog find`: what was logged on a day, of a piece, at an operation, with a word in it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from qlog.cli.context import opened

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from qlog.drawing.plan import Build
    from qlog.review.diary.days import Diary, Happening
    from qlog.review.diary.events import Event
    from qlog.words.catalogue import Words
    from qlog.words.diary.asked import Understood


@click.command("find")
@click.argument("words", nargs=-1, required=True, metavar="WORD...")
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@click.pass_context
def command(ctx: click.Context, words: tuple[str, ...], as_json: bool) -> int:
    """Look up what was done, read, photographed, decided or noted, by any WORD that tells.

    Days ("6 June", "June 2026", "6 June to 9 June", "since May"), pieces and marks, parts,
    operations ("op 20"), dimensions, items, instruments, people, kinds (photos, readings, notes,
    decisions, scrapped, corrections, out ...), and any word of a note, a reason or a caption. All
    of it has to be met. English and German are understood. The exit status is 1 when nothing is
    found.

    \b
    Example:
      qlog find 6 June
      qlog find cup-7
      qlog find op 20 photos
      qlog find cup chatter since May
    """
    from datetime import datetime

    from qlog.logbook.photos.capture_time import zone_named
    from qlog.review.diary.days import Diary
    from qlog.review.diary.sought import found_in
    from qlog.review.whole import picture_from
    from qlog.words.catalogue import words_of
    from qlog.words.diary.asked import understood

    with opened(ctx) as o:
        picture = picture_from(o.build, o.logbook, studied=False, dated=True)
    diary = picture.diary or Diary()
    today = datetime.now(zone_named(o.build.timezone)).date()
    question = understood(words, o.build, diary, today)
    found = found_in(diary, question.sought) if question.sought else Diary()
    catalogue = words_of(o.build)
    if as_json:
        from qlog.cli.terminal.say import say_json

        say_json("find", _answer(question, found, catalogue))
    else:
        _print(question, found, o.build, catalogue, named=bool(picture.people))
    return int(not found.days)


def _print(question: Understood, found: Diary, build: Build, words: Words, *, named: bool) -> None:
    from qlog.cli.terminal.say import say_line
    from qlog.words.problems import in_words

    for unknown in question.unknown:
        key = "find.unknown_hint" if unknown.hint else "find.unknown"
        hint = in_words(words, unknown.hint)
        say_line(words(key, word=unknown.typed, hint=hint), err=True)
    for day in found.days:
        say_line(words.date(day.date) or words("diary.undated"))
        for happening in day.happenings:
            for line in _lines(happening, build, words, named=named):
                say_line(f"  {line}")
    if not found.days:
        say_line(words("find.nothing"), err=True)


def _lines(happening: Happening, build: Build, words: Words, *, named: bool) -> Iterator[str]:
    from qlog.words.diary.told import happening_text, photo_lines, place_line
    from qlog.words.history import by_whom

    said = happening_text(happening, words)
    place = place_line(happening, build, words)
    who = words.list(happening.people) if named else ""
    yield by_whom(f"{place}: {said}" if place else said, who, words)
    for photo in (e.photo for e in happening.events):
        if photo is not None:
            yield f"  {photo_lines(photo, words)}"


def _answer(question: Understood, found: Diary, words: Words) -> Mapping[str, object]:
    return {
        "understood": [one.typed for one in question.sought],
        "not_understood": [one.typed for one in question.unknown],
        "days": [
            {
                "day": day.date or None,
                "events": [_event(e, words) for h in day.happenings for e in h.events],
            }
            for day in found.days
        ],
    }


def _event(event: Event, words: Words) -> Mapping[str, object]:
    from qlog.words.diary.told import one_text

    photo, reading = event.photo, event.reading
    undated = photo is not None and photo.taken is None
    return {
        "what": event.what.value,
        "time": None if undated else event.when.isoformat(timespec="seconds"),
        "part": event.part or None,
        "op": event.op,
        "dimension": event.dimension,
        "piece": event.piece,
        "item": event.item,
        "instrument": event.instrument,
        "typed": None if reading is None else reading.typed,
        "verdict": None if reading is None else reading.word,
        "person": event.person or None,
        "entry": event.number,
        "photo": None if photo is None else photo.number,
        "file": None if photo is None else photo.photo.name,
        "text": one_text(event, words),
    }
