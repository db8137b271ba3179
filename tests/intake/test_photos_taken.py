"""Taking photos in: known without being read, placed by what the logbook knows of the work."""

from __future__ import annotations

import os
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from qlog.drawing.build_file.load import load
from qlog.drawing.plan import Build
from qlog.intake.photos import facts as photo_facts
from qlog.intake.photos import taking as photos
from qlog.intake.photos.place import Stretch
from qlog.intake.photos.proposals import stretches
from qlog.intake.photos.taking import Place, take_in
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
    really = photo_facts.read

    def counting(path: Path, *, salvage: bool = False) -> photo_facts.PhotoFacts:
        names.append(path.name)
        return really(path, salvage=salvage)

    monkeypatch.setattr(photo_facts, "read", counting)
    return names


def test_a_known_photo_is_not_read_again(
    build: Build, logbook: Logbook, tmp_path: Path, read: list[str]
) -> None:
    paths = [photo(tmp_path / "c" / f"{n}.jpg", f"10:0{n}", n) for n in range(3)]
    take_in(build, logbook, paths, Place())
    assert sorted(read) == ["0.jpg", "1.jpg", "2.jpg"]
    read.clear()
    again = take_in(build, logbook, paths, Place())
    assert read == []
    assert [t.new for t in again] == [False, False, False]
    assert [t.photo.name for t in again if t.photo] == ["0.jpg", "1.jpg", "2.jpg"]


def test_what_differs_in_time_size_name_or_bytes_is_read(
    build: Build, logbook: Logbook, tmp_path: Path, read: list[str]
) -> None:
    path = photo(tmp_path / "a.jpg", "10:00", 1)
    take_in(build, logbook, [path], Place())
    status = path.stat()
    data = path.read_bytes()

    def reads() -> bool:
        read.clear()
        take_in(build, logbook, [path], Place())
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
    take_in(build, logbook, [moved], Place())
    assert read == ["b.jpg"]


def test_a_photo_lost_from_the_vault_is_put_back(
    build: Build, logbook: Logbook, tmp_path: Path
) -> None:
    path = photo(tmp_path / "a.jpg", "10:00", 1)
    (taken,) = take_in(build, logbook, [path], Place())
    assert taken.photo is not None
    kept = originals.find(build.folder, taken.photo.sha256)
    assert kept is not None
    kept.unlink()
    (again,) = take_in(build, logbook, [path], Place())
    assert not again.new
    assert kept.read_bytes() == path.read_bytes()


def test_the_vault_s_copy_has_the_time_of_the_original(
    build: Build, logbook: Logbook, tmp_path: Path
) -> None:
    path = photo(tmp_path / "a.jpg", "10:00", 1)
    os.utime(path, ns=(10**18, 10**18 + 123_456_000))
    (taken,) = take_in(build, logbook, [path], Place())
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

    take_in(build, logbook, paths, Place(), report=told)
    assert [w for w in order if w.startswith("entered")] == [f"entered {n}.jpg" for n in range(4)]
    assert [w for w in order if w.startswith("told")] == [f"told {n}.jpg" for n in range(4)]


def at(hours: float) -> datetime:
    return DAY + timedelta(hours=hours)


def log(logbook: Logbook, fact: Done | Start | Reading, hours: float) -> None:
    logbook.append(fact, made=at(hours).isoformat())


def test_stretches_reach_back_an_hour_and_on_by_half_of_one(logbook: Logbook) -> None:
    log(logbook, Done("cup", 10, 1), 10)
    log(logbook, Done("cup", 10, 2), 11)
    log(logbook, Done("cup", 10, 3), 15)
    assert stretches(logbook) == [
        Stretch("cup", 10, at(9), at(11.5)),
        Stretch("cup", 10, at(14), at(15.5), 3),
    ]


def test_stretches_end_where_another_operation_was_entered(logbook: Logbook) -> None:
    log(logbook, Done("cup", 10, 1), 10)
    log(logbook, Done("cup", 10, 2), 10)
    log(logbook, Done("ring", 10, 1), 10.25)
    log(logbook, Done("ring", 10, 2), 10.25)
    assert stretches(logbook) == [
        Stretch("cup", 10, at(9), at(10.25)),
        Stretch("ring", 10, at(10), at(10.75)),
    ]


def test_a_stretch_that_was_begun_starts_there(logbook: Logbook) -> None:
    log(logbook, Start("cup", 10), 8.5)
    log(logbook, Done("cup", 10, 1), 10)
    log(logbook, Done("cup", 10, 2), 10)
    assert stretches(logbook) == [Stretch("cup", 10, at(8.5), at(10.5))]
    log(logbook, Start("cup", 20), 12)
    assert stretches(logbook)[1] == Stretch("cup", 20, at(12), at(24))
    log(logbook, Done("cup", 20, 1), 17)
    log(logbook, Done("cup", 20, 2), 20)
    assert stretches(logbook)[1:] == [
        Stretch("cup", 20, at(12), at(17.5), 1),
        Stretch("cup", 20, at(19), at(20.5), 2),
    ]


def test_readings_are_work_as_well(logbook: Logbook) -> None:
    log(logbook, Reading("cup", 20, "bore", 2, "22.01", "22.01", "mm"), 12)
    assert stretches(logbook) == [Stretch("cup", 20, at(11), at(12.5), 2)]
