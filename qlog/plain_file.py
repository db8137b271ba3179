"""The text of a small file in a folder that somebody else may have handed over."""

from __future__ import annotations

from pathlib import Path

from qlog.problem import ToSay

#: Bytes of such a file at most, unless its reader says otherwise.
MOST = 1_000_000


def plain_text(path: Path, most: int = MOST) -> str:
    """The text of a plain file of a bearable size, as UTF-8.

    Raises OSError for a pipe or a device, which would have no end, for a folder, and for more than
    `most` bytes; UnicodeDecodeError, a ValueError, for what is no text.
    """
    if path.exists() and not path.is_file():
        raise OSError(ToSay("error.manifest_plain_file"))
    if path.stat().st_size > most:
        raise OSError(ToSay("error.too_large"))
    return path.read_text(encoding="utf-8")
