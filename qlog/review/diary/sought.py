"""What is looked for in the diary: conditions as values, and the events that meet them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal, InvalidOperation

from qlog.frozen import frozen, replace
from qlog.review.diary.days import Diary
from qlog.review.diary.events import Event, What

#: Fields of facts that hold words of the people who entered them.
_WORDS = (
    "note", "text", "why", "override", "cause", "who", "parcel", "what", "old", "new", "study",
    "camera",
)  # fmt: skip


@frozen
class OnDay:
    """A day, a month or a year; what is None may be any."""

    year: int | None = None
    month: int | None = None
    day: int | None = None

    def order(self, date: str) -> int:
        """How an ISO date lies to it: -1 before, 0 within, 1 after."""
        known = (self.year, self.month, self.day)
        pairs = [
            (int(part), wanted)
            for part, wanted in zip(date.split("-"), known, strict=True)
            if wanted is not None
        ]
        own, wanted = [a for a, _ in pairs], [b for _, b in pairs]
        return (own > wanted) - (own < wanted)

    @property
    def end(self) -> str:
        """An ISO date that nothing of it lies after; of a year that is known."""
        return f"{self.year}-{self.month or 12}-{self.day or 31}"

    def latest(self, by: str) -> OnDay:
        """The last such day that has begun by an ISO date; itself where it has a year."""
        if self.year is not None:
            return self
        return replace(self, year=int(by[:4]) - (self.order(by) < 0))

    def after(self, first: OnDay) -> OnDay:
        """The first such day that is not before a day of a known year; itself where it has one."""
        if self.year is not None or first.year is None:
            return self
        over = self.order(f"{first.year}-{first.month or 1}-{first.day or 1}") > 0
        return replace(self, year=first.year + over)

    def holds(self, event: Event) -> bool:
        """Whether the event was on it."""
        return bool(event.day) and self.order(event.day) == 0


@frozen
class FromTo:
    """From one day to another, both included; None for no end."""

    first: OnDay | None
    last: OnDay | None

    def holds(self, event: Event) -> bool:
        """Whether the event was within."""
        if not event.day:
            return False
        begun = self.first is None or self.first.order(event.day) >= 0
        return begun and (self.last is None or self.last.order(event.day) <= 0)


@frozen
class AtPlace:
    """A part, a piece, an operation, a dimension; what is None may be any."""

    part: str | None = None
    piece: int | None = None
    op: int | None = None
    dimension: str | None = None

    def holds(self, event: Event) -> bool:
        """Whether the event was there."""
        return (
            self.part in (None, event.part)
            and self.piece in (None, event.piece)
            and self.op in (None, event.op)
            and self.dimension in (None, event.dimension)
        )


@frozen
class AboutItem:
    """A finished item."""

    item: str

    def holds(self, event: Event) -> bool:
        """Whether the event is about it."""
        return event.item == self.item


@frozen
class WithInstrument:
    """An instrument."""

    instrument: str

    def holds(self, event: Event) -> bool:
        """Whether something was read with it, or it was checked."""
        return event.instrument == self.instrument


@frozen
class ByPerson:
    """Somebody."""

    person: str

    def holds(self, event: Event) -> bool:
        """Whether they entered it."""
        return event.person == self.person


@frozen
class OfKind:
    """What happened: some kinds, and one decision among the decisions."""

    kinds: frozenset[What]
    decision: str = ""

    def holds(self, event: Event) -> bool:
        """Whether it was that."""
        what = event.what
        if what is What.LOGGED and event.entry is not None and event.entry.fact.TABLE == "reading":
            what = What.READ  # without limits: logged as it is, and a reading all the same
        right = not self.decision or _field(event, "decision") == self.decision
        return what in self.kinds and right


@frozen
class Outside:
    """Readings outside their limits and failed checks."""

    def holds(self, event: Event) -> bool:
        """Whether it is one."""
        return event.reading is not None and event.correction is None and event.reading.bad


@frozen
class Saying:
    """A word: in a note, a reason, a caption, a file's name; a number as it was read."""

    text: str

    def holds(self, event: Event) -> bool:
        """Whether it is there."""
        number = _number(self.text)
        if number is not None and any(_number(v) == number for v in _values(event)):
            return True
        wanted = self.text.casefold()
        return any(wanted in said.casefold() for said in _said(event))


Condition = (
    OnDay | FromTo | AtPlace | AboutItem | WithInstrument | ByPerson | OfKind | Outside | Saying
)


@frozen
class Sought:
    """A word or several of a question, and what they may mean: any one of it is enough."""

    typed: str
    means: tuple[Condition, ...]

    def holds(self, event: Event) -> bool:
        """Whether the event is what was meant."""
        return any(one.holds(event) for one in self.means)


def found_in(diary: Diary, sought: Sequence[Sought]) -> Diary:
    """What meets every condition, in days as the diary has them."""
    return diary.only(e for e in diary.events if all(one.holds(e) for one in sought))


def known(events: Iterable[Event], condition: Condition) -> bool:
    """Whether any event meets it."""
    return any(condition.holds(event) for event in events)


def _field(event: Event, name: str) -> object:
    return None if event.entry is None else getattr(event.entry.fact, name, None)


def _said(event: Event) -> Iterator[str]:
    """The words of people in it."""
    for name in _WORDS:
        if said := _field(event, name):
            yield str(said)
    if event.reading is not None:
        yield event.reading.note
    if event.correction is not None:
        yield event.correction.reason
    if event.photo is not None:
        yield from (event.photo.caption, event.photo.photo.name)
    for held in event.settings:
        yield from (held.what, held.value)
    yield event.reason


def _values(event: Event) -> Iterator[str]:
    """The numbers that were typed."""
    if event.correction is not None:
        yield event.correction.typed
    if event.reading is not None:
        yield event.reading.typed
    if (typed := _field(event, "typed")) is not None:
        yield str(typed)


def _number(text: str) -> Decimal | None:
    try:
        found = Decimal(text.strip().replace(",", "."))
    except InvalidOperation:
        return None
    return found if found.is_finite() else None  # "snan" is a word, and refuses to be compared
