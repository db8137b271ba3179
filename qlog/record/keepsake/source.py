"""What the keepsake is gathered from: the picture, the photos that may be shown, and the lines."""

from __future__ import annotations

import re
from collections.abc import Iterable

from qlog.drawing.named_files import FileKind, fault
from qlog.drawing.plan import Build
from qlog.frozen import frozen, replace
from qlog.logbook.photos.originals import digest
from qlog.record.keepsake.lines import Lines
from qlog.record.pages.gallery import Extra, Gallery, Shown
from qlog.review.picture import Picture
from qlog.review.views import PhotoView
from qlog.words.catalogue import Words

#: How the plan names a photo of the log: by its number, or by the name of its file.
_OF_LOG = re.compile(r"photo\s+(?P<name>\S.*)")


@frozen
class Source:
    """Everything that the keepsake may be gathered from."""

    picture: Picture
    words: Words
    gallery: Gallery
    views: tuple[PhotoView, ...]  # the photos that may be shown
    lines: Lines
    drawings: dict[str, tuple[str, float, float]]  # by part: path, width and height
    voice: str  # file of the recording in the record, "" for none
    voice_type: str

    @property
    def build(self) -> Build:
        """The plan."""
        return self.picture.build

    def say(self, key: str, place: str, text: str) -> str:
        """A text as it is shown, "" when it is not; `place` is a key of the catalogue."""
        return self.lines.say(key, self.words(place), text)

    def paragraphs(self, key: str, place: str, text: str) -> tuple[str, ...]:
        """A longer text in its paragraphs, which empty lines part."""
        return paragraphs(self.say(key, place, text))

    def named(self, written: str) -> Shown | None:
        """A picture as the plan names it; None when it may not or cannot be shown."""
        view = of_log(written, self.views)
        if view is not None:
            return self.gallery.photos.get(view.sha256)
        path = self.build.folder / written
        if not written or fault(self.build.folder, written, FileKind.PICTURE):
            return None
        return self.gallery.photos.get(digest(path))

    def picked(self, names: Iterable[str]) -> tuple[Shown, ...]:
        """Those of several pictures that can be shown."""
        return tuple(shown for name in names if (shown := self.named(name)) is not None)


def paragraphs(text: str) -> tuple[str, ...]:
    """A text cut at its empty lines."""
    return tuple(p.strip() for p in re.split(r"\n\s*\n", text.replace("\r\n", "\n")) if p.strip())


def of_log(written: str, views: Iterable[PhotoView]) -> PhotoView | None:
    """The photo of the log that the plan names, "photo 12" or "photo evening.jpg"."""
    match = _OF_LOG.fullmatch(written.strip())
    if match is None:
        return None
    name = match["name"]
    return next((v for v in views if name in (str(v.number), v.photo.name)), None)


def names_log(written: str) -> bool:
    """Whether a picture of the plan is one of the log."""
    return _OF_LOG.fullmatch(written.strip()) is not None


def pictures_of(build: Build) -> tuple[tuple[str, str, str], ...]:
    """Every picture that the plan names: name, key of its place, what it shows."""
    gift = build.gift
    return (
        *((gift.letter.scan, "nav.letter", "alt.letter") for _ in (1,) if gift.letter.scan),
        *((name, "nav.story", c.title) for c in gift.chapters for name in c.photos),
        *((m.photo, "nav.memories", m.line) for m in gift.memories if m.photo),
        *((c.portrait, "nav.about", c.who) for c in build.credits if c.portrait),
    )


def photos_for(views: Iterable[PhotoView], lines: Lines, words: Words) -> tuple[PhotoView, ...]:
    """The photos as they may be shown, each with the caption that was approved."""
    shown = []
    for view in views:
        place = "nav.set" if view.item else "nav.cover" if view.cover else "nav.story"
        caption = lines.photo(view.sha256, words(place), view.caption)
        if caption is not None:
            shown.append(replace(view, caption=caption))
    return tuple(shown)


def extras_for(build: Build, lines: Lines, words: Words) -> tuple[Extra, ...]:
    """The plan's own pictures that may be shown, as files to be rendered."""
    found: dict[str, Extra] = {}
    for name, place, what in pictures_of(build):
        if names_log(name) or fault(build.folder, name, FileKind.PICTURE):
            continue
        path = build.folder / name
        sha256 = digest(path)
        alt = words(what) if words.has(what) else what
        if lines.photo(sha256, words(place), "") is not None:
            found.setdefault(sha256, Extra(path, sha256, alt))
    return tuple(found.values())
