"""Proposals: where every photo belongs that nobody has placed by hand, entered in the logbook.

Done again whenever photos, a camera's clock or the work itself have moved on. What was placed or
confirmed by hand is never touched; a card found later moves only what a card had placed.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from qlog.drawing.plan import Build
from qlog.intake.photos.names import NamedPlace, Route
from qlog.intake.photos.place import GAP, How, Proposal, Seen, Stretch, place
from qlog.intake.photos.taking import CARD, CLOCK, slates_of
from qlog.logbook.facts import Clock, Done, Entry, Fact, Photo, Placement, Reading, Start
from qlog.logbook.photos.camera_clocks import CameraClocks
from qlog.logbook.photos.capture_time import zone_named
from qlog.logbook.store import Logbook

#: Work goes on before its first entry and after its last one: so much, unless another operation
#: was entered in between, or a start says when it began. Common practice at a bench, no more.
LEAD, TAIL = timedelta(hours=1), timedelta(minutes=30)
#: After a start, work may go on for so long before anything else is entered: a long day.
BEGUN = timedelta(hours=12)


@dataclass(frozen=True, slots=True)
class Proposed:
    """What the cards, the times and the names say of the photos that nobody placed."""

    placed: tuple[Proposal, ...]  # decided by a card, now
    proposed: tuple[Proposal, ...]  # not placed with a proposal
    loose: tuple[Proposal, ...]  # not placed without one


def routes_of(build: Build) -> dict[str, Route]:
    """Ops and piece counts of all parts, for names and cards to be checked against."""
    return {
        part.id: Route(frozenset(o.number for o in part.operations), part.pieces[-1])
        for part in build.parts
    }


def propose(
    build: Build, logbook: Logbook, named: Mapping[str, NamedPlace] | None = None
) -> Proposed:
    """Place what a card decides, propose for the rest, and enter both in one transaction.

    `named` are the places that file and folder names spell, by SHA-256; those that were proposed
    before are remembered.
    """
    photos = [entry.fact for entry in logbook.live(Photo)]
    placements = {entry.fact.sha256: entry for entry in logbook.live(Placement)}
    clocks = [entry.fact for entry in logbook.live(Clock)]
    right = CameraClocks(photos, clocks, zone_named(build.timezone))
    names = _names(placements) | dict(named or {})
    seen = [_seen(photo, right, names.get(photo.sha256)) for photo in photos]
    proposals = place(seen, stretches(logbook), routes_of(build))
    placed: list[Proposal] = []
    waiting: list[Proposal] = []
    loose: list[Proposal] = []
    with logbook.together():
        for proposal in proposals:
            existing = placements.get(proposal.photo)
            if not _open(existing, proposal):
                continue
            after = _after(existing, proposal)
            changed = existing is None or after != existing.fact
            if existing is not None and changed:
                logbook.append(after, supersedes=existing.id, reason="more is known by now")
            elif existing is None and proposal.part:
                logbook.append(after)
            if not proposal.part:
                loose.append(proposal)
            elif not proposal.certain:
                waiting.append(proposal)
            elif changed:
                placed.append(proposal)
    return Proposed(tuple(placed), tuple(waiting), tuple(loose))


def stretches(logbook: Logbook) -> list[Stretch]:
    """When which operation was worked on, by its starts, readings and marks.

    Entries of one operation that are further apart than `GAP` are two sittings; what follows a
    start within `BEGUN` belongs to it. A sitting reaches `LEAD` back from its first entry, unless
    that is a start, and `TAIL` beyond its last, or `BEGUN` beyond a start that nothing followed.
    Neither end reaches over an entry of another operation.
    """
    entries: list[tuple[datetime, tuple[str, int], Fact]] = []
    for kind in (Start, Done, Reading):
        own: list[Entry[Fact]] = [*logbook.live(kind)]
        for entry in own:
            fact = entry.fact
            assert isinstance(fact, (Start, Done, Reading))
            entries.append((_moment(entry.made), (fact.part, fact.op), fact))
    entries.sort(key=lambda e: (e[0], e[1]))
    sittings: dict[tuple[str, int], list[list[tuple[datetime, Fact]]]] = defaultdict(list)
    for at, op, fact in entries:
        own_sittings = sittings[op]
        if not own_sittings or at - own_sittings[-1][-1][0] > _holds(own_sittings[-1], GAP):
            own_sittings.append([])
        own_sittings[-1].append((at, fact))
    found: list[Stretch] = []
    for op, ones in sittings.items():
        others = [at for at, other, _ in entries if other != op]
        for one in ones:
            first, last = one[0][0], one[-1][0]
            start = first
            if not isinstance(one[0][1], Start):
                start = max([first - LEAD, *(at for at in others if at <= first)])
            end = min([last + _holds(one, TAIL), *(at for at in others if at >= last)])
            pieces = {getattr(fact, "piece", None) for _, fact in one} - {None}
            piece = pieces.pop() if len(pieces) == 1 else None
            found.append(Stretch(op[0], op[1], start, end, piece))
    return found


def _holds(sitting: list[tuple[datetime, Fact]], otherwise: timedelta) -> timedelta:
    """How long a sitting holds after its last entry."""
    return BEGUN if isinstance(sitting[-1][1], Start) else otherwise


def _moment(text: str) -> datetime:
    time = datetime.fromisoformat(text)
    return time if time.tzinfo else time.replace(tzinfo=zone_named("UTC"))


def _names(placements: Mapping[str, Entry[Placement]]) -> dict[str, NamedPlace]:
    return {
        sha256: NamedPlace(entry.fact.part, entry.fact.op, entry.fact.piece)
        for sha256, entry in placements.items()
        if entry.fact.how == How.NAME and entry.fact.part and entry.fact.op is not None
    }


def _seen(photo: Photo, right: CameraClocks, named: NamedPlace | None) -> Seen:
    when = right.when(photo)
    guess = when is None or when.basis == "file date"
    return Seen(
        photo.sha256,
        photo.name,
        photo.camera_key,
        None if guess or when is None else when.utc,
        when is not None and when.certain,
        slates_of(photo),
        named,
    )


def _open(existing: Entry[Placement] | None, proposal: Proposal) -> bool:
    """Whether the photo waits for a place, or was placed by a card that another one overrules."""
    if proposal.how in (How.CARD, How.CLOCK):
        return False
    if existing is None:
        return True
    fact = existing.fact
    if fact.how in (CARD, CLOCK) or fact.audience == "nobody":
        return False
    if fact.proposed or not (fact.part or fact.item or fact.cover):
        return True
    return fact.how == How.SLATE and proposal.how is How.SLATE and proposal.certain


def _after(existing: Entry[Placement] | None, proposal: Proposal) -> Placement:
    before = Placement(proposal.photo, None) if existing is None else existing.fact
    return replace(
        before,
        part=proposal.part or None,
        op=proposal.op or None,
        piece=proposal.piece,
        how=proposal.how.value,
        proposed=int(bool(proposal.part) and not proposal.certain),
        dimension=None,
    )
