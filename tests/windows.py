"""A pretended Windows: its rules for files, kept by an audit hook while `pretended` is on.

What it forbids under one folder, as Windows does: names with its signs or of its devices, two
names that differ in case alone, opening a folder, renaming onto a file that is there, taking away
or replacing what may only be read, and taking away, renaming or replacing what this process still
holds open. The modules that ask which system
they run on are told Windows; `msvcrt.locking` is done with the lock of this system. What is held
is read from /proc/self/fd: on a system without it that one rule cannot be kept.

It is a likeness and no Windows: other processes, virus scanners, long paths, rights and the
console are not in it.
"""

from __future__ import annotations

import errno
import fcntl
import os
import re
import shutil
import stat
import sys
import types
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from unittest.mock import patch

DEVICES = {"con", "prn", "aux", "nul", *(f"{d}{n}" for d in ("com", "lpt") for n in range(1, 10))}
FORBIDDEN = re.compile(r'[<>:"|?*\\\x00-\x1f]|[ .]$')
HELD = Path("/proc/self/fd")

_under: str | None = None
broken: list[str] = []  # every rule that was broken, also where the program went on


class _Nt(types.ModuleType):
    """A module of this system that says it is Windows."""

    def __init__(self, like: types.ModuleType, **said: Any) -> None:
        super().__init__(like.__name__)
        self.__dict__.update(vars(like) | said)


def _refuse(number: int, why: str, path: str) -> None:
    broken.append(f"{why}: {path}")
    raise OSError(number, why, path)


def _inside(path: object) -> str | None:
    """The path below the folder that is Windows, None for one elsewhere."""
    if _under is None or not isinstance(path, str | bytes | os.PathLike):
        return None
    full = os.path.abspath(os.fsdecode(path))  # noqa: PTH100 - no Path inside the hook
    return full[len(_under) + 1 :] if full.startswith(f"{_under}/") else None


def _names(path: str) -> None:
    """Refuse a name that Windows cannot make, or that stands there in another case."""
    inside = _inside(path)
    parent = _under or ""
    for name in (inside or "").split("/"):
        if name and FORBIDDEN.search(name):
            _refuse(errno.EINVAL, "no name on Windows", path)
        if name.split(".")[0].casefold() in DEVICES:
            _refuse(errno.EINVAL, "a device on Windows", path)
        try:
            there = [entry for entry in os.listdir(parent) if entry != name]  # noqa: PTH208
        except OSError:
            there = []
        if name and any(entry.casefold() == name.casefold() for entry in there):
            _refuse(errno.EEXIST, "differs in case alone", path)
        parent = f"{parent}/{name}"


def _held(path: str) -> None:
    """Refuse where this process still holds the file, or one in the folder."""
    full = os.path.abspath(path)  # noqa: PTH100
    if not HELD.is_dir():
        return
    for handle in os.listdir(HELD):  # noqa: PTH208
        try:
            target = str((HELD / handle).readlink())
        except OSError:
            continue
        if target == full or target.startswith(f"{full}/"):
            _refuse(errno.EACCES, "held open by this process", path)


def _written_over(path: str) -> None:
    """Refuse to take away or replace a file that may only be read."""
    try:
        mode = os.lstat(path).st_mode
    except OSError:
        return
    if stat.S_ISREG(mode) and not mode & stat.S_IWUSR:
        _refuse(errno.EACCES, "may only be read", path)


def _hook(event: str, args: tuple[Any, ...]) -> None:
    global _under
    if _under is None or not args or _inside(args[0]) is None:
        return
    path, kept = os.fsdecode(args[0]), _under
    try:
        if event == "open":
            flags = args[2] if isinstance(args[2], int) else 0
            if os.path.isdir(path):  # noqa: PTH112
                _refuse(errno.EACCES, "a folder cannot be opened", path)
            if flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT):
                _names(path)
        elif event == "os.mkdir":
            _names(path)
        elif event in ("os.rename", "os.link"):
            target = os.fsdecode(args[1])
            _names(target)
            if event == "os.rename":
                _held(path)
                _held(target)
                _written_over(target)
        elif event in ("os.remove", "os.rmdir"):
            _held(path)
            _written_over(path)
        elif event == "os.symlink":
            _refuse(errno.EPERM, "links need rights", path)
    finally:
        _under = kept


_installed: list[bool] = []


@contextmanager
def pretended(folder: Path) -> Iterator[None]:
    """Let everything below a folder follow the rules of Windows, and qlog believe that it does."""
    global _under
    # Modules that are loaded meanwhile are forgotten afterwards; this one ends Python when it is
    # loaded a second time.
    import zxingcpp  # noqa: F401

    import qlog.logbook.opening as opening
    import qlog.worked_out as worked_out
    import qlog.writing as writing

    if not _installed:
        sys.addaudithook(_hook)
        _installed.append(True)
    rename = os.rename

    def refusing(source: Any, target: Any, **places: Any) -> None:
        if _inside(target) is not None and os.path.lexists(target):
            _refuse(errno.EEXIST, "there already", os.fsdecode(target))
        rename(source, target, **places)

    locking = types.ModuleType("msvcrt")
    locking.LK_NBLCK = 2  # type: ignore[attr-defined]
    locking.locking = lambda handle, _mode, _size: fcntl.flock(  # type: ignore[attr-defined]
        handle, fcntl.LOCK_EX | fcntl.LOCK_NB
    )
    told = _Nt(os, name="nt")
    with (
        patch.object(writing, "os", told), patch.object(opening, "os", told),
        patch.object(worked_out, "os", _Nt(os, name="nt", environ=os.environ)),
        patch.object(writing, "sys", _Nt(sys, platform="win32")),
        patch.dict(sys.modules, {"msvcrt": locking}),
        patch.object(os, "rename", refusing),
        patch.object(shutil, "_use_fd_functions", False),
    ):  # fmt: skip
        broken.clear()
        _under = str(folder.resolve())
        try:
            yield
        finally:
            _under = None
