"""Files that build.toml names for the record: whether they are there and what they must be."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path

from qlog.problem import ToSay


class FileKind(StrEnum):
    """What a file is to be."""

    TEXT = "a text"
    PICTURE = "a picture"
    SOUND = "a recording"
    DRAWING = "a part's drawing"


#: Endings of each kind, as they may be written.
ENDINGS = {
    FileKind.TEXT: (".txt",),
    FileKind.PICTURE: (".jpg", ".jpeg", ".png"),
    FileKind.SOUND: (".mp3", ".m4a"),
    FileKind.DRAWING: (".png", ".jpg", ".jpeg", ".svg"),
}
#: Bytes at most: a long letter, a large scan, an hour of speech.
LARGEST = {
    FileKind.TEXT: 200_000,
    FileKind.PICTURE: 60_000_000,
    FileKind.SOUND: 60_000_000,
    FileKind.DRAWING: 60_000_000,
}


def outside(written: str) -> bool:
    """Whether a path is written so that it leaves the build's folder."""
    path = Path(written)
    return path.is_absolute() or ".." in path.parts or "\\" in written or written[1:2] == ":"


def form(kind: FileKind) -> str:
    """What is accepted, in words."""
    match kind:
        case FileKind.TEXT:
            return ToSay("error.form_text")
        case FileKind.PICTURE:
            return ToSay("error.form_picture")
        case FileKind.DRAWING:
            return ToSay("error.png_jpeg_svg")
    return ToSay("error.form_sound")


class Fault(StrEnum):
    """What is the matter with a file that the plan names."""

    MISSING = "missing"
    OUTSIDE = "outside"
    LARGE = "large"
    EMPTY = "empty"
    UNREADABLE = "unreadable"
    OTHER = "other"  # something else than its name says


def mistake(written: str, found: Fault, kind: FileKind) -> ToSay:
    """A fault of a file as a mistake of the plan says it."""
    match found:
        case Fault.MISSING:
            return ToSay("error.file_missing", file=written)
        case Fault.OUTSIDE:
            return ToSay("error.file_outside", file=written)
        case Fault.LARGE:
            return ToSay("error.file_large", file=written, most=f"{LARGEST[kind] / 1e6:g}")
        case Fault.EMPTY:
            return ToSay("error.file_empty", file=written)
        case Fault.UNREADABLE:
            return ToSay("error.file_unreadable", file=written)
    return ToSay("error.file_other", file=written, form=form(kind))


def fault(folder: Path, written: str, kind: FileKind) -> Fault | None:
    """What is the matter with a file that the plan names; None when it can be used."""
    path = folder / written
    try:
        if not path.is_file():
            return Fault.MISSING
        if not path.resolve().is_relative_to(folder.resolve()):
            return Fault.OUTSIDE
        size = path.stat().st_size
        if size > LARGEST[kind]:
            return Fault.LARGE
        if size == 0:
            return Fault.EMPTY
        with path.open("rb") as file:
            head = file.read(LARGEST[kind] if kind is FileKind.TEXT else 16)
    except OSError:
        return Fault.UNREADABLE
    return None if _is(head, kind) else Fault.OTHER


def _is(head: bytes, kind: FileKind) -> bool:
    if kind is FileKind.DRAWING:
        return True  # what draws it says whether it can
    if kind is FileKind.PICTURE:
        return head.startswith((b"\xff\xd8", b"\x89PNG\r\n\x1a\n"))
    if kind is FileKind.SOUND:
        frame = len(head) > 1 and head[0] == 0xFF and head[1] & 0xE0 == 0xE0
        return head.startswith(b"ID3") or head[4:8] == b"ftyp" or frame
    try:
        head.decode("utf-8")
    except UnicodeDecodeError:
        return False
    return b"\0" not in head
