"""The originals keeps originals byte for byte; verify finds what is missing or harmed."""

import errno
import hashlib
import os
import sqlite3
from pathlib import Path

import pytest

from qlog.logbook.facts import Photo, Reading
from qlog.logbook.keeping.copies import copy_log
from qlog.logbook.keeping.verify import verify
from qlog.logbook.photos import originals
from qlog.logbook.store import Logbook, create

BYTES = bytes(range(256)) * 9000


@pytest.fixture
def kept(tmp_path: Path) -> tuple[Path, Path, str]:
    source = tmp_path / "Foto Ø.JPG"
    source.write_bytes(BYTES)
    sha = hashlib.sha256(BYTES).hexdigest()
    build = tmp_path / "build"
    build.mkdir()
    create(build / "logbook.db")
    originals.keep(build, source, sha)
    with Logbook(build / "logbook.db") as log:
        log.append(Photo(sha, source.name, len(BYTES), "JPEG", 1, 1))
    return build, source, sha


def test_a_photo_is_kept_byte_for_byte_under_its_hash(kept: tuple[Path, Path, str]) -> None:
    build, source, sha = kept
    place = build / "photos" / sha[:2] / f"{sha}.jpg"
    assert place.read_bytes() == BYTES
    assert originals.find(build, sha) == place
    assert originals.keep(build, source, sha) == place
    assert [p.name for p in place.parent.iterdir()] == [place.name]
    assert not os.access(place, os.W_OK) or os.name == "nt" or os.geteuid() == 0


def test_a_source_that_changes_while_it_is_copied_leaves_nothing(tmp_path: Path) -> None:
    source = tmp_path / "a.jpg"
    source.write_bytes(b"other")
    with pytest.raises(OSError, match="changed while it was copied"):
        originals.keep(tmp_path, source, hashlib.sha256(b"this").hexdigest())
    assert [p for p in (tmp_path / "photos").rglob("*") if p.is_file()] == []


def test_a_look_in_the_future_was_none(kept: tuple[Path, Path, str]) -> None:
    """A clock that was wrong for an evening, or a note that came with the build."""
    build, source, sha = kept
    photos = [(sha, source.name, len(BYTES))]
    assert originals.harmed(build, photos) == []
    note, place = build / "photos" / originals.SOUND, originals.find(build, sha)
    os.utime(note, (4e9, 4e9))
    assert place is not None
    place.chmod(0o644)
    place.write_bytes(bytes(reversed(BYTES)))
    assert [name for name, _ in originals.harmed(build, photos)] == [source.name]


def test_verify_finds_missing_changed_and_stray_originals(kept: tuple[Path, Path, str]) -> None:
    build, source, sha = kept
    seen: list[tuple[int, int]] = []
    good = verify(build, build / "logbook.db", lambda *a: seen.append(a))
    assert (good.entries, good.photos, good.damage, good.strays) == (1, 1, (), ())
    assert seen == [(1, 1)]
    place = originals.find(build, sha)
    assert place is not None
    place.chmod(0o644)
    place.write_bytes(BYTES[:-1] + b"x")
    assert "has changed" in verify(build, build / "logbook.db").damage[0].what
    place.unlink()
    assert "is missing" in verify(build, build / "logbook.db").damage[0].what
    originals.keep(build, source, sha)
    stray = build / "photos" / "00" / ("0" * 64 + ".jpg")
    stray.parent.mkdir()
    stray.write_bytes(b"?")
    found = verify(build, build / "logbook.db")
    assert (found.damage, found.strays) == ((), (stray,))


def test_verify_names_an_original_that_cannot_be_read_and_goes_on(
    kept: tuple[Path, Path, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    build, _, sha = kept
    with Logbook(build / "logbook.db") as log:
        log.append(Photo("0" * 64, "gone.jpg", 9, "JPEG", 1, 1))

    def fails(_: Path) -> str:
        raise OSError(errno.EIO, "as the system says it")

    monkeypatch.setattr(originals, "digest", fails)
    bad, missing = verify(build, build / "logbook.db").damage
    assert (bad.where, "the disk could not be read" in bad.what) == (
        f"photos/{sha[:2]}/{sha}.jpg",
        True,
    )
    assert "gone.jpg" in missing.what


def test_verify_sees_an_entry_without_its_fact(tmp_path: Path) -> None:
    create(tmp_path / "logbook.db")
    with Logbook(tmp_path / "logbook.db") as log:
        log.append(Reading("cup", 20, "bore", 1, "8", "8", "mm"))
    db = sqlite3.connect(tmp_path / "logbook.db")
    db.execute("DROP TRIGGER reading_no_delete")
    db.execute("DELETE FROM reading")
    db.commit()
    db.close()
    assert "is empty" in verify(tmp_path, tmp_path / "logbook.db").damage[1].what


def test_backup_copies_what_was_entered_and_never_over_another(tmp_path: Path) -> None:
    create(tmp_path / "logbook.db")
    with Logbook(tmp_path / "logbook.db") as log:
        log.append(Reading("cup", 20, "bore", 1, "8", "8", "mm"))
        first = copy_log(tmp_path / "logbook.db")
        second = copy_log(tmp_path / "logbook.db")
    assert first != second
    with Logbook(first) as copy:
        assert [e.fact.value for e in copy.live(Reading)] == ["8"]


def test_verify_tells_of_a_logbook_harmed_in_the_middle(tmp_path: Path) -> None:
    path = tmp_path / "logbook.db"
    create(path)
    with Logbook(path) as log:
        log.append(Reading("cup", 20, "bore", 1, "22.01", "22.01", "mm"))
    raw = bytearray(path.read_bytes())
    raw[4096:] = b"\xff" * (len(raw) - 4096)
    path.write_bytes(raw)
    found = verify(tmp_path, path)
    assert found.damage and all(d.where == "logbook.db" for d in found.damage)
    assert "`qlog restore` a backup" in found.damage[-1].remedy


def test_a_backup_that_fails_leaves_nothing_behind(tmp_path: Path) -> None:
    path = tmp_path / "logbook.db"
    path.write_bytes(b"no database at all" * 100)
    with pytest.raises(OSError, match="no sound copy"):
        copy_log(path)
    assert list((tmp_path / "backup").iterdir()) == []
