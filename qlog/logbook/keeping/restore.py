"""Restore: a build made again from a backup, in a folder of its own, and verified there."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from qlog.logbook.keeping import backup
from qlog.logbook.keeping.copies import copy_file, snapshot
from qlog.logbook.keeping.verify import Verified, verify
from qlog.logbook.log_file import FILE_NAME, LogbookError
from qlog.logbook.opening import check_version
from qlog.logbook.photos import originals
from qlog.problem import ToSay
from qlog.writing import alone_in

#: What SQLite leaves beside a log that was open when its program ended.
_LEFT_OVER = tuple(f"{FILE_NAME}-{end}" for end in ("journal", "wal", "shm"))

#: Stands in a folder that is being restored; one that was killed there is begun again.
_BEGUN = ".restoring"


def restore(
    source: Path,
    target: Path,
    progress: Callable[[int, int], None] = lambda _done, _total: None,
) -> tuple[Verified, str]:
    """Make a build of a backup in an empty folder: what it came to, and what was brought up.

    `source` is a folder that `back_up` made, or one copy of a log. What SQLite left beside a log
    that once lay in `target` is put aside: it would be played into the restored one. Nothing of
    the backup is changed. Raises LogbookError, OSError.
    """
    log = source / FILE_NAME if source.is_dir() else source
    if not log.is_file():
        raise LogbookError(ToSay("error.holds_name_backup", source=source, file_name=FILE_NAME))
    if source.is_dir() and source.resolve() in (target.resolve(), *target.resolve().parents):
        raise LogbookError(ToSay("error.lies_backup_itself", target=target))
    _refuse(target)
    target.mkdir(parents=True, exist_ok=True)
    with alone_in(target):
        (target / _BEGUN).touch()
        originals.tidy(target, lambda _: True)  # what a restoring that was killed had begun
        for left in _LEFT_OVER:
            if (target / left).exists():
                (target / left).replace(target / f"left-over-{left}")
        if source.is_dir():
            for path in sorted(source.rglob("*")):
                name = path.relative_to(source)
                if path.is_symlink() or not path.is_file() or name.parts[0].startswith("."):
                    continue
                if name.parts[0] == originals.FOLDER:
                    _photo(path, target)
                elif name.parts[0] not in (backup.MARK, FILE_NAME, *_LEFT_OVER):
                    copy_file(path, target / name)
        # The log comes last: a restoring that was killed has none and is begun again.
        snapshot(log, target / FILE_NAME)
        said = check_version(target / FILE_NAME)
        (target / _BEGUN).unlink()
    return verify(target, target / FILE_NAME, progress), said


def _refuse(target: Path) -> None:
    if target.is_symlink() or (target.exists() and not target.is_dir()):
        raise LogbookError(ToSay("error.folder_name_empty", target=target))
    if (target / FILE_NAME).exists():
        # One that was killed after its last step, the log, has left no more than this.
        (target / _BEGUN).unlink(missing_ok=True)
        raise LogbookError(ToSay("error.there_logbook_never", target=target / FILE_NAME))
    strange = [
        p.name for p in (target.iterdir() if target.is_dir() else ()) if p.name not in _LEFT_OVER
    ]
    if strange and _BEGUN not in strange:
        raise LogbookError(
            ToSay("error.holds_other_things_name", target=target, strange=strange[0])
        )


def _photo(path: Path, target: Path) -> None:
    """One original; one that is harmed comes along, for `verify` to name."""
    try:
        originals.keep(target, path, path.stem)
    except OSError:
        copy_file(path, target / originals.FOLDER / path.parent.name / path.name)
