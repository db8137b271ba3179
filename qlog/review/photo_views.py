"""Photos as they stand: placed or not placed, with their time of taking put right.

Near-duplicates are photos of one place, taken within `CLOSE` of the first of them, whose views
are alike (`qlog.study.alike`). One of them is shown: the one chosen by hand, else the largest, so
that a small copy never stands in for its original, else a cover, else one with a caption, else the
sharpest. The others stay in the originals; one with a caption, a cover's place of its own, or
chosen by hand as well is shown beside it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta

from qlog.counting import natural
from qlog.drawing.plan import Build
from qlog.logbook.facts import Clock, Entry, Photo, Placement
from qlog.logbook.photos.camera_clocks import CameraClocks
from qlog.logbook.photos.capture_time import CaptureTime, zone_named
from qlog.review.views import PhotoView
from qlog.study.alike import ALIKE, apart, groups

#: Photos of one view that lie further apart in time are two photos: something happened between.
CLOSE = timedelta(minutes=2)

_NEVER = datetime.max.replace(tzinfo=UTC)


def photo_views(
    build: Build,
    photos: Sequence[Entry[Photo]],
    placements: Sequence[Entry[Placement]],
    clocks: Sequence[Entry[Clock]],
) -> tuple[PhotoView, ...]:
    """Every photo with its live placement, in the order of taking.

    `photos` is the whole history of them, in order of entry: a photo's number is its position.
    """
    placed = {entry.fact.sha256: entry.fact for entry in placements}
    right = CameraClocks(
        (entry.fact for entry in photos),
        (entry.fact for entry in clocks),
        zone_named(build.timezone),
    )
    seen: list[tuple[datetime, PhotoView]] = []
    for number, entry in enumerate(photos, start=1):
        if entry.superseded_by is not None:
            continue
        when = right.when(entry.fact)
        view = _view(number, entry.fact, placed.get(entry.fact.sha256), when)
        seen.append((when.utc if when is not None else _NEVER, view))
    seen.sort(key=lambda pair: (pair[0], natural(pair[1].photo.name), pair[1].sha256))
    better = _better(seen)
    return tuple(
        replace(view, shown=False, better=better[view.number]) if view.number in better else view
        for _, view in seen
    )


def covers_of(photos: Iterable[PhotoView], of: str) -> tuple[PhotoView, ...]:
    """The cover pictures `of` "part", "item" or "build" among the photos, the chosen one first."""
    own = [p for p in photos if p.cover == of]
    return tuple(sorted(own, key=lambda p: not (p.placement is not None and p.placement.best)))


def alike_to(view: PhotoView, photos: Sequence[PhotoView]) -> list[PhotoView]:
    """The near-duplicates of a photo, itself among them, and those told apart from it by hand."""
    head = view.better if view.better is not None else view.number
    found = [v for v in photos if head in (v.number, v.better)]
    if _chosen(view):
        found += [
            v
            for v in photos
            if v not in found
            and _chosen(v)
            and _place(v) == _place(view)
            and apart(_hash(v), _hash(view)) <= ALIKE
        ]
    return found


def _place(view: PhotoView) -> tuple[object, ...]:
    return view.part, view.op, view.piece, view.item, view.audience, view.dimension


def _view(
    number: int, photo: Photo, placement: Placement | None, when: CaptureTime | None
) -> PhotoView:
    said = placement if placement is not None and not placement.proposed else None
    return PhotoView(
        sha256=photo.sha256,
        photo=photo,
        placement=placement,
        taken=None if when is None else when.local.isoformat(timespec="seconds"),
        taken_certain=when is not None and when.certain,
        part=said.part if said else None,
        op=said.op if said else None,
        piece=said.piece if said else None,
        item=said.item if said else None,
        caption=placement.caption if placement else "",
        audience=_audience(placement),
        cover=said.cover if said else "",
        number=number,
        salvaged=not photo.likeness,
        basis="" if when is None else when.basis,
        dimension=said.dimension if said else None,
    )


def _audience(placement: Placement | None) -> str:
    """Who may see the photo: the maker alone, as long as nobody has looked at its place."""
    if placement is None:
        return "maker"
    unseen = bool(placement.part) and not placement.looked_at
    return "maker" if unseen and placement.audience == "both" else placement.audience


def _better(seen: Sequence[tuple[datetime, PhotoView]]) -> dict[int, int]:
    """Number of a near-duplicate that is not shown -> number of the one that is."""
    places: dict[tuple[object, ...], list[tuple[datetime, PhotoView]]] = defaultdict(list)
    for at, view in seen:
        placed = view.part or view.item or view.cover
        # A guessed time says nothing of how close two photos are; a plain picture has no hash.
        if placed and view.audience != "nobody" and view.taken_certain and _hash(view):
            places[_place(view)].append((at, view))
    found: dict[int, int] = {}
    for own in places.values():
        for group in groups([_hash(view) for _, view in own]):
            for close in _close([own[i] for i in group]):
                best = max(close, key=_rank)
                for view in close:
                    if view is not best and not (view.caption or view.cover or _chosen(view)):
                        found[view.number] = best.number
    return found


def _close(alike: Sequence[tuple[datetime, PhotoView]]) -> list[list[PhotoView]]:
    """Photos that are alike, cut where more than `CLOSE` lies between one and the first."""
    runs: list[list[PhotoView]] = []
    first: datetime | None = None
    for at, view in alike:
        if first is None or at - first > CLOSE:
            runs.append([])
            first = at
        runs[-1].append(view)
    return runs


def _hash(view: PhotoView) -> int:
    return int(view.photo.likeness or "0", 16)


def _chosen(view: PhotoView) -> bool:
    return view.placement is not None and bool(view.placement.best)


def _rank(view: PhotoView) -> tuple[bool, int, bool, bool, float]:
    photo = view.photo
    pixels, sharp = photo.width * photo.height, float(photo.sharpness or "0")
    return _chosen(view), pixels, bool(view.cover), bool(view.caption), sharp
