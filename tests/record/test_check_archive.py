"""The manifest, years later: with qlog, and by hand with what every system has."""

import shutil
import subprocess
import zipfile
from pathlib import Path

import pytest

from qlog.record.publish import manifest
from qlog.record.publish.archive import zip_again, zip_record
from qlog.record.publish.check import check
from tests.conftest import run_qlog
from tests.demo_record import Demo


@pytest.fixture
def record(shown: Demo, tmp_path: Path) -> Path:
    return Path(shutil.copytree(shown.edition("recipient"), tmp_path / "recipient"))


def test_a_fresh_record_is_whole(record: Path) -> None:
    found = check(record)
    assert found.whole
    assert found.strange == ()
    assert found.files == len(manifest.files_of(record)) - 1


@pytest.mark.skipif(shutil.which("sha256sum") is None, reason="no sha256sum on this system")
def test_sha256sum_reads_the_manifest(record: Path) -> None:
    ran = subprocess.run(
        ["sha256sum", "--check", "--strict", "--quiet", manifest.NAME],
        cwd=record,
        capture_output=True,
        text=True,
        check=False,
    )
    assert (ran.returncode, ran.stdout, ran.stderr) == (0, "", "")
    (record / "record.css").write_text("x", encoding="utf-8")
    ran = subprocess.run(
        ["sha256sum", "--check", manifest.NAME],
        cwd=record,
        capture_output=True,
        text=True,
        check=False,
    )
    assert ran.returncode == 1 and "record.css: FAILED" in ran.stdout


def test_a_changed_a_missing_and_a_strange_file_are_told_apart(record: Path) -> None:
    page = record / "story.html"
    page.write_bytes(page.read_bytes().replace(b"<h1>", b"<h1> ", 1))
    (record / "care.html").unlink()
    (record / "notes of mine.txt").write_text("kept here", encoding="utf-8")
    (record / "Thumbs.db").write_bytes(b"litter")
    found = check(record)
    assert not found.whole
    assert found.changed == ("story.html",)
    assert found.missing == ("care.html",)
    assert found.strange == ("notes of mine.txt",)


def test_a_folder_in_a_file_s_place_is_a_change(record: Path) -> None:
    (record / "care.html").unlink()
    (record / "care.html").mkdir()
    assert check(record).changed == ("care.html",)


@pytest.mark.parametrize(
    "text",
    [
        "no sum at all\n",
        f"{'a' * 64}  ../outside.html\n",
        f"{'a' * 64}  /etc/passwd\n",
        f"{'A' * 64}  index.html\n",
        f"{'a' * 64} index.html\n",
        f"{'a' * 64}  \n",
    ],
)
def test_a_manifest_that_is_none_is_refused(tmp_path: Path, text: str) -> None:
    (tmp_path / manifest.NAME).write_text(text, encoding="utf-8")
    with pytest.raises(manifest.ManifestError, match=r"MANIFEST\.sha256:1"):
        check(tmp_path)


def test_a_folder_without_a_manifest_is_refused(tmp_path: Path) -> None:
    with pytest.raises(manifest.ManifestError, match="cannot be read"):
        check(tmp_path)


def test_the_zip_holds_the_whole_record_and_is_the_same_each_time(record: Path) -> None:
    (record / "strange.txt").write_text("left out", encoding="utf-8")
    path = zip_record(record)
    first = path.read_bytes()
    assert path == record.with_name("recipient.zip")
    assert zip_record(record).read_bytes() == first
    with zipfile.ZipFile(path) as packed:
        assert packed.testzip() is None
        names = packed.namelist()
        assert names == sorted(names)
        assert "recipient/index.html" in names and "recipient/MANIFEST.sha256" in names
        assert "recipient/strange.txt" not in names
        packed.extractall(record.parent / "again")
    assert check(record.parent / "again" / "recipient").whole
    assert [p.name for p in record.parent.iterdir() if p.name.startswith(".")] == []


def test_a_zip_that_fails_leaves_the_last_one(record: Path) -> None:
    path = zip_record(record)
    before = path.read_bytes()
    (record / "care.html").unlink()
    with pytest.raises(FileNotFoundError):
        zip_record(record)
    assert path.read_bytes() == before
    assert [p.name for p in record.parent.iterdir() if p.name.startswith(".")] == []


def test_what_a_killed_packing_left_is_gone_after_the_next(record: Path) -> None:
    left = record.parent / f".{record.name}.zip-abc123.part"
    left.write_bytes(b"PK half")
    assert zip_record(record).is_file()
    assert not left.exists()


def test_checking_what_is_no_record_ends_in_a_word(build_dir: Path) -> None:
    ran = run_qlog("--build", str(build_dir), "record", "--check", str(build_dir))
    assert (ran.status, "name a folder that `qlog record` has made" in ran.err) == (2, True)


def test_a_zip_of_an_older_record_is_packed_anew_and_a_strangers_left_alone(record: Path) -> None:
    assert zip_again(record) is None
    path = zip_record(record)
    assert zip_again(record) is None
    (record / "care.html").unlink()  # withdrawn since
    kept = [s for s in manifest.read(record) if s.path != "care.html"]
    (record / manifest.NAME).unlink()
    manifest.write(record, kept)
    assert zip_again(record) == path
    with zipfile.ZipFile(path) as packed:
        assert "recipient/care.html" not in packed.namelist()
    path.write_bytes(b"mine")
    assert zip_again(record) is None
    assert path.read_bytes() == b"mine"
