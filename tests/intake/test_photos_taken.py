"""Taking photos in: known without being read, placed by what the logbook knows of the work."""

from __future__ import annotations

import os
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from qlog.drawing.build_file.load import load
from qlog.drawing.plan import Build
from qlog.intake.photos import photo_file
from qlog.intake.photos import taking as photos
from qlog.intake.photos.proposals import worked
from qlog.intake.photos.taking import PhotoPlace, take_in
from qlog.intake.photos.work import LogWord, Work
from qlog.logbook.facts import Done, Photo, Reading, Start
from qlog.logbook.photos import originals
from qlog.logbook.store import Logbook
from tests.photo_scenes import photo

DAY = datetime(2026, 2, 14, tzinfo=UTC)


@pytest.fixture
def build(build_dir: Path) -> Build:
    return load(build_dir / "build.toml")


@pytest.fixture
def logbook(build_dir: Path):  # type: ignore[no-untyped-def]
    with Logbook(build_dir / "logbook.db") as opened:
        yield opened


@pytest.fixture
def read(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The names of the files that were read whole."""
    names: list[str] = []
    really = photo_file.read

    def counting(path: Path, *, salvage: bool = False) -> photo_file.PhotoFacts:
        names.append(path.name)
        return really(path, salvage=salvage)

    monkeypatch.setattr(photo_file, "read", counting)
    return names


def test_a_known_photo_is_not_read_again(
    build: Build, logbook: Logbook, tmp_path: Path, read: list[str]
) -> None:
    paths = [photo(tmp_path / "c" / f"{n}.jpg", f"10:0{n}", n) for n in range(3)]
    take_in(build, logbook, paths, PhotoPlace())
    assert sorted(read) == ["0.jpg", "1.jpg", "2.jpg"]
    read.clear()
    again = take_in(build, logbook, paths, PhotoPlace())
    assert read == []
    assert [t.new for t in again] == [False, False, False]
    assert [t.photo.name for t in again if t.photo] == ["0.jpg", "1.jpg", "2.jpg"]


def test_what_differs_in_time_size_name_or_bytes_is_read(
    build: Build, logbook: Logbook, tmp_path: Path, read: list[str]
) -> None:
    path = photo(tmp_path / "a.jpg", "10:00", 1)
    take_in(build, logbook, [path], PhotoPlace())
    status = path.stat()
    data = path.read_bytes()

    def reads() -> bool:
        read.clear()
        take_in(build, logbook, [path], PhotoPlace())
        return bool(read)

    assert not reads()
    os.utime(path, ns=(status.st_atime_ns, status.st_mtime_ns + 1_000_000))
    assert reads()
    # Another photo of the same name, size and time: only its bytes tell.
    other = bytearray(data)
    other[-40] ^= 1
    path.write_bytes(other)
    os.utime(path, ns=(status.st_atime_ns, status.st_mtime_ns))
    assert reads()
    path.write_bytes(data)
    os.utime(path, ns=(status.st_atime_ns, status.st_mtime_ns))
    assert not reads()
    moved = path.rename(tmp_path / "b.jpg")
    take_in(build, logbook, [moved], PhotoPlace())
    assert read == ["b.jpg"]


def test_a_photo_lost_from_the_vault_is_put_back(
    build: Build, logbook: Logbook, tmp_path: Path
) -> None:
    path = photo(tmp_path / "a.jpg", "10:00", 1)
    (taken,) = take_in(build, logbook, [path], PhotoPlace())
    assert taken.photo is not None
    kept = originals.find(build.folder, taken.photo.sha256)
    assert kept is not None
    kept.unlink()
    (again,) = take_in(build, logbook, [path], PhotoPlace())
    assert not again.new
    assert kept.read_bytes() == path.read_bytes()


def test_the_vault_s_copy_has_the_time_of_the_original(
    build: Build, logbook: Logbook, tmp_path: Path
) -> None:
    path = photo(tmp_path / "a.jpg", "10:00", 1)
    os.utime(path, ns=(10**18, 10**18 + 123_456_000))
    (taken,) = take_in(build, logbook, [path], PhotoPlace())
    assert taken.photo is not None
    kept = originals.find(build.folder, taken.photo.sha256)
    assert kept is not None
    assert kept.stat().st_mtime_ns == 10**18 + 123_456_000


def test_photos_are_in_the_vault_before_the_logbook_names_them_and_told_after(
    build: Build, logbook: Logbook, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    order: list[str] = []
    append = logbook.append

    def watched(fact, **words):  # type: ignore[no-untyped-def]
        if isinstance(fact, Photo):
            assert originals.find(build.folder, fact.sha256) is not None
            order.append(f"entered {fact.name}")
        return append(fact, **words)

    monkeypatch.setattr(logbook, "append", watched)
    paths = [photo(tmp_path / "c" / f"{n}.jpg", f"10:0{n}", n) for n in range(4)]

    def told(taken: photos.Taken) -> None:
        with Logbook(logbook.path) as other:  # durable: another connection sees it
            names = {e.fact.name for e in other.live(Photo)}
        assert taken.path.name in names
        order.append(f"told {taken.path.name}")

    take_in(build, logbook, paths, PhotoPlace(), report=told)
    assert [w for w in order if w.startswith("entered")] == [f"entered {n}.jpg" for n in range(4)]
    assert [w for w in order if w.startswith("told")] == [f"told {n}.jpg" for n in range(4)]


def at(hours: float) -> datetime:
    return DAY + timedelta(hours=hours)


def log(logbook: Logbook, fact: Done | Start | Reading, hours: float) -> None:
    logbook.append(fact, made=at(hours).isoformat())


def test_the_log_speaks_for_an_hour_before_its_entries_and_half_of_one_after(
    logbook: Logbook,
) -> None:
    log(logbook, Done("cup", 10, 1), 10)
    log(logbook, Done("cup", 10, 2), 11)
    log(logbook, Done("cup", 10, 3), 15)
    work = Work(worked(logbook))
    said = {
        hours: bool(work.at(at(hours)).places) for hours in (8.9, 9, 11.5, 11.6, 13.9, 14, 15.6)
    }
    assert [hours for hours, yes in said.items() if yes] == [9, 11.5, 14]
    # Between two entries near by it is sure, before the first one and after the last it is not.
    assert [work.at(at(h)).firm for h in (9.5, 10.2, 10.5, 11.2)] == [False, True, False, False]


def test_between_two_operations_the_log_says_neither(logbook: Logbook) -> None:
    log(logbook, Done("cup", 10, 1), 10)
    log(logbook, Done("ring", 10, 1), 10.25)
    word = Work(worked(logbook)).at(at(10.1))
    assert word == LogWord(frozenset({("cup", 10), ("ring", 10)}), None, False)


def test_a_start_says_where_work_begins_and_what_came_before_has_ended(logbook: Logbook) -> None:
    log(logbook, Start("cup", 10), 8.5)
    log(logbook, Done("cup", 10, 1), 10)
    log(logbook, Start("cup", 20), 10.3)
    work = Work(worked(logbook))
    assert work.at(at(8.4)).places == frozenset()
    assert work.at(at(10.2)) == LogWord(frozenset({("cup", 10)}), None, True)
    assert work.at(at(10.4)) == LogWord(frozenset({("cup", 20)}), None, True)
    assert work.at(at(22)) == LogWord(frozenset({("cup", 20)}), None, False)
    assert work.at(at(22.4)).places == frozenset()


def test_readings_of_one_piece_on_both_sides_name_it(logbook: Logbook) -> None:
    for hours in (12, 12.2):
        log(logbook, Reading("cup", 20, f"bore{hours}", 2, "22.01", "22.01", "mm"), hours)
    assert Work(worked(logbook)).at(at(12.1)) == LogWord(frozenset({("cup", 20)}), 2, True)
