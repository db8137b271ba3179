"""Files written whole or not at all, synced before they take the place of another."""

from __future__ import annotations

import errno
import os
import stat
import sys
import tempfile
import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import BinaryIO

from qlog.problem import Problem, ToSay

#: Stands in every single page made for the bench; a file without it is somebody else's.
PAGE_MARK = '<meta name="generator" content="qlog bench page">'

#: Folders of a build in which nothing but their own keeper writes.
_KEPT = ("photos", "record", "backup")


def own_folder(build: Path, name: str) -> Path:
    """The build's folder `record` or `backup`, in which files come and go.

    Raises Problem where a link stands there, as one may in a build that somebody else handed over.
    """
    folder = build / name
    if folder.is_symlink():
        raise Problem(ToSay("error.own_folder_link", folder=folder))
    return folder


def sync_file(path: Path) -> None:
    """Have the disk hold a file's bytes before anything relies on them. Raises OSError."""
    with path.open("rb+") as file:
        os.fsync(file.fileno())


def sync_folder(folder: Path) -> None:
    """Make renames within a folder durable; Windows cannot open a folder and syncs by itself."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def sync_tree(folder: Path, files: Iterable[Path]) -> None:
    """Have the disk hold these files of a folder, and every folder in it. Raises OSError."""
    for path in files:
        handle = os.open(path, os.O_RDWR if os.name == "nt" else os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
    for place, _, _ in os.walk(folder):
        sync_folder(Path(place))


@contextmanager
def alone_in(folder: Path, wait: float = 120.0) -> Iterator[None]:
    """Work in a folder while no other qlog does; waits so many seconds for one that is there.

    A killed process holds nothing. Raises Problem when the other is still at work after the wait.
    """
    until = time.monotonic() + wait
    handle = _lock_handle(folder)
    try:
        while not held(handle):
            if time.monotonic() > until:
                raise Problem(ToSay("error.another_qlog_works", folder=folder))
            time.sleep(0.05)
        yield
    finally:
        os.close(handle)


def _lock_handle(folder: Path) -> int:
    if os.name != "nt":
        return os.open(folder, os.O_RDONLY)
    import hashlib  # a folder cannot be locked there: a file of its name stands for it

    name = hashlib.sha256(str(folder.resolve()).casefold().encode()).hexdigest()[:32]
    path = Path(tempfile.gettempdir()) / f"qlog-{name}.lock"
    return os.open(path, os.O_RDWR | os.O_CREAT)


#: Seconds after which a file is taken for left behind where the file system knows no locks.
_OLD = 3600


def abandoned(path: Path) -> bool:
    """Whether the process that wrote a file, and held it by `held`, has ended. Raises OSError."""
    handle = os.open(path, os.O_RDWR)
    try:
        _lock(handle)
    except OSError as error:
        if error.errno in _TAKEN:
            return False
        return os.fstat(handle).st_ctime < time.time() - _OLD
    finally:
        os.close(handle)
    return True


#: What the system says of a lock that somebody else has.
_TAKEN = (errno.EACCES, errno.EAGAIN, errno.EDEADLK)


def held(handle: int) -> bool:
    """Take the lock of an open file or folder; False while another process has it.

    It ends with the process or when the file is closed. A file system without locks lets
    everybody in.
    """
    try:
        _lock(handle)
    except OSError as error:
        return error.errno not in _TAKEN
    return True


def _lock(handle: int) -> None:
    if sys.platform == "win32":
        import msvcrt

        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
    else:
        import fcntl

        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)


@contextmanager
def whole_file(out: Path) -> Iterator[BinaryIO]:
    """A file to write that takes its place when all is written, or never.

    Written aside, synced, renamed. What a killed process left of the same file is taken away.
    Raises OSError.
    """
    begins = f".{out.name[:60]}-"
    with os.scandir(out.parent) as found:
        left = [e.path for e in found if e.name.startswith(begins) and e.name.endswith(".part")]
    for path in map(Path, left):
        with suppress(OSError):
            if abandoned(path):
                path.unlink()
    handle, aside = _begun(begins, out.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            yield file
            file.flush()
            os.fsync(file.fileno())
            if os.name != "nt":  # held until it has its name; Windows renames no open file
                aside.chmod(0o644)
                aside.replace(out)
        if os.name == "nt":
            aside.replace(out)
    except BaseException:
        aside.unlink(missing_ok=True)
        raise
    sync_folder(out.parent)


def write_whole(data: bytes, out: Path) -> None:
    """Write a file whole or not at all, as `whole_file` does. Raises OSError."""
    with whole_file(out) as file:
        file.write(data)


def _begun(begins: str, folder: Path) -> tuple[int, Path]:
    """A new file in the making, held by this process."""
    while True:
        handle, name = tempfile.mkstemp(prefix=begins, suffix=".part", dir=folder)
        if held(handle) and Path(name).exists():
            return handle, Path(name)
        os.close(handle)  # taken for left behind before it was held


def write_page(page: str, out: Path) -> None:
    """Write a page for the bench, over nothing but an earlier one of its kind.

    Raises Problem when `out` has another ending than .html, is a link, a folder, a device or any
    file that qlog did not make as such a page, or lies among the originals, a record or the
    backups; OSError when it cannot be written.
    """
    refused = _refused(out)
    if refused:
        raise Problem(ToSay("error.nothing_written", out=out, refused=refused))
    out.parent.mkdir(parents=True, exist_ok=True)
    write_whole(page.encode("utf-8"), out)


def _refused(out: Path) -> str:
    """Why no page may go there; "" when it may."""
    if out.is_dir():
        return ToSay("error.is_folder", example=out / "page.html")
    if out.suffix.lower() not in (".html", ".htm"):
        return ToSay("error.no_page_name")
    full = out.parent.resolve() / out.name
    for folder in full.parents:
        if (folder / "build.toml").is_file() and full.relative_to(folder).parts[0] in _KEPT:
            return ToSay("error.lies_in_build", folder=full.relative_to(folder).parts[0])
    if out.is_symlink():
        return ToSay("error.is_link")
    try:
        status = out.stat()
    except FileNotFoundError:
        return ""
    if not stat.S_ISREG(status.st_mode):
        return ToSay("error.not_plain")
    with out.open("rb") as file:
        head = file.read(2000)
    if PAGE_MARK.encode("ascii") not in head:
        return ToSay("error.not_ours")
    return ""
