"""The diary: what happened on every day of a build, like things of one operation told together."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from qlog.frozen import frozen, replace
from qlog.logbook import facts
from qlog.logbook.build_log import BuildLog
from qlog.logbook.facts import Entry, Fact
from qlog.logbook.part_log import KINDS, PartLog
from qlog.review.diary.events import (
    Event,
    What,
    earlier_told,
    event_of,
    lost_told,
    op_name,
    photo_event,
    raw_told,
    readings_told,
    rest_told,
)
from qlog.review.homeless import Homeless
from qlog.review.moments import in_zone_of
from qlog.review.part.batch import Batch
from qlog.review.revisions import Revisions
from qlog.review.views import PhotoView

#: Told together where they are of one day, part, operation and dimension.
_TOGETHER = (
    What.DONE, What.READ, What.PHOTO, What.SHIPPED, What.BUILT_IN, What.LOGGED, What.SET,
)  # fmt: skip


@frozen
class Happening:
    """One thing, or several like it, that happened on one day: a dimension read on ten pieces."""

    what: What
    part: str  # "" for what belongs to no part
    op: int | None
    name: str  # of the operation or the dimension
    events: tuple[Event, ...]  # in the order of making

    @property
    def people(self) -> tuple[str, ...]:
        """Who entered it, as far as it was said."""
        return tuple(dict.fromkeys(e.person for e in self.events if e.person))

    @property
    def pieces(self) -> tuple[int, ...]:
        """The pieces that it is about."""
        return tuple(dict.fromkeys(e.piece for e in self.events if e.piece is not None))


@frozen
class Day:
    """One day with what happened on it; `date` is ISO 8601, "" for photos that have no time."""

    date: str
    happenings: tuple[Happening, ...]

    @property
    def photos(self) -> tuple[PhotoView, ...]:
        """The photos that were taken on it."""
        return tuple(e.photo for h in self.happenings for e in h.events if e.photo is not None)


@frozen
class Diary:
    """The days of a build, oldest first; photos without a time come last."""

    days: tuple[Day, ...] = ()

    @property
    def events(self) -> Iterator[Event]:
        """Everything, day by day."""
        return (e for day in self.days for h in day.happenings for e in h.events)

    def only(self, events: Iterable[Event]) -> Diary:
        """A diary of some of its events."""
        return Diary(told(events))


def events_of_build(
    log: BuildLog,
    revisions: Revisions,
    photos: Sequence[PhotoView],
    homeless: Sequence[Homeless],
) -> list[Event]:
    """What was logged and photographed of the build as a whole, and what was taken back.

    Photos that are for nobody's eyes, and those for which a better one stands, are left out.
    """
    return [
        *_of_build(log),
        *_revised(log, revisions),
        *_taken_back(log),
        *lost_told(homeless),
        *(photo_event(p, p.taken or "") for p in photos if p.counts),
    ]


def events_of_part(log: PartLog, batch: Batch) -> Iterator[Event]:
    """What was logged of one part; a correction stands on the day on which it was entered."""
    part = log.part
    for begun in log.starts:
        yield event_of(begun, What.BEGUN, begun.fact.op, op_name(part, begun.fact.op))
    for done in log.done.values():
        yield event_of(done, What.DONE, done.fact.op, op_name(part, done.fact.op))
    for operation in part.operations:
        for setup in log.setups(operation.number):
            if setup.entry is not None:
                yield event_of(setup.entry, What.SETUP, operation.number, operation.name)
        for entry in log.all_settings(operation.number):
            told = event_of(entry, What.SET, operation.number, operation.name)
            yield replace(told, settings=(entry.fact,))
    yield from readings_told(batch.series)
    yield from raw_told(log)
    yield from rest_told(log)
    yield from earlier_told(part, log.earlier)


#: What belongs to no part.
_BUILD: tuple[tuple[type[Fact], What], ...] = (
    (facts.GaugeCheck, What.CHECKED), (facts.Trial, What.LOGGED), (facts.ItemSize, What.LOGGED),
    (facts.KeptMatch, What.LOGGED), (facts.Clock, What.LOGGED), (facts.Renamed, What.LOGGED),
)  # fmt: skip


def _of_build(log: BuildLog) -> Iterator[Event]:
    for kind, what in _BUILD:
        for entry in log.live(kind):
            yield event_of(entry, what)


def _revised(log: BuildLog, revisions: Revisions) -> Iterator[Event]:
    """Each revision of the plan, when the first entry under it was made."""
    first: dict[str, Entry[Any]] = {}
    for kind in (*KINDS, *(kind for kind, _ in _BUILD)):
        for entry in log.history(kind):
            sha = entry.revision or ""
            if sha not in first or entry.id < first[sha].id:
                first[sha] = entry
    for sha, _, _ in log.revisions:
        if sha in first:
            yield Event(first[sha].made, None, What.REVISED, revision=revisions.named(sha))


def _taken_back(log: BuildLog) -> Iterator[Event]:
    """Entries that were taken back, on the day on which they were."""
    withdrawn = log.withdrawn
    if not withdrawn:
        return
    for kind in (*KINDS, *(kind for kind, _ in _BUILD)):
        for entry in log.history(kind):
            if (found := withdrawn.get(entry.id)) is not None:
                yield _back(entry, *found)


def _back(entry: Entry[Any], entered: str, reason: str) -> Event:
    told = event_of(entry, What.TAKEN_BACK, getattr(entry.fact, "op", None))
    return replace(told, made=in_zone_of(entered, entry.made), reason=reason)


def told(events: Iterable[Event]) -> tuple[Day, ...]:
    """Events in days, oldest first; what is alike of one operation together.

    What was done at one operation of one part stands together, in the order of its first event.
    """
    days: dict[str, list[Event]] = {}
    for event in sorted(events, key=lambda e: (e.when, e.number or 0)):
        days.setdefault(event.day, []).append(event)
    return tuple(Day(date, _happenings(days[date])) for date in sorted(days, key=_undated_last))


def _undated_last(date: str) -> tuple[bool, str]:
    return not date, date


def _happenings(events: Sequence[Event]) -> tuple[Happening, ...]:
    places: dict[tuple[str, int | None], dict[tuple[Any, ...], list[Event]]] = {}
    for event in events:
        # What was built into one item stands together, whatever it is part of.
        place = ("", None) if event.what is What.BUILT_IN else (event.part, event.op)
        alike = places.setdefault(place, {})
        key: tuple[Any, ...] = (event.what, event.name, *_apart(event))
        if event.what not in _TOGETHER:
            key = (*key, len(alike))
        alike.setdefault(key, []).append(event)
    return tuple(
        Happening(own[0].what, part, op, own[0].name, tuple(own))
        for (part, op), alike in places.items()
        for own in alike.values()
    )


def _apart(event: Event) -> tuple[object, ...]:
    """What keeps two events of a kind apart: out and back, this item and that, with a reason.

    What an operation is set to holds from one piece on, so that piece as well.
    """
    fact = None if event.entry is None else event.entry.fact
    if fact is None:
        return ()
    since = fact.piece if isinstance(fact, facts.Setting) else None
    said = (getattr(fact, n, "") for n in ("direction", "who", "item", "override"))
    return (fact.TABLE, since, *said)
