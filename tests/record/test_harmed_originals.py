"""A record whose originals are missing or harmed says so each time, with status 1."""

import os
import shutil
import sys
from pathlib import Path

import pytest

from qlog.logbook.photos import originals
from tests.conftest import run_qlog
from tests.demo_record import demo
from tests.photo_scenes import photo


def test_record_names_a_missing_and_a_changed_original_every_time(tmp_path: Path) -> None:
    folder = tmp_path / "build"
    shutil.copytree(demo().folder, folder, ignore=shutil.ignore_patterns("record"))
    words = ("--build", str(folder), "record", "--for", "recipient")
    assert run_qlog(*words).err == ""
    missing, changed = originals.listed(folder)[:2]
    missing.unlink()
    changed.chmod(0o644)
    raw = bytearray(changed.read_bytes())
    raw[-40] ^= 1
    changed.write_bytes(raw)
    for _ in range(2):
        ran = run_qlog(*words)
        assert ran.status == 1
        assert ran.err.count("its original is missing; `qlog verify`") == 1
        assert ran.err.count("its original has changed since it was entered") == 1


@pytest.mark.skipif(sys.platform == "win32", reason="links need rights on Windows")
def test_a_link_planted_in_a_received_build_brings_nothing_into_a_record(build_dir: Path) -> None:
    """In place of an original, and in place of a picture of the last record."""
    own = photo(build_dir / "cup.jpg", "10:00", 1)
    secret = photo(build_dir / "secret.jpg", "11:00", 2, position=True)
    os.utime(secret, (1e9, 1e9))
    words = ("--build", str(build_dir))
    run_qlog(*words, "photo", "add", str(own), "--part", "cup", "--op", "10", "--piece", "1")
    (original,) = originals.listed(build_dir)
    original.unlink()
    original.symlink_to(secret)
    ran = run_qlog(*words, "record", "--for", "recipient")
    assert ran.status == 1
    assert "cup.jpg: its original has changed since it was entered" in ran.err
    photos = build_dir / "record" / "recipient" / "photos"
    assert not photos.exists() or not list(photos.iterdir())
    original.unlink()
    shutil.copy2(own, original)
    assert run_qlog(*words, "record", "--for", "recipient").err == ""
    sound = {path.name: path.read_bytes() for path in photos.iterdir()}
    for path in photos.iterdir():
        path.unlink()
        path.symlink_to(secret)
    run_qlog(*words, "record", "--for", "recipient")
    assert {path.name: path.read_bytes() for path in photos.iterdir()} == sound
    assert not [path.name for path in photos.iterdir() if path.is_symlink()]


@pytest.mark.skipif(sys.platform == "win32", reason="links need rights on Windows")
@pytest.mark.parametrize("words", ["record", "record --rehearse", "backup", "backup {dest}"])
def test_nothing_is_written_or_tidied_through_a_planted_link(
    build_dir: Path, tmp_path: Path, words: str
) -> None:
    own = tmp_path / "own"
    own.mkdir()
    (own / "film.part").write_bytes(b"half")
    (build_dir / words.split()[0]).symlink_to(own, target_is_directory=True)
    ran = run_qlog("--build", str(build_dir), *words.format(dest=tmp_path / "dest").split())
    assert ran.status == 2
    assert "nothing is written through it" in ran.err
    assert [path.name for path in own.iterdir()] == ["film.part"]
