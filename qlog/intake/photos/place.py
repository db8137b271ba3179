"""Where photos belong: the decision, from what is known of each, and nothing but that.

In this order: a slate in the camera's own series decides; the time inside an operation's stretch
proposes; the names of file and folders propose; the rest stays unplaced.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum

from qlog.intake.photos.names import NamedPlace, Route
from qlog.intake.photos.slate import Slate

#: A slate holds until the next one, or until its camera has rested for longer than this: an
#: evening at the bench has shorter pauses, the way to the next evening a longer one.
GAP = timedelta(hours=2)


class How(StrEnum):
    """What placed a photo, or what it is."""

    CARD = "card"  # the photo of a slate itself: kept, and left out of the record
    CLOCK = "clock"  # the photo of a clock's code: likewise
    SLATE = "slate"
    TIME = "time"
    NAME = "name"
    UNPLACED = "unplaced"


@dataclass(frozen=True, slots=True)
class Seen:
    """What is known of one photo.

    `taken` is the moment after the camera's clock correction, aware; None when nothing but a
    guess tells. `time_certain` is False within a clock change. `camera` tells cameras apart, ""
    when the file does not say. `name` orders photos of the same moment.
    """

    photo: str
    name: str
    camera: str
    taken: datetime | None
    time_certain: bool = True
    slates: tuple[Slate, ...] = ()
    named: NamedPlace | None = None


@dataclass(frozen=True, slots=True)
class Stretch:
    """From when to when an op was worked on; `piece` when it was a single piece's turn."""

    part: str
    op: int
    start: datetime
    end: datetime
    piece: int | None = None


@dataclass(frozen=True, slots=True)
class Proposal:
    """Where a photo belongs; part "" and op 0 not placed. `certain` when a slate decided.

    `note` says what speaks against it, or why it stays unplaced.
    """

    photo: str
    part: str
    op: int
    piece: int | None
    how: How
    certain: bool
    note: str = ""


def place(
    photos: Iterable[Seen],
    stretches: Sequence[Stretch],
    routes: Mapping[str, Route],
    *,
    gap: timedelta = GAP,
) -> list[Proposal]:
    """A proposal for every photo, in the order given.

    `routes` holds the parts, ops and piece counts that there are: a slate of another one places
    nothing. A photo without camera or without a capture time is neither under a slate nor does
    its own slate reach further.
    """
    seen = list(photos)
    slate_of = _slates(seen, routes, gap)
    return [_one(photo, slate_of[i], stretches, routes) for i, photo in enumerate(seen)]


def _places(photo: Seen) -> list[Slate]:
    return [slate for slate in photo.slates if not slate.is_clock]


def _slates(
    seen: Sequence[Seen], routes: Mapping[str, Route], gap: timedelta
) -> list[tuple[Slate, bool] | None]:
    """For each photo the slate it stands under, and whether both their times are certain."""
    series: dict[str, list[tuple[datetime, str, int]]] = defaultdict(list)
    for i, photo in enumerate(seen):
        if photo.camera and photo.taken is not None:
            series[photo.camera].append((photo.taken, photo.name, i))
    found: list[tuple[Slate, bool] | None] = [None] * len(seen)
    for shots in series.values():
        current: tuple[Slate, bool] | None = None
        last: datetime | None = None
        for taken, _, i in sorted(shots):
            if last is not None and taken - last > gap:
                current = None
            last = taken
            shown = _places(seen[i])
            if shown:
                # Several cards at once, or one of another build, end the one before and start none.
                usable = len(shown) == 1 and not _unknown(shown[0], routes)
                current = (shown[0], seen[i].time_certain) if usable else None
            elif current is not None:
                found[i] = current[0], current[1] and seen[i].time_certain
    return found


def _unknown(slate: Slate, routes: Mapping[str, Route]) -> str:
    """What of the slate's place is not in the plan, "" when all of it is."""
    route = routes.get(slate.part)
    if route is None:
        return f"part {slate.part}"
    if slate.op not in route.ops:
        return f"{slate.part} op {slate.op}"
    if slate.piece is not None and not 1 <= slate.piece <= route.pieces:
        return f"{slate.part}-{slate.piece}"
    return ""


def _one(
    photo: Seen,
    under: tuple[Slate, bool] | None,
    stretches: Sequence[Stretch],
    routes: Mapping[str, Route],
) -> Proposal:
    shown = _places(photo)
    if shown:
        if len(shown) > 1:
            return Proposal(photo.photo, "", 0, None, How.CARD, True, "shows several cards")
        slate = shown[0]
        if unknown := _unknown(slate, routes):
            note = f"its card names {unknown}, which the plan does not have"
            return Proposal(photo.photo, "", 0, None, How.CARD, True, note)
        return Proposal(photo.photo, slate.part, slate.op, slate.piece, How.CARD, True)
    if photo.slates:
        return Proposal(photo.photo, "", 0, None, How.CLOCK, True)
    if under is not None:
        slate, certain = under
        found = Proposal(photo.photo, slate.part, slate.op, slate.piece, How.SLATE, certain)
        return _against(found, photo)
    at = _by_time(photo, stretches)
    if len(at) > 1 and photo.named is not None:
        # Two ops were worked on at the same time; the name may say which of them it was.
        at = {p for p in at if p[:2] == (photo.named.part, photo.named.op)} or at
    if len(at) == 1:
        ((part, op, piece),) = at
        return _against(Proposal(photo.photo, part, op, piece, How.TIME, False), photo)
    named = photo.named
    if named is not None:
        return Proposal(photo.photo, named.part, named.op, named.piece, How.NAME, False)
    note = "taken while several operations were worked on" if at else ""
    return Proposal(photo.photo, "", 0, None, How.UNPLACED, False, note)


def _by_time(photo: Seen, stretches: Sequence[Stretch]) -> set[tuple[str, int, int | None]]:
    """The places whose stretch the photo falls into; the piece only where one alone fits."""
    if photo.taken is None or not photo.time_certain:
        return set()
    pieces: dict[tuple[str, int], set[int | None]] = defaultdict(set)
    for stretch in stretches:
        if stretch.start <= photo.taken <= stretch.end:
            pieces[stretch.part, stretch.op].add(stretch.piece)
    found: set[tuple[str, int, int | None]] = set()
    for (part, op), fits in pieces.items():
        # A stretch of the whole batch beside one of a single piece leaves that piece standing.
        single = fits - {None} or {None}
        found.add((part, op, single.pop() if len(single) == 1 else None))
    return found


def _against(found: Proposal, photo: Seen) -> Proposal:
    """The proposal, with the piece that the name adds or a word that the name says otherwise."""
    named = photo.named
    if named is None:
        return found
    if (named.part, named.op) != (found.part, found.op):
        return replace(found, note=f"its name says {named.part} op {named.op}")
    if named.piece is None or named.piece == found.piece:
        return found
    if found.piece is None:
        return replace(found, piece=named.piece, certain=False, note="the piece is from its name")
    return replace(found, note=f"its name says {named.part}-{named.piece}")
