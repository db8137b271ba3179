"""What each edition holds: its photos, its pages, its readings and its files, in explicit lists."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from qlog.drawing.gift_files import Kind, fault
from qlog.drawing.plan import Build
from qlog.record.keepsake import pages as recipient
from qlog.record.keepsake.gather import keepsake
from qlog.record.keepsake.lines import Lines
from qlog.record.keepsake.source import Source, extras_for, photos_for
from qlog.record.pages import gallery, maker
from qlog.record.pages.drawing_plates import plates
from qlog.record.pages.page import Link, Page
from qlog.record.publish import export
from qlog.record.sound.recording import Recording, plain
from qlog.review.picture import Picture
from qlog.review.views import PhotoView
from qlog.words.catalogue import Words

Edition = Literal["maker", "recipient"]


@dataclass(frozen=True, slots=True)
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


@dataclass(frozen=True, slots=True)
class Contents:
    """What an edition is made of besides its pictures."""

    pages: tuple[Page, ...]
    links: tuple[Link, ...]
    rows: list[Mapping[str, str | int | bool | None]]
    columns: tuple[str, ...]


def wanted(picture: Picture, edition: Edition, words: Words) -> Wanted:
    """Which pictures the edition shows."""
    if edition == "maker":
        return Wanted(gallery.for_maker(picture), (), Lines({}))
    lines = Lines(picture.said)
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
    drawings = plates(picture.build, aside)
    if edition == "maker":
        return Contents(
            maker.pages(picture, words, hung, drawings),
            maker.navigation(words),
            list(export.every_reading(picture)),
            export.COLUMNS,
        )
    voice = recording(picture.build)
    name = ""
    if voice is not None:
        name = f"{words('file.voice')}.{voice.suffix}"
        (aside / name).write_bytes(voice.data)
    source = Source(
        picture, words, hung, pictures.views, pictures.lines, drawings,
        name, voice.type if voice is not None else "",
    )  # fmt: skip
    kept = keepsake(source)
    return Contents(
        recipient.pages(kept, words),
        recipient.navigation(words, kept),
        recipient.rows(kept),
        recipient.COLUMNS,
    )


def recording(build: Build) -> Recording | None:
    """The maker's recording, sound alone; None when there is none that can be used."""
    written = build.gift.voice.file
    if not written or fault(build.folder, written, Kind.SOUND):
        return None
    try:
        return plain((build.folder / written).read_bytes())
    except (OSError, ValueError):
        return None
