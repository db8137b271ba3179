"""Whether a record stands as it would be built: told by sums and by what a stat says.

In the build's folder `.kept` lies a note for each edition: what it was made of, what its folder
looked like when it was done, and what was said of it. It is believed only where both are still so,
and may be deleted at any time; it lies with the build, since a folder that is handed over holds
nothing else. What a stat does not show, a disk that lost bytes, is found by `qlog record --check`,
which reads every file.
"""

from __future__ import annotations

import hashlib
import json
import os
import sys
import time
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import asdict
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from qlog.drawing.plan import Build
from qlog.frozen import frozen
from qlog.logbook.photos import originals
from qlog.logbook.store import Logbook
from qlog.plain_file import plain_text
from qlog.record.publish import manifest, templates

#: The form of the note; raised when it comes to hold something else.
FORM = 1

#: The folder of a build in which things lie that may be deleted at any time.
KEPT = ".kept"

#: Seconds in which a second change to a file may leave its time as it was, on the coarsest disk.
_COARSE = 2.0

#: A text of the plan that is longer names no file.
_LONGEST = 400


@frozen
class StandingRecord:
    """An edition that need not be built: its counts, and what was said after it was built."""

    pages: int
    photos: int
    bytes: int
    lines: tuple[str, ...] = ()


def made_of(build: Build, logbook: Logbook, version: str) -> str | None:
    """SHA-256 of all that a record is made of: log, plan, photos, the plan's own files, qlog.

    The log by its head and by its file, the plan by its bytes, the rest by what a stat says. None
    while a file that the plan names is so new that another change might not show in its time.
    Raises OSError.
    """
    head, key = logbook.head(), hashlib.sha256()
    log = [
        _stat(path) for path in (logbook.path, logbook.path.with_name(f"{logbook.path.name}-wal"))
    ]
    key.update(json.dumps([FORM, version, sys.version, head.entries, head.sum, log]).encode())
    key.update(hashlib.sha256(build.source.encode()).digest())
    newest = 0.0
    for name in sorted(set(_texts(build))):
        found = _stat(build.folder / name) if _may_be_name(name) else None
        if found is not None:
            newest = max(newest, found[1] / 1e9)
            key.update(f"{name} {found}\n".encode())
    if abs(time.time() - newest) < _COARSE:
        return None
    key.update(json.dumps(libraries()).encode())
    package = Path(templates.__file__).parents[2]
    for folder in (build.folder / originals.FOLDER, package, templates.folder()):
        key.update(looks(folder).encode())
    return key.hexdigest()


def libraries() -> list[tuple[int, int, int, int] | None]:
    """How the libraries look by which figures are worked out: another version, other figures."""
    found = (find_spec(name) for name in ("numpy", "scipy"))
    return [None if spec is None else _stat(Path(str(spec.origin))) for spec in found]


def looks(folder: Path) -> str:
    """SHA-256 over name, kind, size and times of every file of a folder, read by stat alone."""
    key = hashlib.sha256()
    for line in sorted(_listed(folder, "")):
        key.update(line.encode("utf-8", "surrogateescape"))
    return key.hexdigest()


def standing(build: Path, out: Path, made_of: str | None) -> StandingRecord | None:
    """The edition in `out` when it is made of just that and nobody has touched it since."""
    try:
        note = _note(build, out)
        if made_of is None:
            return None
        said = json.loads(plain_text(note))
        if said["of"] != made_of or said["looks"] != looks(out) or not manifest.is_record(out):
            return None
        if any(entry.name.startswith(f".{out.name}-") for entry in os.scandir(out.parent)):
            return None  # a killed build left something to be tidied
        found = StandingRecord(**said["standing"] | {"lines": tuple(said["standing"]["lines"])})
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return None
    return found if all(isinstance(line, str) for line in found.lines) else None


def note(build: Path, out: Path, made_of: str | None, looks: str, standing: StandingRecord) -> None:
    """Note down what an edition was made of and how it looked; None for what is not to stand.

    Where that cannot be written, nothing is kept.
    """
    path = _note(build, out)
    if path.parent.is_symlink():
        return  # planted in a build that was received: nothing is written through it
    with suppress(OSError):
        if made_of is None:
            path.unlink(missing_ok=True)
            return
        path.parent.mkdir(exist_ok=True)
        part = path.with_suffix(".part")
        said = {"of": made_of, "looks": looks, "standing": asdict(standing)}
        part.unlink(missing_ok=True)  # left by a killed build, or a link or a pipe planted like it
        with part.open("x", encoding="utf-8", newline="\n") as file:
            file.write(json.dumps(said, ensure_ascii=False))
        part.replace(path)


def _note(build: Path, out: Path) -> Path:
    place = hashlib.sha256(os.fsencode(Path(os.path.abspath(out))))  # noqa: PTH100 - as `out` is
    return build / KEPT / f"{out.name}-{place.hexdigest()[:16]}.json"


def _stat(path: Path) -> tuple[int, int, int, int] | None:
    """Size, both times and number of a file; None where there is none."""
    try:
        status = path.stat()
    except (OSError, ValueError):
        return None
    return status.st_size, status.st_mtime_ns, status.st_ctime_ns, status.st_ino


def _listed(folder: Path | str, before: str) -> Iterator[str]:
    with suppress(FileNotFoundError), os.scandir(folder) as entries:
        for entry in entries:
            if entry.is_dir(follow_symlinks=False):
                if entry.name != "__pycache__":
                    yield f"{before}{entry.name}/\n"
                    yield from _listed(entry.path, f"{before}{entry.name}/")
            elif entry.name not in manifest.LITTER and entry.name != originals.SOUND:
                is_ = entry.stat(follow_symlinks=False)
                yield (
                    f"{before}{entry.name} {is_.st_mode} {is_.st_size} {is_.st_mtime_ns} "
                    f"{is_.st_ctime_ns} {is_.st_ino}\n"
                )


def _may_be_name(text: str) -> bool:
    return bool(text) and len(text) < _LONGEST and text.isprintable()


def _texts(value: Any) -> Iterator[str]:
    """Every text of a plan: among them are the names of its files."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, tuple):
        for one in value:
            yield from _texts(one)
    else:
        for name in getattr(value, "__match_args__", ()):
            yield from _texts(getattr(value, name))
