"""What one command worked out, kept for the next one: found by the sum of what it was made of.

It lies in the user's own cache folder, never in a build: what comes with a build from elsewhere is
not believed. Its name is the SHA-256 of everything that it was worked out from, qlog's version and
the very code among it, and it carries the SHA-256 of what it holds; anything that does not agree,
or that others may write to, it or its folder, is not used. All of it may be deleted at any time.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path
from typing import Any

from qlog import __version__
from qlog.frozen import frozen
from qlog.sha256 import sha256


def cache_folder() -> Path | None:
    """Where it is kept: QLOG_CACHE, else the system's folder for it; None for nowhere."""
    given = os.environ.get("QLOG_CACHE")
    if given is not None:
        return Path(given) if Path(given).is_absolute() else None
    try:
        if os.name == "nt":
            base = Path(os.environ.get("LOCALAPPDATA", ""))
        elif sys.platform == "darwin":
            base = Path.home() / "Library" / "Caches"
        else:
            base = Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache")
    except RuntimeError:  # nobody's home is known
        return None
    return base / "qlog" if base.is_absolute() else None


#: How the names of kept files begin, for `glob`: a SHA-256.
_SUM = "[0-9a-f]" * 64


@frozen
class WorkedOut:
    """One kind of thing that is kept: how its files end, by what code it is worked out."""

    ending: str
    code: tuple[Path, ...]  # files and folders
    most: int  # how many stay; the oldest go
    largest: int  # bytes of one at most

    def place(self, made_of: Iterable[bytes]) -> Path | None:
        """Where a thing that is made of this lies, whether it is there or not; None for nowhere."""
        folder = cache_folder()
        if folder is None:
            return None
        key = sha256(f"{__version__} {sys.implementation.cache_tag}".encode())
        try:
            for path in self.code:
                _add_code(path, key)
        except OSError:
            return None
        for part in made_of:
            key.update(part)
        return folder / f"{key.hexdigest()}.{self.ending}"

    def kept(self, place: Path) -> bytes | None:
        """What lies there, when it is whole and nobody else can have written it."""
        try:
            with place.open("rb") as file:
                if not (_own(os.fstat(file.fileno())) and _own(place.parent.stat())):
                    return None
                data = file.read(self.largest + 1)
        except OSError:
            return None
        sums, body = data[:32], data[32:]
        whole = sha256(place.name.encode() + body).digest() == sums
        return body if whole and len(data) <= self.largest else None

    def keep(self, place: Path, body: bytes) -> None:
        """Keep a thing; where that cannot be done, nothing is kept."""
        import tempfile

        if len(body) + 32 > self.largest:
            return
        with suppress(OSError):
            place.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            handle, name = tempfile.mkstemp(".part", f"{place.name}.", place.parent)
            try:
                with os.fdopen(handle, "wb") as file:
                    file.write(sha256(place.name.encode() + body).digest() + body)
                Path(name).replace(place)
            except OSError:
                Path(name).unlink()
                raise
            self._tidy(place.parent)

    def _tidy(self, folder: Path) -> None:
        """Only the newest stay, nothing that a killed command left; others' files are let be."""
        files = folder.glob(f"{_SUM}.{self.ending}*")
        for path in sorted(files, key=lambda p: p.stat().st_mtime, reverse=True)[self.most :]:
            path.unlink(missing_ok=True)


def _add_code(path: Path, key: Any) -> None:
    """Names, sizes and times of files of code: another code works out another thing."""
    if path.is_file():
        _add_status(path.name, path.stat(), key)
        return
    with os.scandir(path) as found:
        entries = sorted(found, key=lambda entry: entry.name)
    for entry in entries:
        if entry.is_dir():
            if entry.name != "__pycache__":
                _add_code(Path(entry.path), key)
        else:
            _add_status(entry.name, entry.stat(), key)


def _add_status(name: str, status: os.stat_result, key: Any) -> None:
    key.update(f"{name} {status.st_size} {status.st_mtime_ns}\n".encode())


def _own(status: os.stat_result) -> bool:
    """Whether nobody else can have written it; Windows keeps others out by the folder's rights."""
    if sys.platform == "win32":
        return True
    return status.st_uid == os.geteuid() and not status.st_mode & 0o022
