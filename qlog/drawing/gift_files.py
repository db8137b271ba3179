"""Files that build.toml names for the record: whether they are there and what they must be."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path


class Kind(StrEnum):
    """What a file is to be."""

    TEXT = "a text"
    PICTURE = "a picture"
    SOUND = "a recording"


#: Endings of each kind, as they may be written.
ENDINGS = {
    Kind.TEXT: (".txt",),
    Kind.PICTURE: (".jpg", ".jpeg", ".png"),
    Kind.SOUND: (".mp3", ".m4a"),
}
#: Bytes at most: a long letter, a large scan, an hour of speech.
LARGEST = {Kind.TEXT: 200_000, Kind.PICTURE: 60_000_000, Kind.SOUND: 60_000_000}
_FORMS = {
    Kind.TEXT: "a plain text: .txt",
    Kind.PICTURE: "a picture: .jpg or .png",
    Kind.SOUND: "a recording: .mp3 or .m4a",
}


def outside(written: str) -> bool:
    """Whether a path is written so that it leaves the build's folder."""
    path = Path(written)
    return path.is_absolute() or ".." in path.parts or "\\" in written or written[1:2] == ":"


def form(kind: Kind) -> str:
    """What is accepted, in words."""
    return _FORMS[kind]


def fault(folder: Path, written: str, kind: Kind) -> str:
    """What is the matter with a file that the plan names, in words; "" when it can be used."""
    path = folder / written
    try:
        if not path.is_file():
            return "is not there"
        if not path.resolve().is_relative_to(folder.resolve()):
            return "leads out of the build's folder"
        size = path.stat().st_size
        if size > LARGEST[kind]:
            return f"has {size / 1e6:.1f} MB; {LARGEST[kind] / 1e6:g} MB are the most"
        if size == 0:
            return "is empty"
        with path.open("rb") as file:
            head = file.read(LARGEST[kind] if kind is Kind.TEXT else 16)
    except OSError as error:
        return f"cannot be read: {error.strerror or error}"
    return "" if _is(head, kind) else f"is not {kind.value}, whatever its name says"


def _is(head: bytes, kind: Kind) -> bool:
    if kind is Kind.PICTURE:
        return head.startswith((b"\xff\xd8", b"\x89PNG\r\n\x1a\n"))
    if kind is Kind.SOUND:
        frame = len(head) > 1 and head[0] == 0xFF and head[1] & 0xE0 == 0xE0
        return head.startswith(b"ID3") or head[4:8] == b"ftyp" or frame
    try:
        head.decode("utf-8")
    except UnicodeDecodeError:
        return False
    return b"\0" not in head
