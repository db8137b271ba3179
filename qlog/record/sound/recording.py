"""A recording as the record takes it: MP3 or M4A by content, sound and nothing else."""

from __future__ import annotations

from dataclasses import dataclass

from qlog.record.sound import m4a, mp3


@dataclass(frozen=True, slots=True)
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
