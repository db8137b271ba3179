"""A question in words, understood: "6 June", "cup-7", "op 20 photos", in every language."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from datetime import date, timedelta

from qlog.drawing.plan import Build
from qlog.frozen import frozen
from qlog.intake.typed.places import PlaceError, item_of, named_piece, plain
from qlog.intake.typed.times import MONTHS
from qlog.problem import said_by
from qlog.review.diary.days import Diary
from qlog.review.diary.events import What
from qlog.review.diary.sought import (
    AboutItem,
    AtPlace,
    ByPerson,
    Condition,
    FromTo,
    OfKind,
    OnDay,
    Outside,
    Saying,
    Sought,
    WithInstrument,
    known,
)
from qlog.words.catalogue import Words, languages, load

#: Words that belong together at most: "hole for the stem".
_LONGEST = 5

#: What a word of the catalogues asks for; their words stand under `find.NAME`.
_KINDS: dict[str, Condition] = {
    "photos": OfKind(frozenset({What.PHOTO})),
    "readings": OfKind(frozenset({What.READ, What.READ_BESIDE, What.WAS_READ})),
    "notes": OfKind(frozenset({What.NOTED, What.BEGUN})),
    "decisions": OfKind(frozenset({What.DECIDED})),
    "scrapped": OfKind(frozenset({What.DECIDED}), "scrap"),
    "reworked": OfKind(frozenset({What.DECIDED}), "rework"),
    "corrections": OfKind(frozenset({What.CORRECTED, What.TAKEN_BACK})),
    "done": OfKind(frozenset({What.DONE})),
    "begun": OfKind(frozenset({What.BEGUN})),
    "setups": OfKind(frozenset({What.SETUP})),
    "settings": OfKind(frozenset({What.SET})),
    "gaps": OfKind(frozenset({What.GAP})),
    "parcels": OfKind(frozenset({What.SHIPPED})),
    "assembled": OfKind(frozenset({What.BUILT_IN})),
    "checks": OfKind(frozenset({What.CHECKED})),
    "revisions": OfKind(frozenset({What.REVISED})),
    "out": Outside(),
}


@frozen
class NotUnderstood:
    """A word that nothing is called and nobody wrote; `hint` says what there is instead."""

    typed: str
    hint: str = ""


@frozen
class Understood:
    """What was understood of a question, and what was not."""

    sought: tuple[Sought, ...]
    unknown: tuple[NotUnderstood, ...]


def understood(typed: Sequence[str], build: Build, diary: Diary, today: date) -> Understood:
    """Read a question word by word, the longest name first.

    What is no day, place, person or kind is looked for in notes, reasons, captions and values.
    """
    # A comma between digits belongs to a number, as in 22,03, or stands before a year.
    words = re.sub(r"(?<!\d),|,(?!\d)", ", ", " ".join(typed)).split()
    return _Reading(build, diary, today).read([w.removesuffix(",") or w for w in words])


def offered(words: Words) -> tuple[str, ...]:
    """The words for kinds in one language, for a shell that completes."""
    return tuple(words(f"find.{name}").split(", ")[0] for name in _KINDS)


def _listed(key: str) -> list[str]:
    """The words of a list, in every language."""
    return [word for code in languages() for word in load(code)(key).split(", ")]


class _Reading:
    """One question being read."""

    def __init__(self, build: Build, diary: Diary, today: date) -> None:
        self.build = build
        self.events = list(diary.events)
        self.people = sorted({e.person for e in self.events if e.person})
        self.today = today
        self.kinds = {w: kind for name, kind in _KINDS.items() for w in _listed(f"find.{name}")}
        self.part: str | None = None  # the last one that was named
        self.sought: list[Sought] = []
        self.unknown: list[NotUnderstood] = []

    def read(self, words: Sequence[str]) -> Understood:
        """All of the words."""
        at = 0
        while at < len(words):
            at += self._dates(words[at:]) or self._name(words[at:]) or self._word(words[at])
        return Understood(tuple(self.sought), tuple(self.unknown))

    def _take(self, words: Sequence[str], *means: Condition) -> int:
        self.sought.append(Sought(" ".join(words), means))
        return len(words)

    def _dates(self, words: Sequence[str]) -> int:
        """A day or a stretch of days at the front; how many words it takes."""
        front = words[0].casefold()
        open_end = front in _listed("find.since")
        if open_end or front in _listed("find.until"):
            day, taken = _day(words[1:], self.today)
            if day is None:
                return 0
            day = day.latest(self.today.isoformat())
            means = FromTo(day, None) if open_end else FromTo(None, day)
            return self._take(words[: 1 + taken], means)
        day, taken = _day(words, self.today)
        if day is None:
            return 0
        rest = words[taken:]
        if rest and rest[0].casefold() in (*_listed("find.until"), "-", "\N{EN DASH}"):
            last, more = _day(rest[1:], self.today)
            if last is not None:
                first = day.latest(self.today.isoformat() if last.year is None else last.end)
                return self._take(words[: taken + 1 + more], FromTo(first, last.after(first)))
        return self._take(words[:taken], day)

    def _name(self, words: Sequence[str]) -> int:
        """The longest name at the front; how many words it takes."""
        for length in range(min(_LONGEST, len(words)), 0, -1):
            means = list(self._called(words[:length]))
            if means:
                return self._take(words[:length], *means)
        return 0

    def _called(self, words: Sequence[str]) -> Iterator[Condition]:
        """What is called so, word for word."""
        text = " ".join(words)
        name = plain(text)
        if text.casefold() in self.kinds:
            yield self.kinds[text.casefold()]
            return
        numbered = re.fullmatch(r"([^\W\d]+)\.? ?(\d{1,4})", text.casefold())
        if numbered and numbered[1] in _listed("find.op"):
            yield AtPlace(op=int(numbered[2]))
            return
        if any(name and name in (plain(p.id), plain(p.name)) for p in self.build.parts):
            for part in self.build.parts:
                if name in (plain(part.id), plain(part.name)):
                    self.part = part.id
                    yield AtPlace(part.id)
            return
        yield from self._piece(words) or self._things(text, name)

    def _piece(self, words: Sequence[str]) -> list[Condition]:
        """A piece or an item: `cup-7`, `cup 7`, a mark, `No. 5`."""
        for text in dict.fromkeys((" ".join(words), "-".join(words))):
            try:
                part, number = named_piece(self.build, text)
                return [AtPlace(part.id, number)]
            except PlaceError:
                pass
            gone = re.fullmatch(r"(.+)-(\d{1,9})", text.casefold())
            if gone and known(self.events, lost := AtPlace(gone[1], int(gone[2]))):
                return [lost]
        try:
            group, number = item_of(self.build, " ".join(words))
            return [AboutItem(f"{group.id}-{number}")]
        except PlaceError:
            return []

    def _things(self, text: str, name: str) -> Iterator[Condition]:
        """Dimensions, else operations; instruments and people."""
        dimensions = [
            AtPlace(part.id, dimension=d.id)
            for part in self.build.parts
            for d in part.dimensions
            if name and name in (plain(d.id), plain(d.name))
        ]
        yield from dimensions or [
            AtPlace(part.id, op=o.number)
            for part in self.build.parts
            for o in part.operations
            if name and name == plain(o.name)
        ]
        for instrument in self.build.instruments:
            if name and name in (plain(instrument.id), plain(instrument.name)):
                yield WithInstrument(instrument.id)
        for person in self.people:
            if text.casefold() == person.casefold():
                yield ByPerson(person)

    def _word(self, word: str) -> int:
        """One word that is no whole name: a word of a name, a number, or what somebody wrote."""
        if word.casefold() in _listed("find.filler"):
            return 1
        means: list[Condition] = [*self._number(word), *self._within(plain(word)), Saying(word)]
        if any(known(self.events, one) for one in means):
            return self._take([word], *means)
        self.unknown.append(NotUnderstood(word, self._hint(word)))
        return 1

    def _number(self, word: str) -> Iterator[Condition]:
        """A bare number: an operation, or a piece of the part that was named before."""
        if re.fullmatch(r"\d{1,4}", word):
            yield AtPlace(op=int(word))
            if self.part is not None:
                yield AtPlace(self.part, int(word))

    def _within(self, name: str) -> Iterator[Condition]:
        """Names that have the word in them."""
        if not name:
            return

        def has(text: str) -> bool:
            return name in plain(text).split()

        for part in self.build.parts:
            if has(part.id) or has(part.name):
                yield AtPlace(part.id)
            yield from (
                AtPlace(part.id, dimension=d.id)
                for d in part.dimensions
                if has(d.id) or has(d.name)
            )
            yield from (AtPlace(part.id, op=o.number) for o in part.operations if has(o.name))
        for instrument in self.build.instruments:
            if has(instrument.id) or has(instrument.name) or has(instrument.kind):
                yield WithInstrument(instrument.id)
        yield from (ByPerson(person) for person in self.people if has(person))

    def _hint(self, word: str) -> str:
        """What there is instead, for what is written as a piece is."""
        if not re.fullmatch(r".+-\d+", word):
            return ""
        try:
            named_piece(self.build, word)
        except PlaceError as error:
            return said_by(error)
        return ""


def _day(words: Sequence[str], today: date) -> tuple[OnDay | None, int]:
    """The day, month or year at the front, and how many words it takes."""
    for length in range(min(3, len(words)), 0, -1):
        found = _day_of(" ".join(words[:length]).casefold(), today)
        if found is not None:
            return found, length
    return None, 0


def _day_of(text: str, today: date) -> OnDay | None:
    """One day, month or year. The year of a month may be left open."""
    for key, back in (("find.today", 0), ("find.yesterday", 1)):
        if text in _listed(key):
            day = today - timedelta(days=back)
            return OnDay(day.year, day.month, day.day)
    if iso := re.fullmatch(r"((?:19|20)\d\d)(?:-(\d\d?)(?:-(\d\d?))?)?", text):
        return _checked(iso[1], iso[2], iso[3])
    if dotted := re.fullmatch(r"(\d\d?)\. ?(\d\d?)\.(?: ?((?:19|20)\d\d))?", text):
        return _checked(dotted[3], dotted[2], dotted[1])
    year = r"(?:(?:, ?| )((?:19|20)\d\d))?"
    if first := re.fullmatch(rf"(\d\d?)(?:st|nd|rd|th|\.)? ([a-zä]+)\.?{year}", text):
        return _named(first[3], first[2], first[1])
    if behind := re.fullmatch(rf"([a-zä]+)\.? (\d\d?)(?:st|nd|rd|th)?{year}", text):
        return _named(behind[3], behind[1], behind[2])
    if alone := re.fullmatch(rf"([a-zä]+)\.?{year}", text):
        return _named(alone[2], alone[1], None)
    return None


def _named(year: str | None, month: str, day: str | None) -> OnDay | None:
    number = MONTHS.get(month)
    return None if number is None else _checked(year, str(number), day)


def _checked(year: str | None, month: str | None, day: str | None) -> OnDay | None:
    """A day that a calendar has; None for any other."""
    found = OnDay(*(None if part is None else int(part) for part in (year, month, day)))
    try:
        date(found.year or 2000, found.month or 1, found.day or 1)
    except ValueError:
        return None
    return found
