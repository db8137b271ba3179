"""The originals: original photos byte for byte, named by their SHA-256."""

from __future__ import annotations

import hashlib
import os
import tempfile
import time
from collections.abc import Callable, Iterable
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from qlog.logbook.facts import Photo
from qlog.problem import ToSay
from qlog.writing import abandoned, held, sync_folder

if TYPE_CHECKING:
    from qlog.logbook.queries import Queries

FOLDER = "photos"
CHUNK = 1 << 20

#: Its time is that of the last look at all originals that found every one sound.
SOUND = ".sound"
_INCOMING = ".incoming-"
#: Bytes that a name's ending may have, so that a sum and it are a name of at most 255 bytes.
_ENDING = 150
#: Stands beside an original until the logbook names it; its process holds it.
_ENTERING = ".entering-"
_claims: dict[Path, int] = {}


def digest(path: Path) -> str:
    """SHA-256 of a file's bytes, hexadecimal."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def place_of(build_folder: Path, sha256: str, name: str) -> Path:
    """Where the original of that hash lies: `photos/ab/abcd….jpg`."""
    suffix = Path(name).suffix.lower()
    if len(suffix.encode("utf-8", "backslashreplace")) > _ENDING:
        suffix = ""  # no picture's, and with the sum longer than a file system's names may be
    return build_folder / FOLDER / sha256[:2] / f"{sha256}{suffix}"


def find(build_folder: Path, sha256: str, name: str = "") -> Path | None:
    """The original of that hash, whatever its ending; None when it is not there.

    `name` is the photo's own where it is known: with it no folder is looked through.
    """
    if len(sha256) != 64 or not sha256.isalnum() or not sha256.isascii():
        return None  # no sum, and no pattern to look for files by
    if name and (likely := place_of(build_folder, sha256, name)).is_file():
        return likely
    for path in (build_folder / FOLDER / sha256[:2]).glob(f"{sha256}*"):
        if path.stem == sha256 and path.is_file():
            return path
    return None


def listed(build_folder: Path) -> list[Path]:
    """Every file among the originals, in order of the names; copies in the making left out."""
    return [
        path
        for path in sorted((build_folder / FOLDER).glob("*/*"))
        if path.is_file() and not path.name.startswith((_INCOMING, _ENTERING))
    ]


def keep(build_folder: Path, source: Path, sha256: str, *, entering: bool = False) -> Path:
    """Copy a photo into the originals and return its place there.

    Written to a temporary file, synced and renamed, so that a photo is there whole or not
    at all. A file that is there already is left alone. Raises OSError when the copy's hash is not
    the one given (the source changed or the disk fails).

    With `entering` the original is only there for good once `entered` was called: when the process
    is killed before the logbook names it, the next `tidy` takes it away again.
    """
    known = find(build_folder, sha256)
    if known is not None:
        return known
    target = place_of(build_folder, sha256, source.name)
    target.parent.mkdir(parents=True, exist_ok=True)
    running = hashlib.sha256()
    handle, aside_name = tempfile.mkstemp(prefix=_INCOMING, dir=target.parent)
    aside = Path(aside_name)
    try:
        with os.fdopen(handle, "wb") as out, source.open("rb") as into:
            held(out.fileno())
            status = os.fstat(into.fileno())
            while chunk := into.read(CHUNK):
                running.update(chunk)
                out.write(chunk)
            out.flush()
            os.fsync(out.fileno())
        # The file's time goes along: by name, size and time the same file is known again.
        os.utime(aside, ns=(status.st_atime_ns, status.st_mtime_ns))
        if running.hexdigest() != sha256:
            raise OSError(ToSay("error.changed_while_copied", source=source))
        aside.chmod(0o444)
        if entering:
            _claim(target.parent / f"{_ENTERING}{sha256}")
        aside.replace(target)
    except BaseException:
        aside.unlink(missing_ok=True)
        raise
    sync_folder(target.parent)
    return target


def harmed(build_folder: Path, photos: Iterable[tuple[str, str, int]]) -> list[tuple[str, ToSay]]:
    """Originals that are missing or not as they were entered: name, and what is wrong.

    `photos` are SHA-256, name and size. A file that no program has touched since all of them were
    last found sound is only asked for its size. Raises OSError when that cannot be noted down.
    """
    note = build_folder / FOLDER / SOUND
    begun, found = time.time(), []
    since = note.stat().st_mtime if note.is_file() else 0.0
    if since > begun:  # by a clock that was wrong, or by another's hand: no look was taken then
        since = 0.0
    for sha256, name, size in photos:
        path = find(build_folder, sha256, name)
        try:
            if path is None:
                found.append((name, ToSay("error.harmed_missing")))
                continue
            status = path.stat()
            touched = max(status.st_ctime, status.st_mtime) >= since
            if status.st_size != size or (touched and digest(path) != sha256):
                found.append((name, ToSay("error.harmed_changed")))
        except OSError as error:
            found.append((name, ToSay("error.harmed_unreadable", error=error)))
    if not found and note.parent.is_dir():
        note.touch()
        os.utime(note, (begun, begun))
    return found


def entered(build_folder: Path) -> None:
    """The logbook names everything that this process has put among the originals."""
    for path in [p for p in _claims if build_folder in p.parents]:
        os.close(_claims.pop(path))
        with suppress(OSError):
            path.unlink()


def tidy(build_folder: Path, known: Callable[[str], bool]) -> int:
    """Remove what killed processes left among the originals; how many files that were.

    Copies that were never finished, and originals that were never entered: no entry names them
    (`known` tells by SHA-256), and the photo is still where it came from.
    """
    found = 0
    for path in [*(build_folder / FOLDER).glob(f"*/{_INCOMING}*")]:
        with suppress(OSError):
            if abandoned(path):
                path.unlink()
                found += 1
    for path in [*(build_folder / FOLDER).glob(f"*/{_ENTERING}*")]:
        with suppress(OSError):
            if path in _claims or not abandoned(path):
                continue
            sha256 = path.name.removeprefix(_ENTERING)
            original = find(build_folder, sha256)
            if original is not None and not known(sha256):
                original.unlink()
                found += 1
            path.unlink()
    return found


def tidy_by(logbook: Queries, build_folder: Path) -> int:
    """The same by what a logbook has entered, ever."""
    return tidy(build_folder, lambda sha256: bool(logbook.history(Photo, sha256=sha256)))


def _claim(path: Path) -> None:
    handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o644)
    held(handle)
    _claims[path] = handle
