"""What a killed process left among the originals is gone after the next that takes photos in."""

import hashlib
import os
import subprocess
import sys
from pathlib import Path

import pytest

from qlog.logbook.facts import Photo
from qlog.logbook.photos import originals
from qlog.logbook.store import Logbook, create

BYTES = b"a photo" * 1000
SHA = hashlib.sha256(BYTES).hexdigest()

KEEP = """\
import os, sys
from pathlib import Path
from qlog.logbook.photos import originals
originals.keep(Path(sys.argv[1]), Path(sys.argv[2]), sys.argv[3], entering=True)
os._exit(9)  # as if killed: nothing is closed or tidied
"""


@pytest.fixture
def left(tmp_path: Path) -> Path:
    """A build in which a process was killed between the copy and the entry."""
    source = tmp_path / "a.jpg"
    source.write_bytes(BYTES)
    ran = subprocess.run(
        [sys.executable, "-c", KEEP, str(tmp_path / "build"), str(source), SHA], check=False
    )
    assert ran.returncode == 9
    assert originals.find(tmp_path / "build", SHA) is not None
    return tmp_path / "build"


def files(build: Path) -> list[str]:
    return sorted(p.name for p in (build / "photos").rglob("*") if p.is_file())


def test_an_original_that_was_never_entered_goes(left: Path) -> None:
    assert originals.tidy(left, lambda _: False) == 1
    assert files(left) == []


def test_an_original_that_was_entered_stays(left: Path) -> None:
    assert originals.tidy(left, {SHA}.__contains__) == 0
    assert files(left) == [f"{SHA}.jpg"]


@pytest.mark.parametrize("entered", [True, False])
def test_the_logbook_tells_which_one_was_entered(left: Path, entered: bool) -> None:
    create(left / "logbook.db")
    with Logbook(left / "logbook.db") as log:
        log.append(Photo(SHA if entered else "0" * 64, "a.jpg", len(BYTES), "JPEG", 4, 3))
        assert originals.tidy_by(log, left) == int(not entered)
    assert files(left) == ([f"{SHA}.jpg"] if entered else [])


def test_an_original_that_nobody_was_entering_stays(left: Path) -> None:
    for mark in (left / "photos").rglob(".entering-*"):
        mark.unlink()
    assert originals.tidy(left, lambda _: False) == 0
    assert files(left) == [f"{SHA}.jpg"], "photos that came before their log are the only copies"


def test_what_a_living_process_is_entering_stays(tmp_path: Path) -> None:
    source = tmp_path / "a.jpg"
    source.write_bytes(BYTES)
    originals.keep(tmp_path, source, SHA, entering=True)
    other = (
        "import sys; from pathlib import Path; from qlog.logbook.photos import originals;"
        "print(originals.tidy(Path(sys.argv[1]), lambda _: False))"
    )
    ran = subprocess.run(
        [sys.executable, "-c", other, str(tmp_path)], capture_output=True, text=True, check=True
    )
    assert ran.stdout == "0\n"
    assert originals.find(tmp_path, SHA) is not None
    originals.entered(tmp_path)
    assert files(tmp_path) == [f"{SHA}.jpg"]


def test_a_copy_that_was_never_finished_goes(tmp_path: Path) -> None:
    begun = tmp_path / "photos" / "ab" / ".incoming-x"
    begun.parent.mkdir(parents=True)
    begun.write_bytes(b"half")
    os.utime(begun)
    assert originals.tidy(tmp_path, lambda _: True) == 1
    assert not begun.exists()
