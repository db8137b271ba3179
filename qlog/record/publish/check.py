"""The check of a record, years later: every file against the manifest that lies beside it."""

from __future__ import annotations

from pathlib import Path

from qlog.frozen import frozen
from qlog.record.publish import manifest


@frozen
class Checked:
    """What a check found; paths are relative to the record, with forward slashes."""

    folder: Path
    files: int  # files that the manifest names
    missing: tuple[str, ...]
    changed: tuple[str, ...]
    strange: tuple[str, ...]  # files that the manifest does not name

    @property
    def whole(self) -> bool:
        """Whether every file is there, byte for byte; a strange file beside them is no damage."""
        return not self.missing and not self.changed


def check(folder: Path) -> Checked:
    """Hold every file of a record against its manifest.

    The same by hand: `sha256sum -c MANIFEST.sha256` in the folder. Raises `ManifestError` when
    the folder has no readable manifest.
    """
    sums = manifest.read(folder)
    missing, changed = [], []
    for line in sums:
        path = folder / line.path
        try:
            if path.is_symlink() or (path.exists() and not path.is_file()):
                changed.append(line.path)  # a pipe or a device would never end
            elif manifest.digest(path) != line.sha256:
                changed.append(line.path)
        except FileNotFoundError:
            missing.append(line.path)
        except OSError:  # a bad sector, or a folder in the file's place
            changed.append(line.path)
    named = {line.path for line in sums} | {manifest.NAME}
    strange = [path for path in manifest.files_of(folder) if path not in named]
    return Checked(folder, len(sums), tuple(missing), tuple(changed), tuple(strange))
