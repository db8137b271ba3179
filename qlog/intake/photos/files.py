"""The photo files in folders and cards: found by content, with a word on everything left out."""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from qlog.counting import natural
from qlog.logbook.photos.pictures import printable, sniff

#: Files called so are always tried: when they are no picture, that deserves a word of its own.
PICTURE_SUFFIX = re.compile(r"\.(jpe?g|jpe|jfif|mpo|png|tiff?|webp|avif|hei[cf]|hif|gif|bmp)", re.I)

#: Sensor data of cameras. By content most of them are TIFF files of which only a small preview
#: would be read; they are named, so that nobody takes the preview for the photo.
RAW_SUFFIX = re.compile(
    r"\.(3fr|arw|cr[23]|dng|erf|iiq|kdc|mef|mos|mrw|nef|nrw|orf|pef|raf|raw|rw[2l]|sr[2fw]|x3f)",
    re.I,
)


@dataclass(frozen=True, slots=True)
class Skipped:
    """What was not taken in, and why."""

    path: Path
    why: str

    def __str__(self) -> str:
        return f"{printable(self.path)}: {self.why}"


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
        skipped.append(Skipped(folder, f"the folder cannot be read ({error.strerror})"))
        return
    key = (status.st_dev, status.st_ino)
    if key in entered:
        skipped.append(Skipped(folder, "the folder was looked through already, by another way"))
        return
    entered.add(key)
    folders: list[Path] = []
    for entry in inside:
        path = folder / entry.name
        if entry.name.startswith("."):
            skipped.append(Skipped(path, "hidden"))
        elif _is_folder(entry):
            folders.append(path)
        elif why := _why_not(entry, path):
            skipped.append(Skipped(path, why))
        else:
            yield path
    for path in folders:
        yield from _walk(path, entered, skipped)


def _is_folder(entry: os.DirEntry[str]) -> bool:
    try:
        return entry.is_dir()
    except OSError:  # a link that leads back to itself, an entry that may not be looked at
        return False


def _why_not(entry: os.DirEntry[str], path: Path) -> str:
    """Why a file found in a folder is left out; "" when it is a photo, or calls itself one."""
    if RAW_SUFFIX.fullmatch(path.suffix):
        return "a camera's raw data; take in the JPEG made from it"
    if PICTURE_SUFFIX.fullmatch(path.suffix):
        return ""
    try:
        if not entry.is_file():
            return "a link to nothing" if entry.is_symlink() else "no plain file"
        with path.open("rb") as handle:
            return "" if sniff(handle.read(64)) else "no picture"
    except OSError as error:
        return f"cannot be read ({error.strerror})"
