"""`qlog photo add DIR`, killed at any instant: nothing half entered, nothing acknowledged lost.

`QLOG_KILLS=40 pytest tests/cli/test_photo_kill.py` kills it more often.
"""

from __future__ import annotations

import os
import random
import shutil
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

from qlog.logbook.keeping.verify import verify
from qlog.logbook.photos.originals import digest, find
from tests.conftest import run_qlog
from tests.photo_scenes import card, photo

KILLS = int(os.environ.get("QLOG_KILLS", "2"))
PHOTOS = 60


def many(folder: Path) -> Path:
    """A card, then photos that differ in a few bytes at their end: quickly made, all distinct."""
    photo(folder / "000.jpg", "10:00", 1, shows=card("cup", 10))
    data = photo(folder / "001.jpg", "10:01", 2).read_bytes()
    for n in range(2, PHOTOS):
        (folder / f"{n:03}.jpg").write_bytes(data + n.to_bytes(2, "big"))
    return folder


def started(build: Path, folder: Path, out: Path) -> subprocess.Popen[bytes]:
    run = "from qlog.cli.main import main; main()"
    with out.open("wb") as file:
        return subprocess.Popen(
            [sys.executable, "-c", run, "--build", str(build), "photo", "add", str(folder)],
            stdout=file,
            stderr=subprocess.DEVNULL,
        )


def begun(build: Path, process: subprocess.Popen[bytes]) -> None:
    """Wait until the first photo is on its way into the originals."""
    until = time.monotonic() + 60
    while not (build / "photos").exists() and process.poll() is None:
        assert time.monotonic() < until
        time.sleep(0.002)


def work_time(build_dir: Path, folder: Path, tmp_path: Path) -> float:
    """Seconds from there to the end, measured: the kills are spread over that time."""
    build = tmp_path / "whole"
    shutil.copytree(build_dir, build)
    process = started(build, folder, tmp_path / "out")
    begun(build, process)
    start = time.monotonic()
    assert process.wait() == 0
    return time.monotonic() - start


def entered(build: Path) -> dict[str, str]:
    db = sqlite3.connect(build / "logbook.db")
    try:
        return dict(db.execute("SELECT name, sha256 FROM photo"))
    finally:
        db.close()


def acknowledged(out: Path) -> set[str]:
    lines = out.read_bytes().split(b"\n")[:-1]
    return {line.decode().partition(":")[0] for line in lines if b": taken in" in line}


def test_killed_at_any_instant(build_dir: Path, tmp_path: Path) -> None:
    folder = many(tmp_path / "card")
    sums = {path.name: digest(path) for path in folder.iterdir()}
    rng = random.Random(20260214)
    whole = work_time(build_dir, folder, tmp_path)
    cut_short: list[int] = []
    for kill in range(KILLS):
        build = tmp_path / f"build{kill}"
        shutil.copytree(build_dir, build)
        out = tmp_path / f"out{kill}"
        process = started(build, folder, out)
        begun(build, process)
        time.sleep(rng.uniform(0, 1) * whole)
        process.kill()
        process.wait()
        told = acknowledged(out)
        there = entered(build)
        if len(there) < PHOTOS:
            cut_short.append(len(there))
        assert told <= set(there)
        for name, sha256 in there.items():
            assert sha256 == sums[name]
            kept = find(build, sha256)
            assert kept is not None
            assert digest(kept) == sha256
        assert verify(build, build / "logbook.db").damage == ()
        # The same command once more finishes the work, as if nothing had happened.
        again = run_qlog("--build", str(build), "photo", "add", str(folder))
        assert again.status == 0, again.err
        assert entered(build) == sums
        assert verify(build, build / "logbook.db").damage == ()
        db = sqlite3.connect(build / "logbook.db")
        placed = db.execute(
            "SELECT count(*) FROM placement p JOIN entry e ON e.id = p.entry "
            "WHERE part = 'cup' AND op = 10 AND how = 'slate' AND proposed "
            "AND NOT EXISTS (SELECT 1 FROM entry s WHERE s.supersedes = e.id)"
        ).fetchone()[0]
        db.close()
        assert placed == PHOTOS - 1
        shutil.rmtree(build)
    print(f"{len(cut_short)} of {KILLS} came before the end, at so many photos: {cut_short}")
    assert cut_short, "no kill came before the end: the test proved nothing"
