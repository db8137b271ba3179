"""Proposals: where every photo belongs that nobody has placed by hand, entered in the logbook.

Done again whenever photos, a camera's clock or the work itself have moved on. What was placed or
confirmed by hand is never touched.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime
from pathlib import PurePath

from qlog.drawing.plan import Build
from qlog.frozen import frozen, replace
from qlog.intake.photos.names import NamedPlace, Route, operation_words, place_by_name
from qlog.intake.photos.place import Doubt, How, Proposal, Seen, Vote, Why, place
from qlog.intake.photos.slate import build_id
from qlog.intake.photos.taking import CARD, CLOCK, PAPER, slates_of
from qlog.intake.photos.work import Logged
from qlog.logbook.facts import Clock, Done, Entry, Fact, Photo, Placement, Reading, Start
from qlog.logbook.own_words import Own
from qlog.logbook.photos.camera_clocks import CameraClocks
from qlog.logbook.photos.capture_time import zone_named
from qlog.logbook.store import Logbook

#: How a placement says that a name contradicted the rest, which stays true when the folder that
#: said so is gone.
DISPUTED = "name against"
#: Behind the votes that agree, in what a placement keeps of them.
_AND = "+"


@frozen
class Proposed:
    """What the votes say of the photos that nobody placed."""

    placed: tuple[Proposal, ...]  # decided by votes that agree, now
    proposed: tuple[Proposal, ...]  # not placed with a proposal
    loose: tuple[Proposal, ...]  # not placed without one
    doubts: Mapping[str, Why]  # what speaks against a place, by SHA-256


def routes_of(build: Build) -> dict[str, Route]:
    """Ops and piece counts of all parts, for names and cards to be checked against."""
    return {
        part.id: Route(
            frozenset(o.number for o in part.operations),
            part.pieces[-1],
            operation_words({o.number: o.name for o in part.operations}),
            {mark.casefold(): number for number, mark in enumerate(part.marks, start=1)},
        )
        for part in build.parts
    }


def propose(
    build: Build, logbook: Logbook, named: Mapping[str, NamedPlace] | None = None
) -> Proposed:
    """Place what two votes decide, propose for the rest, and enter both in one transaction.

    `named` are the places that file and folder names spell, by SHA-256; those that were proposed
    before are remembered.
    """
    photos = [entry.fact for entry in logbook.live(Photo)]
    placements = {entry.fact.sha256: entry for entry in logbook.live(Placement)}
    clocks = [entry.fact for entry in logbook.live(Clock)]
    right = CameraClocks(photos, clocks, zone_named(build.timezone))
    routes = routes_of(build)
    names = _names(photos, placements, routes) | dict(named or {})
    seen = [
        _seen(photo, right, names.get(photo.sha256), placements.get(photo.sha256))
        for photo in photos
    ]
    proposals = place(seen, worked(logbook), routes, build=build_id(build.title))
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
                logbook.append(after, supersedes=existing.id, reason=Own.KNOWN_MORE)
            elif existing is None and (proposal.part or after.how == DISPUTED):
                logbook.append(after)
            if not proposal.part:
                loose.append(proposal)
            elif not proposal.certain:
                waiting.append(proposal)
            elif changed:
                placed.append(proposal)
    doubts = {p.photo: p.why for p in (*waiting, *loose) if p.why is not None}
    return Proposed(tuple(placed), tuple(waiting), tuple(loose), doubts)


def worked(logbook: Logbook) -> list[Logged]:
    """What the log knows of the work and its times: starts, readings, operations done."""
    found: list[Logged] = []
    for kind in (Start, Done, Reading):
        own: list[Entry[Fact]] = [*logbook.live(kind)]
        for entry in own:
            fact = entry.fact
            assert isinstance(fact, (Start, Done, Reading))
            piece = getattr(fact, "piece", None)
            at = _moment(entry.made)
            found.append(Logged(at, fact.part, fact.op, piece, isinstance(fact, Start)))
    return found


def _moment(text: str) -> datetime:
    time = datetime.fromisoformat(text)
    return time if time.tzinfo else time.replace(tzinfo=zone_named("UTC"))


def _names(
    photos: Iterable[Photo], placements: Mapping[str, Entry[Placement]], routes: Mapping[str, Route]
) -> dict[str, NamedPlace]:
    """The places that names spell: those of the files, and what a folder once said."""
    found: dict[str, NamedPlace] = {}
    for photo in photos:
        own = place_by_name(PurePath(photo.name), routes)
        if own is not None:
            found[photo.sha256] = own
    for sha256, entry in placements.items():
        fact = entry.fact
        if How.NAME.value in fact.how.split(_AND) and fact.part:
            found[sha256] = NamedPlace(fact.part, fact.op or 0, fact.piece)
    return found


def _seen(
    photo: Photo, right: CameraClocks, named: NamedPlace | None, placed: Entry[Placement] | None
) -> Seen:
    when = right.when(photo)
    guess = when is None or when.basis == "file date"
    confirmed = None
    if placed is not None and placed.fact.part and placed.fact.op and placed.fact.looked_at:
        confirmed = Vote(How.LIKE, placed.fact.part, placed.fact.op)
    return Seen(
        photo.sha256,
        photo.name,
        photo.camera_key,
        None if guess or when is None else when.utc,
        when is not None and when.certain,
        slates_of(photo),
        named,
        int(photo.likeness or "0", 16),
        confirmed,
        named is None and placed is not None and placed.fact.how == DISPUTED,
    )


def _open(existing: Entry[Placement] | None, proposal: Proposal) -> bool:
    """Whether nobody has looked at the photo's place yet: then the votes are counted again."""
    if proposal.how in (How.CARD, How.CLOCK):
        return False
    if existing is None:
        return True
    fact = existing.fact
    if fact.how in (CARD, CLOCK, PAPER) or fact.audience == "nobody" or fact.item or fact.cover:
        return False
    return not fact.part or not fact.looked_at


def _after(existing: Entry[Placement] | None, proposal: Proposal) -> Placement:
    before = Placement(proposal.photo, None) if existing is None else existing.fact
    return replace(
        before,
        part=proposal.part or None,
        op=proposal.op or None,
        piece=proposal.piece,
        how=_how(proposal),
        proposed=int(bool(proposal.part) and not proposal.certain),
        dimension=None,
    )


def _how(proposal: Proposal) -> str:
    """The votes as a placement keeps them: `slate+time`."""
    if proposal.part:
        return _AND.join(vote.by.value for vote in proposal.votes)
    named = any(vote.by is How.NAME for vote in proposal.votes)
    before = proposal.why is not None and proposal.why.doubt is Doubt.NAME_BEFORE
    return DISPUTED if named or before else proposal.how.value
