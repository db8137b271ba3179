"""Verify: is everything that was entered still there and unharmed?"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from qlog.frozen import frozen
from qlog.logbook.chain import Head
from qlog.logbook.keeping.audit import Damage, Means, audit
from qlog.logbook.photos import originals
from qlog.problem import ToSay

__all__ = ["Damage", "Verified", "verify"]


@frozen
class Verified:
    """What was looked at and what was found."""

    entries: int
    photos: int
    damage: tuple[Damage, ...]
    strays: tuple[Path, ...]  # files in the originals that no entry names; harmless
    head: Head
    remarks: tuple[str, ...] = ()  # odd but harmless


def verify(
    build_folder: Path,
    logbook: Path,
    progress: Callable[[int, int], None] | None = None,
    means: Means | None = None,
) -> Verified:
    """Check the database, the chain over its entries, and every original against its SHA-256.

    Only reads. `progress` is called with photos looked at and photos in all; `means` tells
    whether a typed text means the value kept beside it.
    """
    log = audit(logbook, means)
    damage = list(log.damage)
    for done, (sha256, name, size) in enumerate(log.photos, start=1):
        found = _original(build_folder, sha256, name, size)
        if found is not None:
            damage.append(found)
        if progress:
            progress(done, len(log.photos))
    known = {sha256 for sha256, _, _ in log.photos}
    strays = tuple(p for p in originals.listed(build_folder) if p.stem not in known)
    return Verified(log.head.entries, len(log.photos), tuple(damage), strays, log.head, log.remarks)


def _original(build_folder: Path, sha256: str, name: str, size: int) -> Damage | None:
    """What is wrong with one original, None when nothing is."""
    path = originals.find(build_folder, sha256)
    if path is None:
        return Damage(
            f"{originals.FOLDER}/{sha256[:2]}/{sha256}",
            ToSay("error.original_bytes_missing", name=name, size=size),
            ToSay("error.add_photo_again"),
        )
    where = path.relative_to(build_folder).as_posix()
    try:
        sound = path.is_file() and originals.digest(path) == sha256
    except OSError as error:  # a bad sector, no permission; the others are still looked at
        return Damage(
            where,
            ToSay("error.original_cannot_be", name=name, reason=error),
            ToSay("error.look_disk_permissions"),
        )
    if sound:
        return None
    return Damage(
        where,
        ToSay("error.original_changed_since", name=name),
        ToSay("error.move_file_away"),
    )
