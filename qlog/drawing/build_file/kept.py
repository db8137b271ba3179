"""Plans kept as they were read, so that the next command need not read the same file again.

A reading at the bench spent a third of its time on a build.toml that had not changed. A kept plan
lies in the user's own cache folder, never in a build: what comes with a build from elsewhere is
not believed. Its name is the SHA-256 of the file's bytes, of qlog's version and of the very code
that reads plans, and it carries the SHA-256 of what it holds; anything that does not agree is not
used. It is data, and nothing in it can be run. All of it may be deleted at any time.
"""

from __future__ import annotations

import marshal
import os
import sys
from collections.abc import Callable
from decimal import Decimal
from enum import StrEnum
from pathlib import Path
from typing import Any

from qlog import __version__
from qlog.drawing import decision, derived, gift, limits, plan, units
from qlog.drawing.callouts import callout
from qlog.drawing.plan import Build
from qlog.sha256 import sha256

FILE_NAME = "build.toml"

#: Plans kept at most; the oldest go.
KEPT = 16

#: Bytes of a kept plan at most: one as large as that is read from its build.toml.
LARGEST = 4_000_000

#: What a plan is made of, by name.
_CLASSES: dict[str, Any] = {
    name: kind
    for module in (plan, gift, callout, decision, derived, limits, units)
    for name, kind in vars(module).items()
    if isinstance(kind, type) and kind.__module__ == module.__name__
}


def load(path: Path) -> Build:
    """The plan of a build.toml, or of the build.toml of a folder, kept from earlier or read now.

    The same as `load.load` answers. Raises PlanError with every mistake of the file.
    """
    if path.is_dir():
        path = path / FILE_NAME

    def read() -> Build:
        from qlog.drawing.build_file.load import load

        return load(path)

    try:
        if not path.is_file():
            return read()
        raw = path.read_bytes()
    except OSError:  # `load.load` says what it is
        return read()
    return _kept_or_read(raw, path.parent, read)


def load_text(text: str, folder: Path) -> Build:
    """The plan of the text of a build.toml that belongs to `folder`. Raises as `load`."""

    def read() -> Build:
        from qlog.drawing.build_file.load import load_text

        return load_text(text, folder)

    try:
        raw = text.encode()
    except UnicodeEncodeError:
        return read()
    return _kept_or_read(raw, folder, read)


def _kept_or_read(raw: bytes, folder: Path, read: Callable[[], Build]) -> Build:
    try:
        place = _place(raw)
    except OSError:
        place = None
    if place is not None and (found := _kept(place, raw, folder)) is not None:
        return found
    build = read()
    if place is not None and not build.code_page:
        _keep(place, build)
    return build


def cache_folder() -> Path | None:
    """Where plans are kept: QLOG_CACHE, else the system's folder for it; None for nowhere."""
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


def _place(raw: bytes) -> Path | None:
    folder = cache_folder()
    if folder is None:
        return None
    key = sha256(f"{__version__} {sys.implementation.cache_tag}".encode())
    _add_code(Path(__file__).parents[1], key)
    key.update(raw)
    return folder / f"{key.hexdigest()}.plan"


def _add_code(folder: Path, key: Any) -> None:
    """Names, sizes and times of the files that read plans: another code reads another plan."""
    with os.scandir(folder) as found:
        entries = sorted(found, key=lambda entry: entry.name)
    for entry in entries:
        if entry.is_dir():
            if entry.name != "__pycache__":
                _add_code(Path(entry.path), key)
        else:
            status = entry.stat()
            key.update(f"{entry.name} {status.st_size} {status.st_mtime_ns}\n".encode())


def _kept(place: Path, raw: bytes, folder: Path) -> Build | None:
    """The plan that lies there, when it is whole and nobody else can have written it."""
    try:
        with place.open("rb") as file:
            if not _own(os.fstat(file.fileno())):
                return None
            data = file.read(LARGEST + 1)
    except OSError:
        return None
    sums, body = data[:32], data[32:]
    if len(data) > LARGEST or sha256(place.name.encode() + body).digest() != sums:
        return None
    text = raw.removeprefix(b"\xef\xbb\xbf").decode("utf-8")
    try:
        build = _made(marshal.loads(body), {"folder": folder, "source": text})
    except (KeyError, TypeError, ValueError, EOFError):
        return None
    return build if isinstance(build, Build) else None


def _own(status: os.stat_result) -> bool:
    """Whether nobody else can have written it; Windows keeps others out by the folder's rights."""
    if sys.platform == "win32":
        return True
    return status.st_uid == os.geteuid() and not status.st_mode & 0o022


def _keep(place: Path, build: Build) -> None:
    """Keep a plan; where that cannot be done, nothing is kept."""
    import tempfile
    from contextlib import suppress

    try:
        body = marshal.dumps(_plain(build))
    except TypeError:  # something new in a plan, which `_CLASSES` does not know; a test finds it
        return
    if len(body) + 32 > LARGEST:
        return
    with suppress(OSError):
        place.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(suffix=".part", dir=place.parent)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(sha256(place.name.encode() + body).digest() + body)
            Path(name).replace(place)
        except OSError:
            Path(name).unlink()
            raise
        _tidy(place.parent)


def _tidy(folder: Path) -> None:
    """Only the newest stay, and nothing that a killed command left."""
    files = [*folder.glob("*.plan"), *folder.glob("*.part")]
    for path in sorted(files, key=lambda p: p.stat().st_mtime, reverse=True)[KEPT:]:
        path.unlink(missing_ok=True)


def _plain(value: Any) -> Any:
    """A plan in tuples of text and numbers, each under the name of what it is."""
    if value is None or isinstance(value, bool | int | float) or type(value) is str:
        return value
    if isinstance(value, Decimal):
        return ("Decimal", str(value))
    if isinstance(value, tuple):
        return ("", *map(_plain, value))
    kind = type(value)
    if _CLASSES.get(kind.__name__) is not kind:
        raise TypeError(f"{kind} is no part of a plan")
    if isinstance(value, StrEnum):
        return (kind.__name__, value.value)
    without = ("folder", "source") if kind is Build else ()
    return (
        kind.__name__,
        *(None if n in without else _plain(getattr(value, n)) for n in kind.__match_args__),
    )


def _made(value: Any, known: dict[str, Any]) -> Any:
    """What `_plain` wrote down; `known` are the fields of the build that are not kept."""
    if type(value) is not tuple:
        return value
    name, *rest = value
    if name == "":
        return tuple([_made(v, known) for v in rest])
    if name == "Decimal":
        return Decimal(rest[0])
    kind = _CLASSES[name]
    if issubclass(kind, StrEnum):
        return kind(rest[0])
    values = [_made(v, known) for v in rest]
    if kind is Build:
        return Build(**dict(zip(Build.__match_args__, values, strict=True)) | known)
    return kind(*values)
