"""Backup: the log and the originals copied to another place, verified there; and when that was."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

from qlog.frozen import frozen
from qlog.logbook.chain import Head
from qlog.logbook.keeping.audit import Damage, audit
from qlog.logbook.keeping.copies import copy_file, snapshot
from qlog.logbook.log_file import FILE_NAME, LogbookError, cause, connect
from qlog.logbook.photos import originals
from qlog.plain_file import plain_text
from qlog.problem import ToSay, said_by
from qlog.writing import alone_in, own_folder, write_whole

#: Beside the log's copies: when and where the last backup was made. Deletable.
LAST = "last.json"
#: Marks a folder as a backup made here.
MARK = "backup.json"
MADE_BY = "qlog backup"

#: What of a build's folder a backup leaves out: it is copied in another way, or made again.
_NOT_TAKEN = {originals.FOLDER, "record", "backup", FILE_NAME}

#: Days of work after which a backup is due.
DUE_DAYS = 7


@frozen
class Backed:
    """What a backup wrote, and what of the build could not be taken whole."""

    folder: Path
    head: Head
    photos: int  # in the backup now
    new: int  # photos copied this time
    damage: tuple[Damage, ...]


@frozen
class Last:
    """The last backup: when (UTC, ISO 8601), where, and the head of what it took."""

    when: str
    where: str
    head: Head


def back_up(
    build_folder: Path,
    dest: Path,
    *,
    now: datetime | None = None,
    progress: Callable[[int, int], None] = lambda _done, _total: None,
) -> Backed:
    """Copy log, originals and the build's other files to a folder, what is there already left.

    Everything written is read back. A log that does not verify replaces no earlier backup, and a
    harmed original no good one. Raises LogbookError, Problem, OSError.
    """
    _refuse(build_folder, dest)
    note = own_folder(build_folder, "backup")
    found = audit(build_folder / FILE_NAME)
    if found.damage:
        raise LogbookError(
            ToSay(
                "error.damaged_qlog_verify",
                log=build_folder / FILE_NAME,
                what=found.damage[0].what,
            )
        )
    dest.mkdir(parents=True, exist_ok=True)
    with alone_in(dest):
        _tidy(dest)
        _refuse_another_log(build_folder, dest)
        _mark(dest, Head(0, ""), None)
        for source in _others(build_folder):
            target = dest / source.relative_to(build_folder)
            if not target.is_file() or originals.digest(target) != originals.digest(source):
                copy_file(source, target)
        # The log comes after its photos: whenever this is killed, the backup's log has all of its.
        new, _ = _copy_photos(build_folder, dest, found.photos, progress)
        snapshot(build_folder / FILE_NAME, dest / FILE_NAME)
        there = audit(dest / FILE_NAME)
        if there.damage:
            raise OSError(
                ToSay(
                    "error.check_disk",
                    file=dest / FILE_NAME,
                    what=there.damage[0].what,
                    folder=dest,
                )
            )
        # Those that were entered meanwhile, and what could not be copied.
        more, damage = _copy_photos(build_folder, dest, there.photos, lambda _done, _total: None)
        moment = (now or datetime.now(UTC)).isoformat(timespec="seconds")
        _mark(dest, there.head, moment)
    note.mkdir(exist_ok=True)
    write_whole(_note(moment, str(dest.resolve()), there.head), note / LAST)
    missing = {d.where for d in damage}
    return Backed(dest, there.head, len(there.photos) - len(missing), new + more, tuple(damage))


def last_backup(build_folder: Path) -> Last | None:
    """When the build was last backed up to another place; None when never, or nobody knows."""
    try:
        said = json.loads(plain_text(build_folder / "backup" / LAST))
        datetime.fromisoformat(said["when"])
        return Last(said["when"], str(said["where"]), Head(int(said["entries"]), str(said["sum"])))
    except (OSError, ValueError, KeyError, TypeError):
        return None


def unsaved_since(build_folder: Path, logbook: Path, now: datetime | None = None) -> int | None:
    """Days since the first entry that no backup holds; None when that is less than a week."""
    last = last_backup(build_folder)
    with closing(connect(logbook)) as db:
        row = db.execute(
            "SELECT entered FROM entry WHERE id = ?", ((last.head.entries if last else 0) + 1,)
        ).fetchone()
    try:
        first = None if row is None else datetime.fromisoformat(row[0])
        days = 0 if first is None else ((now or datetime.now(UTC)) - first).days
    except (ValueError, TypeError):
        return None  # a spoilt time is for `qlog verify` to name
    return days if days >= DUE_DAYS else None


def _refuse(build_folder: Path, dest: Path) -> None:
    full, own = dest.resolve(), build_folder.resolve()
    if full == own or own in full.parents:
        raise LogbookError(ToSay("error.lies_build_itself", dest=dest))
    if dest.is_symlink() or (dest.exists() and not dest.is_dir()):
        raise LogbookError(ToSay("error.folder_name_folder", dest=dest))
    # A backup that was killed at its very beginning leaves the mark half written.
    begun = f".{MARK}-"
    if (
        dest.is_dir()
        and not (dest / MARK).is_file()
        and any(not p.name.startswith(begun) for p in dest.iterdir())
    ):
        raise LogbookError(ToSay("error.holds_other_things", dest=dest))


def _refuse_another_log(build_folder: Path, dest: Path) -> None:
    """A backup is only ever continued: every entry that it holds is in the build's log."""
    if not (dest / FILE_NAME).is_file():
        return
    try:
        with (
            closing(connect(dest / FILE_NAME)) as there,
            closing(connect(build_folder / FILE_NAME)) as here,
        ):
            before = {s for (s,) in there.execute("SELECT sum FROM entry")}
            now = {s for (s,) in here.execute("SELECT sum FROM entry")}
    except sqlite3.Error as error:
        raise LogbookError(
            ToSay("error.name_another_folder", dest=dest / FILE_NAME, cause=cause(error))
        ) from error
    if before - now:
        raise LogbookError(ToSay("error.holds_entries_logbook", dest=dest, n=len(before - now)))


def _others(build_folder: Path) -> Iterator[Path]:
    """The build's files besides log, originals, record and backups: plan, drawings, letters."""
    for top in sorted(build_folder.iterdir()):
        if top.name in _NOT_TAKEN or top.name.startswith((".", FILE_NAME)) or top.is_symlink():
            continue
        for path in [top] if top.is_file() else sorted(top.rglob("*")):
            if path.is_file() and not path.is_symlink():
                yield path


def _copy_photos(
    build_folder: Path,
    dest: Path,
    photos: tuple[tuple[str, str, int], ...],
    progress: Callable[[int, int], None],
) -> tuple[int, list[Damage]]:
    new, damage = 0, []
    for count, (sha256, name, size) in enumerate(photos, start=1):
        source, there = originals.find(build_folder, sha256), originals.find(dest, sha256)
        if there is None or there.stat().st_size != size:
            try:
                if source is None:
                    raise FileNotFoundError(ToSay("error.original_missing", name=name))
                if there is not None:  # cut short on the backup's disk: written anew
                    there.unlink()
                kept = originals.keep(dest, source, sha256)
                if originals.digest(kept) != sha256:
                    raise OSError(ToSay("error.copy_reads_otherwise", file=kept))
                new += 1
            except OSError as error:
                damage.append(
                    Damage(f"{originals.FOLDER}/{sha256[:2]}/{sha256}", said_by(error), "")
                )
        progress(count, len(photos))
    return new, damage


def _mark(dest: Path, head: Head, moment: str | None) -> None:
    if moment is None and (dest / MARK).is_file():
        return
    write_whole(_note(moment or "", "", head), dest / MARK)


def _note(moment: str, where: str, head: Head) -> bytes:
    said = {
        "made_by": MADE_BY, "when": moment, "where": where,
        "entries": head.entries, "sum": head.sum,
    }  # fmt: skip
    return (json.dumps(said, ensure_ascii=False, indent=1) + "\n").encode("utf-8", "replace")


def _tidy(folder: Path) -> None:
    """Remove what a killed backup left half written."""
    for path in folder.glob(".*.part"):
        path.unlink(missing_ok=True)
    for left in folder.glob(f"{Path(FILE_NAME).stem}.part*"):
        left.unlink(missing_ok=True)
    # An original of the backup is complete without an entry of this moment.
    originals.tidy(folder, lambda _: True)
