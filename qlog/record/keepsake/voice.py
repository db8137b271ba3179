"""The maker's recording on its way into the record."""

from __future__ import annotations

from qlog.drawing.named_files import FileKind, fault
from qlog.drawing.plan import Build
from qlog.record.sound.recording import Recording, plain


def recording(build: Build) -> Recording | None:
    """The maker's recording, sound alone; None when there is none that can be used."""
    written = build.gift.voice.file
    if not written or fault(build.folder, written, FileKind.SOUND):
        return None
    try:
        return plain((build.folder / written).read_bytes())
    except (OSError, ValueError):
        return None
