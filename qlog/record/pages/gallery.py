"""Photos as the pages show them: which of them, their words, and their rendered files."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from pathlib import Path

from qlog.drawing.plan import Build
from qlog.frozen import frozen
from qlog.logbook.photos import originals
from qlog.logbook.photos.codes import beside
from qlog.record.photos.renditions import SIZES, Rendered, RenditionJob, render_many
from qlog.review.picture import Picture
from qlog.review.views import PhotoView, Standing
from qlog.words.catalogue import Words

FOLDER = "photos"
_TYPES = {"jpeg": "image/jpeg", "webp": "image/webp", "avif": "image/avif"}
#: The picture that a page shows first, and the one that a click opens, by their longest side.
_FIRST = 960


@frozen
class File:
    """One rendered file; `href` is relative to the record, sizes in pixels."""

    href: str
    width: int
    height: int


@frozen
class Shown:
    """A photo on a page."""

    sha256: str
    alt: str
    caption: str
    taken: str | None
    files: tuple[File, ...]  # JPEG, smallest first
    others: tuple[tuple[str, tuple[File, ...]], ...]  # media type and files, best first
    salvaged: bool

    @property
    def first(self) -> File:
        """The file of middle size, or the largest that there is."""
        fitting = [f for f in self.files if max(f.width, f.height) <= _FIRST]
        return (fitting or list(self.files))[-1]

    @property
    def large(self) -> File:
        """The largest file."""
        return self.files[-1]

    @property
    def width_of(self) -> str:
        """How wide it stands where it is 13 rem high, for a browser that chooses a file."""
        return f"{13 * self.large.width / self.large.height:.1f}rem"

    @property
    def width_small(self) -> str:
        """How wide it stands in a list, where it is 8 rem high."""
        return f"{8 * self.large.width / self.large.height:.1f}rem"

    @property
    def upright(self) -> bool:
        """Whether it is taller than wide."""
        return self.large.height > self.large.width


@frozen
class Extra:
    """A picture that the plan names and the log does not hold, with its words."""

    path: Path
    sha256: str
    alt: str


@frozen
class Gallery:
    """The photos of one edition by their SHA-256, and those that could not be shown."""

    photos: Mapping[str, Shown]
    lost: Mapping[str, str]  # SHA-256 -> why

    def of(self, views: Iterable[PhotoView]) -> tuple[Shown, ...]:
        """Those of the given photos that this edition shows, in their order."""
        return tuple(self.photos[v.sha256] for v in views if v.sha256 in self.photos)


def for_maker(picture: Picture) -> tuple[PhotoView, ...]:
    """All photos that the maker's edition shows: all but those for nobody's eyes."""
    return tuple(p for p in picture.photos if p.shown and p.audience != "nobody")


def for_recipient(picture: Picture) -> tuple[PhotoView, ...]:
    """The photos meant for both, placed for certain, and none of a scrapped piece.

    A photo of a scrapped piece that was made a cover is shown on purpose.
    """
    scrapped = {
        (view.part.id, piece.number)
        for view in picture.parts
        for piece in view.pieces
        if piece.standing is Standing.SCRAP
    }
    return tuple(
        p
        for p in picture.photos
        if p.shown
        and p.audience == "both"
        and p.placement is not None
        and (p.part is not None or p.item is not None or p.cover)
        and not p.placement.proposed
        and (p.cover or p.piece is None or (p.part, p.piece) not in scrapped)
    )


def front(views: Iterable[PhotoView], gallery: Gallery) -> Shown | None:
    """The picture of the cover: the one chosen by hand, else the last one taken lying.

    None when no photo that the edition shows was made a cover of the build.
    """
    covers = [p for p in views if p.cover == "build" and p.sha256 in gallery.photos]
    chosen = [p for p in covers if p.placement is not None and p.placement.best]
    lying = [p for p in covers if not gallery.photos[p.sha256].upright]
    found = chosen or lying or covers
    return gallery.photos[found[-1].sha256] if found else None


def hang(
    views: Iterable[PhotoView],
    build: Build,
    folder: Path,
    record: Path,
    words: Words,
    progress: Callable[[int, int], None] | None = None,
    extras: Iterable[Extra] = (),
    sizes: tuple[int, ...] = SIZES,
) -> Gallery:
    """Render the photos of an edition into `record` and give each its words.

    The originals lie in `folder`. A photo that is missing or cannot be shown does
    not stop the others. Raises `PrivacyError` when a rendition would hold more than pixels.
    """
    wanted = list(views)
    jobs, lost = [], {}
    for view in wanted:
        source = originals.find(folder, view.sha256, view.photo.name)
        if source is None:
            lost[view.sha256] = words("photo.not_found")
        else:
            photo = view.photo
            size = (photo.width, photo.height)
            jobs.append(RenditionJob(source, view.sha256, size, beside(photo.slate)))
    more = {extra.sha256: extra for extra in extras}
    jobs += [RenditionJob(extra.path, extra.sha256) for extra in more.values()]
    rendered: dict[str, Rendered] = {}
    outcomes = render_many(
        jobs, record / FOLDER, formats=build.photo_formats, sizes=sizes, progress=progress
    )
    for outcome in outcomes:
        if outcome.rendered is None:
            lost[outcome.job.sha256] = words("photo.cannot_be_shown")
        else:
            rendered[outcome.job.sha256] = outcome.rendered
    shown = {
        sha256: _shown(sha256, extra.alt, "", None, rendered[sha256])
        for sha256, extra in more.items()
        if sha256 in rendered
    }
    for view in wanted:
        if view.sha256 in rendered:
            alt, files = alt_text(view, build, words), rendered[view.sha256]
            shown[view.sha256] = _shown(view.sha256, alt, view.caption, view.taken, files)
    return Gallery(shown, lost)


def _shown(sha256: str, alt: str, caption: str, taken: str | None, rendered: Rendered) -> Shown:
    by_type: dict[str, list[File]] = {}
    for size in rendered.sizes:
        href = f"{FOLDER}/{size.name}"
        by_type.setdefault(size.format, []).append(File(href, size.width, size.height))
    best_first = [f for f in ("avif", "webp") if f in by_type]
    return Shown(
        sha256=sha256,
        alt=alt,
        caption=caption,
        taken=taken,
        files=tuple(by_type["jpeg"]),
        others=tuple((_TYPES[f], tuple(by_type[f])) for f in best_first),
        salvaged=rendered.salvaged,
    )


def alt_text(view: PhotoView, build: Build, words: Words) -> str:
    """What the photo shows, in words: part and piece, or item, operation, caption."""
    said: list[str] = []
    part = next((p for p in build.parts if p.id == view.part), None)
    if part is not None:
        said.append(
            part.name
            if view.piece is None
            else words("alt.piece", part=part.name, number=part.called(view.piece))
        )
        said += [o.name for o in part.operations if o.number == view.op]
        said += [d.name for d in part.dimensions if d.id == view.dimension]
    elif view.item:
        said.append(item_name(view.item, build))
    elif view.cover:
        said.append(build.title)
    if view.caption:
        said.append(view.caption.rstrip("."))
    return ", ".join(said) or words("alt.unplaced")


def item_name(item: str, build: Build) -> str:
    """The title of an item by its id: `tall-1` is its mark, else "Tall candlestick 1"."""
    group_id, _, number = item.rpartition("-")
    for group in build.groups:
        if group.id == group_id and number.isdecimal():
            return group.called(int(number))
    return item


class Album:
    """Fills up while a page is laid out; a photo that stands there twice is opened as one."""

    def __init__(self) -> None:
        self.photos: list[Shown] = []
        self.first: dict[str, int] = {}

    def leaves(self) -> list[tuple[int, Shown, int, int]]:
        """Every photo with its number and those before and behind it, 0 for none."""
        last = len(self.photos)
        return [
            (n, photo, n - 1, n + 1 if n < last else 0) for n, photo in enumerate(self.photos, 1)
        ]

    def add(self, photo: Shown) -> tuple[int, bool]:
        """Its number on the page, from 1, and whether it stands there for the first time."""
        if photo.sha256 in self.first:
            return self.first[photo.sha256], False
        self.photos.append(photo)
        self.first[photo.sha256] = len(self.photos)
        return len(self.photos), True
