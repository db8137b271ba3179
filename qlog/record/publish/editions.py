"""What each edition holds: its photos, its pages, its readings and its files, in explicit lists."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Literal

from qlog.frozen import frozen, replace
from qlog.record.keepsake import pages as recipient
from qlog.record.keepsake.gather import keepsake
from qlog.record.keepsake.lines import Lines
from qlog.record.keepsake.pages import rehearsal_page
from qlog.record.keepsake.source import Source, extras_for, photos_for
from qlog.record.pages import gallery, maker
from qlog.record.pages.drawing_plates import plates
from qlog.record.pages.page import Link, Page
from qlog.record.photos.renditions import SIZES
from qlog.record.publish import data_files
from qlog.record.sound.recording import recording
from qlog.review.picture import Picture
from qlog.review.views import PhotoView
from qlog.words.catalogue import Words

Edition = Literal["maker", "recipient", "rehearsal", "book"]


@frozen
class Wanted:
    """The pictures of an edition, before anything is rendered."""

    views: tuple[PhotoView, ...]
    extras: tuple[gallery.Extra, ...]
    lines: Lines

    @property
    def sums(self) -> frozenset[str]:
        """SHA-256 of every picture, as far as the name of a rendition has it."""
        return frozenset(
            sha256[:24]
            for sha256 in (*(v.sha256 for v in self.views), *(e.sha256 for e in self.extras))
        )


@frozen
class Contents:
    """What an edition is made of besides its pictures."""

    title: str
    pages: tuple[Page, ...]
    links: tuple[Link, ...]
    rows: Callable[[], Iterable[data_files.Row]]  # made anew when they are asked for: they are many
    columns: tuple[str, ...]
    more: Iterable[Page] = ()  # further pages, each laid out at its turn; none is dated


def wanted(picture: Picture, edition: Edition, words: Words) -> Wanted:
    """Which pictures the edition shows."""
    if edition == "maker":
        return Wanted(gallery.for_maker(picture), (), Lines({}))
    lines = Lines(picture.said, picture.rehearsed, edition == "rehearsal")
    views = photos_for(gallery.for_recipient(picture), lines, words)
    return Wanted(views, extras_for(picture.build, lines, words), lines)


def contents(
    picture: Picture,
    edition: Edition,
    words: Words,
    hung: gallery.Gallery,
    pictures: Wanted,
    aside: Path,
) -> Contents:
    """The pages of an edition; drawings and the recording are written into `aside`."""
    if edition == "maker":
        drawings = plates(picture.build, aside)
        whole, more = maker.pages(picture, words, hung, drawings)
        return Contents(
            picture.build.title,
            whole,
            maker.navigation(words),
            lambda: data_files.every_reading(picture),
            data_files.COLUMNS,
            more,
        )
    source = _source(picture, words, hung, pictures, aside)
    kept = keepsake(source)
    if edition == "book":
        from qlog.record.keepsake import book

        address = picture.build.gift.address
        return Contents(kept.title, book.pages(kept, address, words), (), tuple, ())
    if edition == "rehearsal":
        page = rehearsal_page(picture, words, pictures.lines, hung)
        return Contents(page.title, (page,), (), tuple, ())
    return Contents(
        kept.title,
        recipient.pages(kept, words),
        recipient.navigation(words, kept),
        lambda: recipient.rows(kept),
        recipient.COLUMNS,
    )


def sizes_of(edition: Edition) -> tuple[int, ...]:
    """Longest sides of the photos of an edition."""
    if edition != "book":
        return SIZES
    from qlog.record.keepsake.book import PRINT_PIXELS

    return (PRINT_PIXELS,)


def _source(
    picture: Picture, words: Words, hung: gallery.Gallery, pictures: Wanted, aside: Path | None
) -> Source:
    """What the keepsake is gathered from; with `aside` its files are written there."""
    build, lines = picture.build, pictures.lines
    drawn = [
        part
        for part in build.parts
        if part.image
        and lines.say(
            f"drawing {part.id}", words("nav.repair"), words("rehearsal.drawing", file=part.image)
        )
    ]
    drawings = plates(replace(build, parts=tuple(drawn)), aside) if aside is not None else {}
    name, type_ = "", ""
    voice = recording(build)
    if voice is not None:
        mark = hashlib.sha256(voice.data).hexdigest()[:12]
        said = words("rehearsal.recording", file=f"{build.gift.voice.file} ({mark})")
        if lines.say("voice", words("nav.letter"), said):
            name, type_ = f"{words('file.voice')}.{voice.suffix}", voice.type
            if aside is not None:
                (aside / name).write_bytes(voice.data)
    return Source(picture, words, hung, pictures.views, lines, drawings, name, type_)


def rehearsed(picture: Picture, words: Words) -> Lines:
    """Every line on its way to the recipient, met without rendering anything."""
    pictures = wanted(picture, "rehearsal", words)
    keepsake(_source(picture, words, gallery.Gallery({}, {}), pictures, None))
    return pictures.lines
