"""The place of a record: free for one, recovered after a kill, and taken by a new one whole."""

from __future__ import annotations

import os
import shutil
import time
from collections.abc import Iterable, Set
from pathlib import Path

from qlog.problem import Problem, ToSay
from qlog.record.publish import manifest
from qlog.writing import sync_folder

#: Seconds between tries to rename a folder that another program holds.
_PAUSES = (0.1, 0.2, 0.4, 0.8, 1.5)


class RecordError(Problem):
    """A record that cannot be built there; the message says why and what to do."""


def resolved(out: Path) -> Path:
    """The whole path of a record's folder. Raises RecordError where a link stands there."""
    out = Path(os.path.abspath(out))  # noqa: PTH100 - not through a link, which is refused below
    if out.is_symlink():
        raise RecordError(ToSay("error.link_name_folder", out=out))
    return out


def refuse_strangers(out: Path, known: Iterable[str]) -> None:
    """Refuse a place that is not free and not an earlier record with nothing else in it.

    `known` are the files of its manifest. Raises RecordError.
    """
    if not out.exists():
        return
    if not out.is_dir():
        raise RecordError(ToSay("error.file_name_folder", out=out))
    found = manifest.files_of(out)
    if not found and not any(p.is_dir() for p in out.iterdir()):
        return
    if not manifest.is_record(out):
        raise RecordError(ToSay("error.folder_other_things", out=out))
    own = {*known, manifest.NAME}
    strange = [path for path in found if path not in own]
    if strange:
        listed = ", ".join(strange[:3]) + (", ..." if len(strange) > 3 else "")
        raise RecordError(ToSay("error.holds_files_are", out=out, listed=listed))


def _last(out: Path) -> Path:
    return out.with_name(f".{out.name}-last")


def recover(out: Path) -> None:
    """After a build that was killed, put the last record back and remove what is half built."""
    last = _last(out)
    if last.is_dir() and manifest.is_record(last):
        if out.exists():
            shutil.rmtree(last)
        else:
            last.rename(out)
    for left in out.parent.glob(f".{out.name}-building-*"):
        if not left.is_symlink() and left.is_dir():
            shutil.rmtree(left, ignore_errors=True)


def swap(aside: Path, out: Path, known: Set[str]) -> None:
    """Put the new record in the old one's place; on failure the old one stays.

    A file that somebody put into the old one meanwhile is kept beside it, in `NAME-found`.
    """
    if not out.exists():
        _rename(aside, out)
        return
    last = _last(out)
    try:
        _rename(out, last)
    except PermissionError as error:
        raise RecordError(ToSay("error.held_open_another", out=out, error=error)) from error
    try:
        _rename(aside, out)
    except BaseException:
        _rename(last, out)
        raise
    for path in manifest.files_of(last):
        if path not in known:
            keep = _free(out.with_name(f"{out.name}-found") / path)
            keep.parent.mkdir(parents=True, exist_ok=True)
            (last / path).rename(keep)
    sync_folder(out.parent)
    shutil.rmtree(last)


def _rename(path: Path, target: Path) -> None:
    """Rename a folder; tried for some seconds where another program looks into it (Windows).

    A virus scanner or an index lets go again, an open page does not. Raises OSError.
    """
    for pause in (*_PAUSES, None):
        try:
            path.rename(target)
            return
        except PermissionError:
            if pause is None:
                raise
            time.sleep(pause)


def _free(path: Path) -> Path:
    """The path, or the first like it with a number that nothing has."""
    found, number = path, 2
    while found.exists():
        found = path.with_name(f"{path.stem}-{number}{path.suffix}")
        number += 1
    return found
