"""Photos as they stand: placed or in the tray, with their time of taking put right."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from qlog.drawing.plan import Build
from qlog.logbook.facts import Clock, Entry, Photo, Placement
from qlog.review.picture import PhotoView


def photo_views(
    build: Build,
    photos: Sequence[Entry[Photo]],
    placements: Sequence[Entry[Placement]],
    clocks: Sequence[Entry[Clock]],
) -> tuple[PhotoView, ...]:
    """Every photo with its live placement, in the order of taking."""
    placed = {entry.fact.sha256: entry.fact for entry in placements}
    off = {entry.fact.camera_key: entry.fact.seconds for entry in clocks}
    views = [_view(build, entry.fact, placed.get(entry.fact.sha256), off) for entry in photos]
    return tuple(sorted(views, key=lambda v: (v.taken or "9999", v.photo.name, v.sha256)))


def _view(
    build: Build, photo: Photo, placement: Placement | None, off: dict[str, int]
) -> PhotoView:
    seconds = off.get(photo.camera_key, 0) if photo.camera_key else 0
    taken = photo.taken
    if taken is not None and seconds:
        taken = (datetime.fromisoformat(taken) + timedelta(seconds=seconds)).isoformat()
    return PhotoView(
        sha256=photo.sha256,
        photo=photo,
        placement=placement,
        taken=taken,
        taken_certain=photo.basis == "original" and photo.offset is not None,
        part=placement.part if placement else None,
        op=placement.op if placement else None,
        piece=placement.piece if placement else None,
        item=placement.item if placement else None,
        caption=placement.caption if placement else "",
        audience=placement.audience if placement else "maker",
        cover=placement.cover if placement else "",
        alt=_alt(build, photo, placement),
    )


def _alt(build: Build, photo: Photo, placement: Placement | None) -> str:
    """What the photo shows, in words: part, piece, operation, caption."""
    if placement is None or (placement.part is None and not placement.item and not placement.cover):
        return f"Photo {photo.name}, not placed yet"
    words: list[str] = []
    if placement.part is not None:
        try:
            part = build.part(placement.part)
        except KeyError:
            words.append(placement.part)
        else:
            words.append(part.name if placement.piece is None else f"{part.name} {placement.piece}")
            if placement.op is not None:
                try:
                    words.append(part.operation(placement.op).name)
                except KeyError:
                    words.append(f"operation {placement.op}")
    elif placement.item:
        words.append(placement.item.replace("-", " "))
    else:
        words.append(build.title)
    if placement.caption:
        words.append(placement.caption.rstrip("."))
    return ", ".join(words)
