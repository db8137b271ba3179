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
from datetime import UTC, datetime, timedelta

from qlog.counting import natural
from qlog.drawing.plan import Build
from qlog.frozen import frozen
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
    seen = [
        _Seen(number, entry.fact, placed.get(entry.fact.sha256), right.when(entry.fact))
        for number, entry in enumerate(photos, start=1)
        if entry.superseded_by is None
    ]
    seen.sort(key=lambda one: (one.at, natural(one.photo.name), one.photo.sha256))
    better = _better(seen)
    return tuple(_view(one, better.get(one.number)) for one in seen)


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


@frozen
class _Seen:
    """A photo of the log with what is said of it, before it is known which ones are shown."""

    number: int
    photo: Photo
    placement: Placement | None
    when: CaptureTime | None

    @property
    def at(self) -> datetime:
        return self.when.utc if self.when is not None else _NEVER

    @property
    def said(self) -> Placement | None:
        """Its place, unless that is only proposed."""
        placement = self.placement
        return placement if placement is not None and not placement.proposed else None

    @property
    def cover(self) -> str:
        return self.said.cover if self.said else ""

    @property
    def caption(self) -> str:
        return self.placement.caption if self.placement else ""

    @property
    def audience(self) -> str:
        return _audience(self.placement)

    @property
    def place(self) -> tuple[object, ...]:
        """What photos of one place have in common."""
        said = self.said
        own = (said.part, said.op, said.piece, said.item, said.dimension) if said else (None,) * 5
        return *own, self.audience


def _place(view: PhotoView) -> tuple[object, ...]:
    return view.part, view.op, view.piece, view.item, view.audience, view.dimension


def _view(one: _Seen, better: int | None) -> PhotoView:
    photo, placement, when, said = one.photo, one.placement, one.when, one.said
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
        caption=one.caption,
        audience=one.audience,
        cover=one.cover,
        number=one.number,
        better=better,
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


def _better(seen: Sequence[_Seen]) -> dict[int, int]:
    """Number of a near-duplicate that is not shown -> number of the one that is."""
    places: dict[tuple[object, ...], list[_Seen]] = defaultdict(list)
    for one in seen:
        placed = one.said is not None and (one.said.part or one.said.item or one.cover)
        certain = one.when is not None and one.when.certain
        # A guessed time says nothing of how close two photos are; a plain picture has no hash.
        if placed and one.audience != "nobody" and certain and _hash(one):
            places[one.place].append(one)
    found: dict[int, int] = {}
    for own in places.values():
        for group in groups([_hash(one) for one in own]):
            for close in _close([own[i] for i in group]):
                best = max(close, key=_rank)
                for one in close:
                    if one is not best and not (one.caption or one.cover or _chosen(one)):
                        found[one.number] = best.number
    return found


def _close(alike: Sequence[_Seen]) -> list[list[_Seen]]:
    """Photos that are alike, cut where more than `CLOSE` lies between one and the first."""
    runs: list[list[_Seen]] = []
    first: datetime | None = None
    for one in alike:
        if first is None or one.at - first > CLOSE:
            runs.append([])
            first = one.at
        runs[-1].append(one)
    return runs


def _hash(view: PhotoView | _Seen) -> int:
    return int(view.photo.likeness or "0", 16)


def _chosen(view: PhotoView | _Seen) -> bool:
    return view.placement is not None and bool(view.placement.best)


def _rank(view: _Seen) -> tuple[bool, int, bool, bool, float]:
    photo = view.photo
    pixels, sharp = photo.width * photo.height, float(photo.sharpness or "0")
    return _chosen(view), pixels, bool(view.cover), bool(view.caption), sharp
