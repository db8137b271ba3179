"""A recording as the record takes it: MP3 or M4A by content, sound and nothing else."""

from __future__ import annotations

from qlog.drawing.named_files import FileKind, fault
from qlog.drawing.plan import Build
from qlog.frozen import frozen
from qlog.record.sound import m4a, mp3


@frozen
class Recording:
    """The bytes of a recording, with its ending and its media type."""

    data: bytes
    suffix: str
    type: str


def plain(data: bytes) -> Recording:
    """Sound and nothing else. Raises ValueError, which says why it cannot be used."""
    if data[4:8] == b"ftyp":
        return Recording(m4a.plain(data), "m4a", "audio/mp4")
    return Recording(mp3.frames(data), "mp3", "audio/mpeg")


def recording(build: Build) -> Recording | None:
    """The maker's recording, sound alone; None when there is none that can be used."""
    written = build.gift.voice.file
    if not written or fault(build.folder, written, FileKind.SOUND):
        return None
    try:
        return plain((build.folder / written).read_bytes())
    except (OSError, ValueError):
        return None
