"""The photo files in folders and cards: found by content, with a word on everything left out."""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Iterator
from enum import Enum
from pathlib import Path

from qlog.counting import natural
from qlog.frozen import frozen
from qlog.logbook.photos.pictures import sniff

#: Files called so are always tried: when they are no picture, that deserves a word of its own.
PICTURE_SUFFIX = re.compile(r"\.(jpe?g|jpe|jfif|mpo|png|tiff?|webp|avif|hei[cf]|hif|gif|bmp)", re.I)

#: Sensor data of cameras. By content most of them are TIFF files of which only a small preview
#: would be read; they are named, so that nobody takes the preview for the photo.
RAW_SUFFIX = re.compile(
    r"\.(3fr|arw|cr[23]|dng|erf|iiq|kdc|mef|mos|mrw|nef|nrw|orf|pef|raf|raw|rw[2l]|sr[2fw]|x3f)",
    re.I,
)


class LeftOut(Enum):
    """Why a file was not taken in."""

    HIDDEN = "hidden"
    RAW = "raw"  # a camera's raw data
    DEAD_LINK = "dead_link"
    NOT_PLAIN = "not_plain"
    NO_PICTURE = "no_picture"
    UNREADABLE = "unreadable"
    FOLDER_UNREADABLE = "folder_unreadable"
    SEEN = "seen"  # a folder that was looked through by another way
    OWN = "own"  # the build's own originals or record

    @property
    def lost(self) -> bool:
        """Whether it may be a photo that was meant to be taken in."""
        return self in (LeftOut.DEAD_LINK, LeftOut.UNREADABLE, LeftOut.FOLDER_UNREADABLE)


@frozen
class Skipped:
    """What was not taken in, and why."""

    path: Path
    why: LeftOut
    error: OSError | None = None  # what the system said


def collect(paths: Iterable[Path], skipped: list[Skipped]) -> Iterator[Path]:
    """The photo files among `paths` and in the folders among them, all the way down.

    Sorted by name within each folder, numbers by their size, files before folders. A file named
    outright is always given, whatever it is called. In a folder a file counts by its content or by
    a picture's suffix. Links to folders are followed, and each folder is entered once, so that a
    link that leads back ends there. What is left out is added to `skipped` as the walk goes on.
    """
    entered: set[tuple[int, int]] = set()
    for path in paths:
        if path.is_dir():
            yield from _walk(path, entered, skipped)
        else:
            yield path  # a missing file too: reading it says what is wrong


def _walk(folder: Path, entered: set[tuple[int, int]], skipped: list[Skipped]) -> Iterator[Path]:
    try:
        status = folder.stat()
        with os.scandir(folder) as entries:
            inside = sorted(entries, key=lambda entry: natural(entry.name))
    except OSError as error:
        skipped.append(Skipped(folder, LeftOut.FOLDER_UNREADABLE, error))
        return
    key = (status.st_dev, status.st_ino)
    if key in entered:
        skipped.append(Skipped(folder, LeftOut.SEEN))
        return
    entered.add(key)
    folders: list[Path] = []
    for entry in inside:
        path = folder / entry.name
        if entry.name.startswith("."):
            skipped.append(Skipped(path, LeftOut.HIDDEN))
        elif _is_folder(entry):
            folders.append(path)
        elif left := _why_not(entry, path):
            skipped.append(left)
        else:
            yield path
    for path in folders:
        yield from _walk(path, entered, skipped)


def _is_folder(entry: os.DirEntry[str]) -> bool:
    try:
        return entry.is_dir()
    except OSError:  # a link that leads back to itself, an entry that may not be looked at
        return False


def _why_not(entry: os.DirEntry[str], path: Path) -> Skipped | None:
    """Why a file found in a folder is left out; None when it is a photo, or calls itself one."""
    if RAW_SUFFIX.fullmatch(path.suffix):
        return Skipped(path, LeftOut.RAW)
    if PICTURE_SUFFIX.fullmatch(path.suffix):
        return None
    try:
        if not entry.is_file():
            return Skipped(path, LeftOut.DEAD_LINK if entry.is_symlink() else LeftOut.NOT_PLAIN)
        with path.open("rb") as handle:
            return None if sniff(handle.read(64)) else Skipped(path, LeftOut.NO_PICTURE)
    except OSError as error:
        return Skipped(path, LeftOut.UNREADABLE, error)
