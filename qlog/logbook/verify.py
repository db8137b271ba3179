"""Verify: is everything that was entered still there and unharmed?"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from qlog.logbook import originals as originals


@dataclass(frozen=True, slots=True)
class Damage:
    """Something missing or harmed: where, what, and what to do about it."""

    where: str
    what: str
    remedy: str


@dataclass(frozen=True, slots=True)
class Verified:
    """What was looked at and what was found."""

    entries: int
    photos: int
    damage: tuple[Damage, ...]
    strays: tuple[Path, ...]  # files in the originals that no entry names; harmless


def verify(
    build_folder: Path, logbook: Path, progress: Callable[[int, int], None] | None = None
) -> Verified:
    """Check the database, its references, and every original photo against its SHA-256.

    Only reads. `progress` is called with photos looked at and photos in all.
    """
    damage: list[Damage] = []
    entries, photos = 0, []
    remedy = "restore the newest file of backup/ and compare"
    db = sqlite3.connect(logbook)
    try:
        for (answer,) in db.execute("PRAGMA integrity_check"):
            if answer != "ok":
                damage.append(Damage(logbook.name, str(answer), remedy))
        for table, row, parent, _ in db.execute("PRAGMA foreign_key_check"):
            damage.append(
                Damage(logbook.name, f"{table} row {row} points to no row of {parent}", remedy)
            )
        entries = db.execute("SELECT count(*) FROM entry").fetchone()[0]
        kinds = {k for (k,) in db.execute("SELECT DISTINCT kind FROM entry")} - {"withdrawn"}
        for kind in sorted(kinds):
            lost = db.execute(
                f"SELECT count(*) FROM entry e LEFT JOIN {kind} f ON f.entry = e.id "
                "WHERE e.kind = ? AND f.entry IS NULL",
                (kind,),
            ).fetchone()[0]
            if lost:
                damage.append(Damage(logbook.name, f"{lost} entries of {kind} are empty", remedy))
        photos = db.execute("SELECT sha256, name, size FROM photo ORDER BY entry").fetchall()
    except sqlite3.DatabaseError as error:  # too harmed to be looked through to the end
        damage.append(Damage(logbook.name, str(error), remedy))
    finally:
        db.close()
    for done, (sha256, name, size) in enumerate(photos, start=1):
        path = originals.find(build_folder, sha256)
        if path is None:
            damage.append(
                Damage(
                    f"{originals.FOLDER}/{sha256[:2]}/{sha256}",
                    f"the original of {name} ({size} bytes) is missing",
                    "add the photo again from the camera or a copy; it goes to its old place",
                )
            )
        elif originals.digest(path) != sha256:
            damage.append(
                Damage(
                    path.relative_to(build_folder).as_posix(),
                    f"the original of {name} has changed since it was entered",
                    "move the file away and add the photo again from the camera or a copy",
                )
            )
        if progress:
            progress(done, len(photos))
    known = {sha256 for sha256, _, _ in photos}
    folder = build_folder / originals.FOLDER
    strays = tuple(
        path for path in sorted(folder.glob("*/*")) if path.is_file() and path.stem not in known
    )
    return Verified(entries, len(photos), tuple(damage), strays)
