"""A card full of oddities through the command line: a word on each, no crash, bounded memory."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.conftest import Ran
from tests.odd_photos import DATA, cut, exif, jpeg, odd_modes, png_bomb
from tests.photo_scenes import photo

Run = Callable[..., Ran]

#: Runs the command line and reports its own peak memory, in KiB, as the last line on stderr.
_MEASURED = """
import resource, sys
from qlog.cli.main import main
try:
    main(sys.argv[1:])
except SystemExit as stop:
    print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss, file=sys.stderr)
    raise
"""


def odd_card(folder: Path) -> Path:
    """One of everything; the names say what it is."""
    folder.mkdir()
    for name, data in odd_modes().items():
        (folder / name).write_bytes(data)
    for real in (
        "camera_5.jpg", "phone_turned.heic", "phone_two_pictures.mpo", "heather.webp",
        "grey16.tif", "phone_empty_gps.jpg",
    ):  # fmt: skip
        (folder / f"real_{real}").write_bytes((DATA / real).read_bytes())
    whole = photo(folder / "whole.jpg", "10:00", 1)
    photo(folder / "deeper" / "still" / "deep.jpg", "10:01", 2)
    jpeg(folder / "zeros.jpg", exif(original="0000:00:00 00:00:00", make="A"))
    jpeg(folder / "epoch.jpg", exif(original="1970:01:01 00:00:00", make="B"))
    jpeg(folder / "undated.jpg")
    jpeg(folder / "maker.jpg", exif(maker_note=b"\xff\xfe" * 3000, make="C"))
    (folder / "really.png").write_bytes(photo(folder.parent / "x.jpg", "10:02", 3).read_bytes())
    cut(whole, folder / "bad_cut.jpg", 0.5)
    cut(folder / "real_phone_turned.heic", folder / "bad_cut.heic", 0.5)
    (folder / "bad_empty.jpg").write_bytes(b"")
    (folder / "bad_text.jpg").write_text("not a picture", encoding="utf-8")
    (folder / "bad_header.jpg").write_bytes(b"\xff\xd8\xff\xe0" + bytes(200))
    png_bomb(folder / "bad_bomb.png")
    (folder / "film.mp4").write_bytes(b"\0\0\0\x18ftypisom" + bytes(100))
    (folder / "raw.dng").write_bytes(b"II*\0" + bytes(100))
    (folder / "notes.txt").write_text("thoughts", encoding="utf-8")
    (folder / ".hidden.jpg").write_bytes(whole.read_bytes())
    return folder


@pytest.mark.skipif(sys.platform == "win32", reason="no resource module, links need rights there")
def test_one_of_everything(tmp_path: Path, build_dir: Path) -> None:
    folder = odd_card(tmp_path / "card")
    (folder / "deeper" / "round").symlink_to(folder, target_is_directory=True)
    (folder / "bad_link.jpg").symlink_to(folder / "nowhere.jpg")
    os.mkfifo(folder / "bad_pipe.jpg")
    ran = subprocess.run(
        [sys.executable, "-c", _MEASURED, "--build", str(build_dir), "photo", "add", str(folder)],
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=120,
        check=False,
    )
    *complaints, summary, peak = ran.stderr.splitlines()
    assert ran.returncode == 1, ran.stderr
    assert "Traceback" not in ran.stderr
    assert int(peak) < 1024 * 1024  # KiB: 1 GiB
    bad = sorted(p.name for p in folder.iterdir() if p.name.startswith("bad_"))
    assert len(complaints) == len(bad)
    for name in bad:
        (line,) = [c for c in complaints if name in c]
        assert line.startswith("qlog: ")
        assert "; " in line  # what is wrong; what to do
    good = {p.name for p in folder.rglob("*") if p.is_file()} - set(bad)
    good -= {"film.mp4", "raw.dng", "notes.txt", ".hidden.jpg"}
    said = {
        line.partition(": taken in")[0] for line in ran.stdout.splitlines() if "taken in" in line
    }
    assert good <= said | {"animated.gif", "animated.webp"}
    assert summary == f"{len(bad)} of {len(good) + len(bad)} could not be taken in"
    for why in ("hidden", "no picture", "raw data", "looked through already"):
        assert any(line.startswith("left out ") and why in line for line in ran.stdout.splitlines())
    lines = {line.partition(": ")[0]: line for line in ran.stdout.splitlines()}
    assert "though it is called" in lines["really.png"]
    for name in ("zeros.jpg", "epoch.jpg", "undated.jpg"):
        assert "by the file's date only" in lines[name]
    # Nothing half entered, and the originals are byte for byte in the originals.
    from tests.conftest import run_qlog

    assert "all sound" in run_qlog("--build", str(build_dir), "verify").out


def test_a_guessed_date_never_proposes_a_place(tmp_path: Path, run: Run) -> None:
    path = jpeg(tmp_path / "undated.jpg")
    run("done", "cup", "10")  # just now, when the file was made as well
    run("photo", "add", str(path))
    (row,) = json.loads(run("photo", "unplaced", "--json").out)["photos"]
    assert (row["proposal"], row["taken_certain"], row["time_from"]) == (None, False, "file date")
    assert "(file's date?)" in run("photo", "unplaced").out


def test_what_is_left_of_a_cut_off_photo_is_taken_in_when_asked_for_and_marked(
    tmp_path: Path, run: Run
) -> None:
    whole = photo(tmp_path / "whole.jpg", "10:00", 1)
    half = cut(whole, tmp_path / "half.jpg", 0.6)
    ran = run("photo", "add", str(half))
    assert (ran.status, json.loads(run("photo", "list", "--json").out)["photos"]) == (1, [])
    assert "is cut off" in ran.err
    assert "--salvage" in ran.err
    ran = run("photo", "add", str(half), "--salvage", "-p", "cup", "-o", "10")
    assert ran.status == 0
    assert "cut off, taken in for what is left of it" in ran.out
    (row,) = json.loads(run("photo", "list", "--json").out)["photos"]
    assert (row["salvaged"], row["part"]) == (True, "cup")
    assert "cut off" in run("photo", "list").out
    sheet = tmp_path / "sheet.html"
    run("photo", "list", "--sheet", str(sheet))
    assert sheet.read_text("utf-8").count("data:image/jpeg") == 1


def test_a_file_that_may_not_be_read_gets_a_line_and_the_rest_goes_in(
    tmp_path: Path, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    good = photo(tmp_path / "d" / "good.jpg", "10:00", 1)
    photo(tmp_path / "d" / "locked.jpg", "10:01", 2)
    opened = Path.open

    def refusing(self: Path, *args: object, **words: object) -> object:
        # The tests may run as root, whom no mode of a file keeps out.
        if self.name == "locked.jpg":
            raise PermissionError(13, "Permission denied", str(self))
        return opened(self, *args, **words)  # type: ignore[arg-type]

    monkeypatch.setattr(Path, "open", refusing)
    ran = run("photo", "add", str(good.parent))
    assert ran.status == 1
    assert "locked.jpg: may not be read; give yourself permission" in ran.err
    assert [r["name"] for r in json.loads(run("photo", "list", "--json").out)["photos"]] == [
        "good.jpg"
    ]


def test_a_full_disk_loses_only_what_was_not_acknowledged(
    tmp_path: Path, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    from qlog.logbook.photos import originals

    for n in range(3):
        photo(tmp_path / "d" / f"{n}.jpg", f"10:0{n}", n)
    kept = originals.keep

    def full(folder: Path, source: Path, sha256: str, *, entering: bool = False) -> Path:
        if source.name == "1.jpg":
            raise OSError(28, "No space left on device")
        return kept(folder, source, sha256, entering=entering)

    monkeypatch.setattr(originals, "keep", full)
    ran = run("photo", "add", str(tmp_path / "d"))
    assert ran.status == 1
    assert "1.jpg: cannot be kept (no space left on the disk)" in ran.err
    assert [r["name"] for r in json.loads(run("photo", "list", "--json").out)["photos"]] == [
        "0.jpg",
        "2.jpg",
    ]
    monkeypatch.undo()
    assert run("photo", "add", str(tmp_path / "d")).status == 0
