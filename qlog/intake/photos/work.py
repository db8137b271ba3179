"""What the log says of a moment: which operation was worked on, and how surely.

Only entries speak: starts, readings and marks of operations done. Between entries of two
operations the log says that it was one of the two, which is no word for either.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from datetime import datetime, timedelta

from qlog.frozen import frozen

#: Entries of one operation that are further apart than this are two sittings: an evening at the
#: bench has shorter pauses, the way to the next evening a longer one (common practice).
GAP = timedelta(hours=2)
#: Work goes on before its first entry and after its last one, for so long (common practice).
LEAD, TAIL = timedelta(hours=1), timedelta(minutes=30)
#: After a start, work may go on for so long before anything else is entered: a long day.
BEGUN = timedelta(hours=12)
#: Entries of two operations that take turns within this on both sides are two machines at work.
_BESIDE = timedelta(hours=1)
#: For so long a card or an entry speaks for what is photographed after it.
FRESH = timedelta(minutes=20)


@frozen
class Logged:
    """One entry of work: when, on what; `start` when it says that the work begins."""

    at: datetime
    part: str
    op: int
    piece: int | None = None
    start: bool = False

    @property
    def place(self) -> tuple[str, int]:
        """Part and operation."""
        return self.part, self.op


@frozen
class LogWord:
    """The operations that the log allows for a moment.

    `firm` when it allows one and an entry of it lies close by, with nothing else between, and
    what comes next does not leave open whether the work had changed.
    """

    places: frozenset[tuple[str, int]]
    piece: int | None
    firm: bool


class Work:
    """The entries of all work, in the order of their times."""

    def __init__(self, entries: Sequence[Logged]) -> None:
        self._entries = sorted(entries, key=lambda e: (e.at, e.part, e.op, e.piece or 0))
        self._times = [entry.at for entry in self._entries]

    def at(self, moment: datetime) -> LogWord:
        """What the log says of that moment."""
        index = bisect_right(self._times, moment)
        before = self._entries[index - 1] if index else None
        after = self._entries[index] if index < len(self._entries) else None
        if before is not None and not _reaches(before, after, moment):
            before = None
        if after is not None and (after.start or after.at - moment > LEAD):
            # A start begins its work: what comes before it belongs to another.
            coming = after if after.at - moment <= GAP else None
            after = None
        else:
            coming = after
        places = frozenset(e.place for e in (before, after) if e is not None)
        if len(places) == 1:
            places |= self._beside(moment)
        if len(places) != 1:
            return LogWord(places, None, False)
        return LogWord(places, _piece(before, after), _firm(moment, before, after, coming))

    def _beside(self, moment: datetime) -> frozenset[tuple[str, int]]:
        """Work with entries on both sides of the moment: with two of it, two went on at once."""
        lo = bisect_right(self._times, moment - _BESIDE)
        index = bisect_right(self._times, moment)
        hi = bisect_right(self._times, moment + _BESIDE)
        earlier = {entry.place for entry in self._entries[lo:index]}
        later = {entry.place for entry in self._entries[index:hi] if not entry.start}
        return frozenset(earlier & later)

    def elsewhere(self, place: tuple[str, int], since: datetime, until: datetime) -> bool:
        """Whether an entry of other work lies between the two moments."""
        lo, hi = bisect_right(self._times, since), bisect_right(self._times, until)
        return any(entry.place != place for entry in self._entries[lo:hi])

    def last(self, place: tuple[str, int], until: datetime) -> datetime | None:
        """The last entry of that work up to a moment, when nothing else was entered after it."""
        index = bisect_right(self._times, until)
        if index and self._entries[index - 1].place == place:
            return self._times[index - 1]
        return None


def _reaches(before: Logged, after: Logged | None, moment: datetime) -> bool:
    """Whether the work of an entry goes on until the moment."""
    if before.start:
        return moment - before.at <= BEGUN
    if after is not None and after.place == before.place and after.at - before.at <= GAP:
        return True
    return moment - before.at <= TAIL


def _piece(before: Logged | None, after: Logged | None) -> int | None:
    """The piece that the entries on both sides name."""
    same = before is not None and after is not None and before.piece == after.piece
    return before.piece if same and before is not None else None


def _firm(
    moment: datetime, before: Logged | None, after: Logged | None, coming: Logged | None
) -> bool:
    if before is None:
        return False
    close = moment - before.at <= FRESH or (after is not None and after.at - moment <= FRESH)
    if not close:
        return False
    # Entries of it on both sides; or it was begun, or other work begins by a start of its own.
    return after is not None or before.start or (coming is not None and coming.start)
