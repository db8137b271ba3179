"""Where photos belong: every place is voted on, and the votes decide.

A card photographed before it, the log of the work at its time, the names of file and folders, and
photos of the same view that somebody placed each have a vote. Two that agree with nothing against
them make a place certain; one alone proposes; a contradiction leaves the photo unplaced. Card and
log know the moment and have not seen the picture: they make it certain only where its view, or a
name that somebody gave it, speaks for it too.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime, timedelta
from enum import StrEnum

from qlog.counting import natural
from qlog.frozen import frozen, replace
from qlog.intake.photos.names import NamedPlace, Route, counter
from qlog.intake.photos.slate import Slate
from qlog.intake.photos.work import FRESH, GAP, Logged, Work
from qlog.study.alike import ALIKE, apart, without_like

#: Cameras count to 9999 (JEITA CP-3461, DCF). So many may be deleted or be of something else
#: between two photos, and so many steps back are copies and photos of the same second.
_COUNTS, _SKIPPED, _BACK = 10_000, 150, 5
#: What stands for the part of another build's card.
_FOREIGN = " "


class How(StrEnum):
    """What has a vote on a photo's place, or what the photo is."""

    CARD = "card"  # the photo of a slate itself: kept, and left out of the record
    CLOCK = "clock"  # the photo of a clock's code: likewise
    SLATE = "slate"
    TIME = "time"
    NAME = "name"
    LIKE = "likeness"
    MARK = "mark"  # a small code beside the work
    ONLY = "only"  # the plan has no other place
    UNPLACED = "unplaced"


#: Votes that know when a photo was taken, and not what it shows.
_OF_THE_MOMENT = {How.SLATE, How.TIME}


class Doubt(StrEnum):
    """What speaks against a photo's place."""

    UNREAD = "unread"  # shows a code that cannot be read, perhaps the next card
    OTHER_BUILD = "other_build"
    SEVERAL_CARDS = "several_cards"
    NOT_IN_PLAN = "not_in_plan"
    AGAINST = "against"  # two of the votes contradict each other
    SEVERAL_OPS = "several_ops"
    STANDS_APART = "stands_apart"
    UNSEEN = "unseen"  # card and log know the moment; nothing in the picture says that it is work
    ALONE = "alone"  # one word alone
    STALE = "stale"  # the card is the only word, and it is old
    PIECE_FROM_NAME = "piece_from_name"
    NAME_BEFORE = "name_before"  # a folder that it came from named another place


@frozen
class Vote:
    """Who says which place; `op` 0 where the name tells no more than part and piece."""

    by: How
    part: str
    op: int
    piece: int | None = None

    @property
    def place(self) -> tuple[str, int]:
        """Part and operation."""
        return self.part, self.op


@frozen
class Why:
    """A doubt with what it is about: the votes that contradict, or what the plan lacks."""

    doubt: Doubt
    votes: tuple[Vote, ...] = ()
    what: str = ""


@frozen
class Seen:
    """What is known of one photo.

    `taken` is the moment after the camera's clock correction, aware; None when nothing but a
    guess tells. `time_certain` is False within a clock change. `camera` tells cameras apart, ""
    when the file does not say. `name` orders photos of the same moment. `likeness` is the hash of
    the view, 0 for none. `confirmed` is the place that somebody gave it. `disputed` when a folder
    that it once came from named another place.
    """

    photo: str
    name: str
    camera: str
    taken: datetime | None
    time_certain: bool = True
    slates: tuple[Slate, ...] = ()
    named: NamedPlace | None = None
    likeness: int = 0
    confirmed: Vote | None = None
    disputed: bool = False


@frozen
class Proposal:
    """Where a photo belongs; part "" and op 0 not placed. `certain` when two votes agree.

    `votes` are all that were cast, `why` what speaks against it or keeps it unplaced.
    """

    photo: str
    part: str
    op: int
    piece: int | None
    how: How
    certain: bool
    votes: tuple[Vote, ...] = ()
    why: Why | None = None


@frozen
class _Under:
    """The slate that a photo stands under, when it was photographed, and whether that is sure."""

    slate: Slate
    since: datetime
    sure: bool


def place(
    photos: Iterable[Seen],
    entries: Sequence[Logged],
    routes: Mapping[str, Route],
    *,
    build: str = "",
    gap: timedelta = GAP,
) -> list[Proposal]:
    """A proposal for every photo, in the order given.

    `build` is the id of this build: cards that name another one place nothing. `routes` holds the
    parts, ops and piece counts that there are: a slate of another one places nothing. A photo
    without camera or without a capture time is neither under a slate nor does its own slate reach
    further.
    """
    seen = [_own(photo, build) for photo in photos]
    work = Work(entries)
    series = _series(seen)
    under = _slates(seen, series, routes, gap)
    lone = _lone(seen, series, gap)
    known = [p for p in seen if p.confirmed is not None and p.likeness and p.taken is not None]
    only = _only(routes)
    found: list[Proposal] = []
    for i, photo in enumerate(seen):
        shown = _shows(photo, routes)
        if shown is None:
            votes = _votes(photo, under[i], work, known, routes, gap)
            votes = votes or (() if only is None else (only,))
            shown = _decide(photo, votes, under[i], work, lone.get(i))
        found.append(shown)
    return found


def _own(photo: Seen, build: str) -> Seen:
    """The photo with the cards of other builds under a name that no plan has."""
    if not build or all(s.build in ("", build) for s in photo.slates):
        return photo
    foreign = tuple(
        s if s.build in ("", build) else replace(s, part=_FOREIGN) for s in photo.slates
    )
    return replace(photo, slates=foreign)


def _places(photo: Seen) -> list[Slate]:
    """The cards that the photo was taken for, and codes that could not be read."""
    return [s for s in photo.slates if s.is_large and not (s.is_clock or s.sheet or s.mat)]


def _small(photo: Seen) -> list[Slate]:
    """The codes that stand beside the work; a mat's corners are one, and name no piece."""
    found = [
        replace(s, mat=None)
        for s in photo.slates
        if not (s.is_clock or s.unread) and (s.sheet or s.mat or not s.is_large)
    ]
    return list(dict.fromkeys(found))


def _series(seen: Sequence[Seen]) -> list[list[int]]:
    """The photos of each camera in the order of taking, by position.

    Two cameras of one model that tell no serial number are told apart by their counters, where
    each counts on its own; where nothing tells them apart they are one.
    """
    found: dict[str, list[int]] = defaultdict(list)
    for i, photo in enumerate(seen):
        if photo.camera and photo.taken is not None:
            found[photo.camera].append(i)
    series: list[list[int]] = []
    for own in found.values():
        own.sort(key=lambda i: (seen[i].taken, natural(seen[i].name)))
        series += _by_counter(seen, own)
    return series


def _by_counter(seen: Sequence[Seen], own: Sequence[int]) -> list[list[int]]:
    """One camera's photos, or those of each where two count beside one another.

    Two are at work only where both have gone on counting between photos of the other; a photo
    without a number then belongs to none of them for certain, and stands for itself.
    """
    runs: list[list[int]] = []
    last: list[int] = []
    loose: list[int] = []
    turns: list[int] = []
    for i in own:
        number = counter(seen[i].name)
        if number is None:
            loose.append(i)
            continue
        steps = [(number - before) % _COUNTS for before in last]
        near = [k for k, step in enumerate(steps) if step <= _SKIPPED or step >= _COUNTS - _BACK]
        k = min(near, key=lambda k: min(steps[k], _COUNTS - steps[k]), default=len(runs))
        if k == len(runs):
            runs.append([])
            last.append(number)
        runs[k].append(i)
        last[k] = number
        turns.append(k)
    beside = {k for k in turns if len(runs[k]) > 1 and _interrupted(turns, k)}
    if len(beside) < 2:
        return [list(own)]
    return [*runs, *([i] for i in loose)]


def _interrupted(turns: Sequence[int], run: int) -> bool:
    """Whether photos of another run lie between those of this one."""
    at = [position for position, k in enumerate(turns) if k == run]
    return at[-1] - at[0] + 1 > len(at)


def _slates(
    seen: Sequence[Seen],
    series: Sequence[Sequence[int]],
    routes: Mapping[str, Route],
    gap: timedelta,
) -> list[_Under | None]:
    """For each photo the slate that it stands under."""
    found: list[_Under | None] = [None] * len(seen)
    for own in series:
        current: _Under | None = None
        last: datetime | None = None
        for i in own:
            photo = seen[i]
            assert photo.taken is not None
            if last is not None and photo.taken - last > gap:
                current = None
            last = photo.taken
            shown = _places(photo)
            if shown:
                # Several cards at once, or one of another build, end the one before and start none.
                # So does a code that cannot be read: it may be the next card.
                usable = len(shown) == 1 and not shown[0].unread
                usable = usable and not _unknown(shown[0], routes)
                current = _Under(shown[0], photo.taken, photo.time_certain) if usable else None
            else:
                found[i] = current
    return found


def _lone(
    seen: Sequence[Seen], series: Sequence[Sequence[int]], gap: timedelta
) -> dict[int, Doubt]:
    """Photos whose view has nothing of those around it, and what that means."""
    found: dict[int, Doubt] = {}
    for own in series:
        sittings: list[list[int]] = []
        last: datetime | None = None
        for i in own:
            taken = seen[i].taken
            assert taken is not None
            if last is None or taken - last > gap:
                sittings.append([])
            last = taken
            if seen[i].likeness and not seen[i].slates:
                sittings[-1].append(i)
        for sitting in sittings:
            alone, told = without_like([seen[i].likeness for i in sitting])
            doubt = Doubt.STANDS_APART if told else Doubt.UNSEEN
            found |= {sitting[position]: doubt for position in alone}
    return found


def _only(routes: Mapping[str, Route]) -> Vote | None:
    """The one place of a plan with one part and one operation."""
    if len(routes) != 1:
        return None
    ((part, route),) = routes.items()
    return Vote(How.ONLY, part, next(iter(route.ops))) if len(route.ops) == 1 else None


def _unknown(slate: Slate, routes: Mapping[str, Route]) -> str:
    """What of the slate's place is not in the plan, "" when all of it is."""
    route = routes.get(slate.part)
    if route is None:
        return slate.part
    if slate.op and slate.op not in route.ops:
        return f"{slate.part} op {slate.op}"
    if slate.piece is not None and not 1 <= slate.piece <= route.pieces:
        return f"{slate.part}-{slate.piece}"
    return ""


def _shows(photo: Seen, routes: Mapping[str, Route]) -> Proposal | None:
    """A photo of a card or of a clock is no picture of work."""
    shown = [slate for slate in _places(photo) if not slate.unread]
    if not shown:
        if not any(slate.is_clock for slate in photo.slates):
            return None
        return Proposal(photo.photo, "", 0, None, How.CLOCK, True)
    if len(shown) > 1:
        why = Why(Doubt.SEVERAL_CARDS)
        return Proposal(photo.photo, "", 0, None, How.CARD, True, why=why)
    slate = shown[0]
    if slate.part == _FOREIGN:
        return Proposal(photo.photo, "", 0, None, How.CARD, True, why=Why(Doubt.OTHER_BUILD))
    if unknown := _unknown(slate, routes):
        why = Why(Doubt.NOT_IN_PLAN, what=unknown)
        return Proposal(photo.photo, "", 0, None, How.CARD, True, why=why)
    return Proposal(photo.photo, slate.part, slate.op, slate.piece, How.CARD, True)


def _votes(
    photo: Seen,
    under: _Under | None,
    work: Work,
    known: Sequence[Seen],
    routes: Mapping[str, Route],
    gap: timedelta,
) -> tuple[Vote, ...]:
    """The votes on a photo's place, in the order of their weight."""
    found: list[Vote] = []
    if under is not None:
        found.append(Vote(How.SLATE, under.slate.part, under.slate.op, under.slate.piece))
    small = [s for s in _small(photo) if not _unknown(s, routes)]
    if len(small) == 1:
        found.append(Vote(How.MARK, small[0].part, small[0].op, small[0].piece))
    if photo.taken is not None and photo.time_certain:
        word = work.at(photo.taken)
        if len(word.places) == 1:
            (place_,) = word.places
            vote = Vote(How.TIME, *place_, word.piece)
            # Where the log only stretches from entries further off, a card just shown outranks it.
            other = bool(found) and found[0].place != place_
            if word.firm or not other or under is None or not _fresh(photo, under, work):
                found.append(vote)
    if photo.named is not None:
        found.append(Vote(How.NAME, photo.named.part, photo.named.op, photo.named.piece))
    if photo.likeness and photo.taken is not None:
        near = {
            other.confirmed.place
            for other in known
            if other.confirmed is not None
            and other.taken is not None
            and abs(other.taken - photo.taken) <= gap
            and apart(other.likeness, photo.likeness) <= ALIKE
        }
        if len(near) == 1:
            found.append(Vote(How.LIKE, *near.pop()))
    return tuple(found)


def _decide(
    photo: Seen, votes: tuple[Vote, ...], under: _Under | None, work: Work, lone: Doubt | None
) -> Proposal:
    """What the votes come to."""
    if any(slate.unread for slate in _places(photo)):
        why = Why(Doubt.UNREAD)
        return Proposal(photo.photo, "", 0, None, How.UNPLACED, False, votes, why)
    if not votes:
        why_not = Why(Doubt.SEVERAL_OPS) if _several(photo, work) else None
        return Proposal(photo.photo, "", 0, None, How.UNPLACED, False, votes, why_not)
    apart_ = _contradiction(votes)
    if apart_ is not None or photo.disputed:
        why = Why(Doubt.NAME_BEFORE, votes) if apart_ is None else Why(Doubt.AGAINST, apart_)
        return Proposal(photo.photo, "", 0, None, How.UNPLACED, False, votes, why)
    first = next((vote for vote in votes if vote.op), votes[0])
    piece, piece_doubt = _piece(photo, votes, under)
    doubt = _doubt(photo, votes, under, work) or piece_doubt
    if lone is Doubt.STANDS_APART or (
        lone is Doubt.UNSEEN and doubt is None and {v.by for v in votes} <= _OF_THE_MOMENT
    ):
        doubt = lone
    certain = doubt is None
    why_ = None if doubt in (None, Doubt.ALONE) else Why(doubt)
    return Proposal(photo.photo, *first.place, piece, first.by, certain, votes, why_)


def _several(photo: Seen, work: Work) -> bool:
    known = photo.taken is not None and photo.time_certain
    return known and photo.taken is not None and len(work.at(photo.taken).places) > 1


def _contradiction(votes: tuple[Vote, ...]) -> tuple[Vote, Vote] | None:
    """The first two votes that cannot both be right."""
    for index, one in enumerate(votes):
        for other in votes[index + 1 :]:
            pieces = None not in (one.piece, other.piece) and one.piece != other.piece
            ops = 0 not in (one.op, other.op) and one.op != other.op
            if one.part != other.part or ops or pieces:
                return one, other
    return None


def _piece(
    photo: Seen, votes: tuple[Vote, ...], under: _Under | None
) -> tuple[int | None, Doubt | None]:
    """The piece that is named, and a doubt when one vote alone names it too long ago."""
    naming = [v for v in votes if v.piece is not None]
    if not naming:
        return None, None
    piece = naming[0].piece
    if len(naming) > 1:
        return piece, None
    if naming[0].by is How.TIME:
        return (piece, None) if votes[0].by is How.TIME else (None, None)
    if naming[0].by is How.NAME:
        return piece, Doubt.PIECE_FROM_NAME
    if naming[0].by is How.MARK:
        return piece, None
    assert under is not None
    assert photo.taken is not None
    return piece, None if photo.taken - under.since <= FRESH else Doubt.STALE


def _doubt(photo: Seen, votes: tuple[Vote, ...], under: _Under | None, work: Work) -> Doubt | None:
    """None when two of the votes, each good enough to count, agree; else what is wanting."""
    counted = {vote.by for vote in votes if vote.op}
    stale = False
    if under is not None and How.SLATE in counted:
        stale = not _fresh(photo, under, work)
        if stale or not under.sure or not photo.time_certain:
            counted.discard(How.SLATE)
    if photo.taken is not None and How.TIME in counted and not work.at(photo.taken).firm:
        counted.discard(How.TIME)
    if len(counted - {How.ONLY}) >= 2:
        return None
    return Doubt.STALE if stale and len(votes) == 1 else Doubt.ALONE


def _fresh(photo: Seen, under: _Under, work: Work) -> bool:
    """Whether the card was photographed, or its work entered, not long before the photo."""
    assert photo.taken is not None
    place_ = under.slate.part, under.slate.op
    if work.elsewhere(place_, under.since, photo.taken):
        return False
    entered = work.last(place_, photo.taken)
    since = under.since if entered is None else max(under.since, entered)
    return photo.taken - since <= FRESH
