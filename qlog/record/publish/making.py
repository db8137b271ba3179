"""An edition in the making: files put in, or taken over from the last record where they are as it.

What is taken over becomes the same file again, with its time. That it is what its manifest says
is looked at anew, by its bytes or by a time before the manifest's: a file changed by hand is made
again.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import stat
from collections.abc import Callable, Collection, Iterable, Iterator
from pathlib import Path

from qlog.record.publish import manifest
from qlog.writing import sync_tree

#: What changes with a file: its number, size and time.
_Stamp = tuple[int, int, int]


class Making:
    """A folder `aside` that takes the place of the record `out` when it is done."""

    def __init__(self, out: Path, aside: Path, before: dict[str, str]) -> None:
        self.out, self.aside = out, aside
        self.before = before  # the manifest of the last record
        self.sums: dict[str, str] = {}  # of every file so far
        self.kept: set[str] = set()  # those that are as in the last record
        self._linked: set[str] = set()  # and its very files
        self._borrowed: dict[str, _Stamp] = {}
        self._folders: set[str] = set()

    def put(self, path: str, data: bytes) -> None:
        """A file of the edition, written only where the last record does not hold the same."""
        self._forget(path)
        target = self.aside / path
        target.unlink(missing_ok=True)  # it may be the last record's own file: never written into
        self.sums[path] = hashlib.sha256(data).hexdigest()
        if not self.keep([path]):
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(data)

    def put_text(self, path: str, pieces: Iterable[str]) -> None:
        """The same for a file that may be too long to be held as one: piece by piece, as UTF-8."""
        self._forget(path)
        target = self.aside / path
        target.unlink(missing_ok=True)
        target.parent.mkdir(parents=True, exist_ok=True)
        written = hashlib.sha256()
        with target.open("wb") as file:
            for piece in pieces:
                data = piece.encode()
                written.update(data)
                file.write(data)
        self.sums[path] = written.hexdigest()
        self.keep([path])

    def keep(self, paths: Collection[str]) -> bool:
        """Take over files of the last record that are what its manifest says: all of them or none.

        One that is here already has to be the same.
        """
        for path in paths:
            digest = self.before.get(path)
            if digest is None or self.sums.get(path, digest) != digest:
                return False
            if not _lies(self.out / path) or manifest.digest(self.out / path) != digest:
                return False
        for path in paths:
            (self.aside / path).unlink(missing_ok=True)
            self._take(self.out, path, own=True)
            self.sums[path] = self.before[path]
        return True

    def keep_as(self, path: str, digest: str) -> bool:
        """Take over a file of the last record where it has that sum."""
        return self.before.get(path) == digest and self.keep([path])

    def borrow(self, records: Iterable[Path], folder: str, wanted: Callable[[str], bool]) -> None:
        """Take over files of `folder` whose names are wanted, from this record and from others.

        Those of the last record become the same files again; those of another are copied, so that
        either can be changed or given away alone.
        """
        for record in (self.out, *records):
            own = record == self.out
            if not own and not manifest.is_record(record):
                continue
            sums = self.before if own else sums_of(record)
            lacking = {path: sums[path] for path in sums if path not in self.sums}
            for name, digest, is_ in _standing(record, lacking, folder, wanted):
                path = f"{folder}/{name}"
                self._take(record, path, own=own)
                self.sums[path] = digest
                linked = path in self._linked
                self._borrowed[path] = _stamp(is_ if linked else (self.aside / path).stat())

    def settle(self) -> None:
        """Sum what others wrote into the folder, and take over what is as it was.

        A file that was borrowed and made anew since counts as made; one that is gone is gone.
        """
        there = dict(_listed(self.aside))
        for path in [p for p in self.sums if p not in there]:
            del self.sums[path]
            self._forget(path)
        for path, is_ in there.items():
            borrowed = self._borrowed.get(path)
            if borrowed is not None and borrowed != _stamp(is_):
                del self.sums[path]
                self._forget(path)
            if path not in self.sums:
                self.sums[path] = manifest.digest(self.aside / path)
            if path not in self.kept:
                self.keep([path])

    def changed(self, others: Collection[str] = ()) -> int:
        """How many files are not as in the last record; `others` are not there yet."""
        gone = sum(path not in self.sums and path not in others for path in self.before)
        return len(self.sums) - len(self.kept) + gone

    def finish(self) -> None:
        """Write the manifest and have the disk hold all that is new. Raises OSError."""
        manifest.write(self.aside, (manifest.Sum(p, digest) for p, digest in self.sums.items()))
        new = [self.aside / path for path in self.sums if path not in self._linked]
        sync_tree(self.aside, [*new, self.aside / manifest.NAME])

    def _take(self, record: Path, path: str, *, own: bool) -> None:
        """A file of a record in its place here, where none is; its very file where it may be."""
        source, target = f"{record}{os.sep}{path}", f"{self.aside}{os.sep}{path}"
        folder = path.rpartition("/")[0]
        if folder not in self._folders:
            (self.aside / folder).mkdir(parents=True, exist_ok=True)
            self._folders.add(folder)
        if own and _link(source, target):
            self._linked.add(path)
        else:
            shutil.copy2(source, target)
        if own:
            self.kept.add(path)

    def _forget(self, path: str) -> None:
        self.kept.discard(path)
        self._linked.discard(path)
        self._borrowed.pop(path, None)


def sums_of(record: Path) -> dict[str, str]:
    """The manifest of a record; empty when there is none."""
    try:
        return {s.path: s.sha256 for s in manifest.read(record)}
    except manifest.ManifestError:
        return {}


def _standing(
    record: Path, sums: dict[str, str], folder: str, names: Callable[[str], bool]
) -> Iterator[tuple[str, str, os.stat_result]]:
    """Name, sum and status of the files of a folder that are what their manifest says.

    One that is older than the manifest was not written to since, and is not read again: a disk
    that lost bytes of it is found by `qlog record --check`, as for any file that was handed over.
    """
    place = record / folder
    if not sums or not place.is_dir() or place.is_symlink():
        return
    since = (record / manifest.NAME).stat().st_mtime_ns
    with os.scandir(place) as found:
        for entry in found:
            digest = sums.get(f"{folder}/{entry.name}")
            if digest is None or not names(entry.name):
                continue
            is_ = os.lstat(entry.path)  # Windows: what a listing says lacks the file's number
            if not stat.S_ISREG(is_.st_mode):
                continue
            old = is_.st_mtime_ns < since and is_.st_size > 0
            if old or manifest.digest(Path(entry.path)) == digest:
                yield entry.name, digest, is_


def _listed(folder: Path) -> Iterator[tuple[str, os.stat_result]]:
    """Every file of a folder by its path in it, with its status."""
    for path in manifest.files_of(folder):
        yield path, os.lstat(os.path.join(folder, path))  # noqa: PTH118 - thousands of them


def _stamp(is_: os.stat_result) -> _Stamp:
    return is_.st_ino, is_.st_size, is_.st_mtime_ns


def _lies(path: Path) -> bool:
    """Whether a file lies there itself; a link would lead away from what is handed over."""
    return path.is_file() and not path.is_symlink()


def _link(source: str, target: str) -> bool:
    """The same file in another place; False where the file system has no hard links."""
    try:
        os.link(source, target)
    except OSError:
        return False
    return True
