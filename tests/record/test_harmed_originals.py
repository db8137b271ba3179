"""A record whose originals are missing or harmed says so each time, with status 1."""

import shutil
from pathlib import Path

from qlog.logbook.photos import originals
from tests.conftest import run_qlog
from tests.demo_record import demo


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
