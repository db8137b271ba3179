"""The manifest: SHA-256 of every file of a record, in the form that `sha256sum -c` reads."""

from __future__ import annotations

import hashlib
import json
import os
import re
from collections.abc import Iterable
from pathlib import Path, PurePosixPath, PureWindowsPath

from qlog.frozen import frozen
from qlog.plain_file import plain_text
from qlog.problem import ToSay

NAME = "MANIFEST.sha256"
MARKER = "record.json"
#: What says that a folder was made here; the folder's own facts stand beside it.
MADE_BY = "qlog record"
#: Files that a desktop drops into a folder that was merely looked at.
LITTER = frozenset({".DS_Store", "Thumbs.db", "desktop.ini", ".directory"})


#: Bytes of a manifest or marker at most: some 600,000 files.
MOST = 64_000_000


class ManifestError(ValueError):
    """A manifest that cannot be read, or a folder that is no record."""


@frozen
class Sum:
    """One line of the manifest: a file's path, with forward slashes, and its SHA-256."""

    path: str
    sha256: str


def files_of(folder: Path) -> list[str]:
    """Every file of a folder by relative path with forward slashes, sorted, litter left out."""
    found: list[str] = []
    within = [("", folder)]
    while within:
        before, here = within.pop()
        try:
            with os.scandir(here) as entries:
                for entry in entries:
                    path = f"{before}{entry.name}"
                    if entry.is_dir(follow_symlinks=False):
                        within.append((f"{path}/", here / entry.name))
                    elif entry.name not in LITTER and (entry.is_file() or entry.is_symlink()):
                        found.append(path)
        except FileNotFoundError:  # nothing there yet, or gone meanwhile
            continue
    return sorted(found)


def write(folder: Path, sums: Iterable[Sum]) -> None:
    """Write the manifest of a folder, sorted by path. Names never hold a line break."""
    lines = (f"{s.sha256}  {s.path}\n" for s in sorted(sums, key=lambda s: s.path))
    (folder / NAME).write_text("".join(lines), encoding="utf-8", newline="\n")


def read(folder: Path) -> tuple[Sum, ...]:
    """The manifest of a record. Raises ManifestError when it is missing or no manifest."""
    path = folder / NAME
    try:
        text = plain_text(path, MOST)
    except (OSError, UnicodeDecodeError) as error:
        raise ManifestError(ToSay("error.file_cannot_be_read", path=path, error=error)) from error
    sums = []
    for number, line in enumerate(text.splitlines(), 1):
        sha256, mark, name = line[:64], line[64:66], line[66:]
        hexadecimal = len(sha256) == 64 and not set(sha256) - set("0123456789abcdef")
        if not hexadecimal or mark not in ("  ", " *") or not _inside(name):
            raise ManifestError(ToSay("error.sum_path_inside", path=path, number=number))
        sums.append(Sum(name, sha256))
    return tuple(sums)


def is_record(folder: Path) -> bool:
    """Whether this folder carries the marker of a record made here."""
    try:
        marker = json.loads(plain_text(folder / MARKER, MOST))
    except (OSError, ValueError, RecursionError):
        return False
    return isinstance(marker, dict) and marker.get("made_by") == MADE_BY


def digest(path: Path) -> str:
    """SHA-256 of a file's bytes, hexadecimal."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


#: Nearly every name; what else there may be is looked at as a path.
_PLAIN = re.compile(r"[a-z0-9_-]+(?:[./][a-z0-9_-]+)*", re.ASCII | re.IGNORECASE)


def _inside(name: str) -> bool:
    """Whether a name is a path inside the folder, on every system, and nothing but text."""
    if _PLAIN.fullmatch(name):
        return True
    if not name or not name.isprintable():
        return False
    return all(
        not path.anchor and ".." not in path.parts
        for path in (PurePosixPath(name), PureWindowsPath(name))
    )
