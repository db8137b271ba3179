"""Photos: from a file into the vault, then into the logbook, then to its place."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from qlog.drawing.plan import Build
from qlog.intake import photo_facts
from qlog.logbook import vault
from qlog.logbook.facts import Photo, Placement
from qlog.logbook.store import Logbook


@dataclass(frozen=True, slots=True)
class Place:
    """Where a photo is to go; all None leaves it in the tray."""

    part: str | None = None
    op: int | None = None
    piece: int | None = None
    item: str | None = None
    caption: str = ""
    audience: str = "both"
    cover: str = ""


@dataclass(frozen=True, slots=True)
class Taken:
    """What became of one file."""

    path: Path
    photo: Photo
    new: bool
    placed: bool


def take_photo(
    build: Build, logbook: Logbook, path: Path, place: Place, *, made: str | None = None
) -> Taken:
    """Take one photo in: facts, vault, logbook, place, in this order.

    The original is in the vault, synced, before the logbook names it. The same file twice is one
    photo; naming another place for it moves it, and the history keeps where it was. Raises
    PhotoError when the file is no photo that can be read.
    """
    facts = photo_facts.read(path)
    photo = fact_of(path, facts)
    vault.keep(build.folder, path, facts.sha256)
    known = logbook.find(photo)
    if known is None:
        logbook.append(photo, made=_made(facts) or made)
    wanted = Placement(
        sha256=facts.sha256,
        part=place.part,
        op=place.op,
        piece=place.piece,
        item=place.item,
        caption=place.caption,
        audience=place.audience,
        cover=place.cover,
    )
    placed = put(logbook, wanted) if _says_something(place) else False
    return Taken(path, photo, known is None, placed)


def put(logbook: Logbook, wanted: Placement, *, reason: str = "moved") -> bool:
    """Enter a placement, superseding the one that is there; False when nothing changed."""
    existing = logbook.find(wanted)
    if existing is None:
        logbook.append(wanted)
        return True
    if all(getattr(existing.fact, n) == getattr(wanted, n) for n in wanted.SAME):
        return False
    logbook.append(wanted, supersedes=existing.id, reason=reason)
    return True


def _says_something(place: Place) -> bool:
    return bool(place.part or place.item or place.cover or place.caption)


def fact_of(path: Path, facts: photo_facts.PhotoFacts) -> Photo:
    """A photo file's facts as the logbook keeps them."""
    return Photo(
        sha256=facts.sha256,
        name=path.name,
        size=facts.bytes,
        format=facts.format,
        width=facts.width,
        height=facts.height,
        orientation=facts.orientation,
        camera=facts.camera,
        camera_key=facts.camera_key,
        taken=None
        if facts.taken is None
        else facts.taken + (f".{facts.subsec}" if facts.subsec else ""),
        offset=facts.offset,
        basis=facts.taken_source,
        gps_utc=facts.gps_utc,
        located=int(facts.has_location),
    )


def _made(facts: photo_facts.PhotoFacts) -> str | None:
    """Time of taking where the file says it fully; the time of entry stands in otherwise."""
    if facts.taken is None or facts.offset is None:
        return None
    return facts.taken + facts.offset
