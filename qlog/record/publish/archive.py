"""One file of a whole record, the same bytes for the same record."""

from __future__ import annotations

import zipfile
from pathlib import Path

from qlog.record.publish import manifest
from qlog.writing import whole_file

#: The first moment that a zip file can hold; a real time would change the bytes.
NO_TIME = (1980, 1, 1, 0, 0, 0)


def zip_record(folder: Path) -> Path:
    """Write `<folder>.zip` beside a record and return its path.

    Holds the files of the manifest and the manifest, in order of their paths, below a folder of
    the record's name, without times or owners. Written aside and renamed. Raises `ManifestError`
    when the folder is no record, OSError when a file of it is missing.
    """
    sums = manifest.read(folder)
    target = folder.with_name(f"{folder.name}.zip")
    with whole_file(target) as raw, zipfile.ZipFile(raw, "w") as packed:
        for path in sorted([s.path for s in sums] + [manifest.NAME]):
            info = zipfile.ZipInfo(f"{folder.name}/{path}", NO_TIME)
            info.create_system = 3  # Unix, on every system, or the bytes would differ
            info.external_attr = 0o100644 << 16
            # Photos are compressed already, and deflate's bytes differ between its versions.
            info.compress_type = zipfile.ZIP_STORED
            packed.writestr(info, (folder / path).read_bytes())
    return target


def zip_again(folder: Path) -> Path | None:
    """Write `<folder>.zip` anew when there is one that does not hold the record as it is now.

    What was withdrawn since would still lie in it. Returns its path when it was written anew; a
    file of that name that is no packed record is left alone. Raises as `zip_record`.
    """
    target = folder.with_name(f"{folder.name}.zip")
    if not target.is_file():
        return None
    try:
        with zipfile.ZipFile(target) as packed:
            info = packed.getinfo(f"{folder.name}/{manifest.NAME}")
            if info.file_size > manifest.MOST:  # packed small, it may be huge
                return None
            before = packed.read(info)
    except (OSError, KeyError, zipfile.BadZipFile, NotImplementedError, RuntimeError):
        return None
    if before == (folder / manifest.NAME).read_bytes():
        return None
    return zip_record(folder)
