"""A backup takes everything, proves what it wrote, and makes the same build again."""

import hashlib
import os
import shutil
import threading
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from qlog.intake.files.mapping import FILE_NAME as MAPPING
from qlog.intake.files.mapping import MappingError, load
from qlog.logbook.facts import Done, Note, Photo
from qlog.logbook.keeping.backup import back_up, last_backup, unsaved_since
from qlog.logbook.keeping.restore import restore
from qlog.logbook.keeping.verify import verify
from qlog.logbook.log_file import LogbookError
from qlog.logbook.photos import originals
from qlog.logbook.store import Logbook, create
from tests.conftest import Ran


def photo(folder: Path, text: str) -> str:
    source = folder.parent / f"{text}.jpg"
    source.write_bytes(text.encode() * 1000)
    sha = originals.digest(source)
    originals.keep(folder, source, sha)
    with Logbook(folder / "logbook.db") as log:
        log.append(Photo(sha, source.name, source.stat().st_size, "JPEG", 1, 1))
    return sha


@pytest.fixture
def build(build_dir: Path) -> Path:
    photo(build_dir, "first")
    (build_dir / "drawings").mkdir()
    (build_dir / "drawings" / "cup.svg").write_text("<svg/>", encoding="utf-8")
    (build_dir / "record" / "maker").mkdir(parents=True)
    (build_dir / "record" / "maker" / "index.html").write_text("built", encoding="utf-8")
    return build_dir


def tree(folder: Path) -> dict[str, str]:
    return {
        p.relative_to(folder).as_posix(): hashlib.sha256(p.read_bytes()).hexdigest()
        for p in folder.rglob("*")
        if p.is_file() and p.name not in ("backup.json", "last.json")
    }


def test_a_backup_takes_all_but_the_record_and_only_what_is_new(
    build: Path, tmp_path: Path
) -> None:
    dest = tmp_path / "stick" / "build"
    first = back_up(build, dest)
    assert (first.photos, first.new, first.damage) == (1, 1, ())
    assert {"build.toml", "logbook.db", "drawings/cup.svg"} < set(tree(dest))
    assert not (dest / "record").exists()
    photo(build, "second")
    second = back_up(build, dest)
    assert (second.photos, second.new) == (2, 1)
    with Logbook(build / "logbook.db") as log:
        assert second.head == log.head()
    last = last_backup(build)
    assert last is not None and last.head == second.head and last.where == str(dest.resolve())


def test_what_is_restored_is_the_same_build(build: Path, tmp_path: Path) -> None:
    back_up(build, tmp_path / "stick")
    before = tree(tmp_path / "stick")
    found, said = restore(tmp_path / "stick", tmp_path / "again")
    assert (found.damage, said) == ((), "")
    assert tree(tmp_path / "again") == before == tree(tmp_path / "stick")
    with Logbook(build / "logbook.db") as here, Logbook(tmp_path / "again/logbook.db") as there:
        assert here.head() == there.head() == found.head
        there.append(Done("cup", 10, 1))


def test_a_journal_left_beside_is_not_played_into_the_restored_log(
    build: Path, tmp_path: Path
) -> None:
    back_up(build, tmp_path / "stick")
    again = tmp_path / "again"
    again.mkdir()
    # A journal of another log that was killed at work: its pages would be rolled back into ours.
    other = tmp_path / "other.db"
    create(other)
    with Logbook(other) as log:
        for n in range(200):
            log.append(Note("cup", None, n, "x" * 500))
        db = log._db
        db.execute("PRAGMA cache_size = 2")
        db.execute("BEGIN IMMEDIATE")
        db.executemany(
            "INSERT INTO revision VALUES (?, 'now', ?)",
            [(f"{n:064d}", "y" * 3000) for n in range(300)],
        )
        shutil.copy(f"{other}-journal", again / "logbook.db-journal")
        db.execute("ROLLBACK")
    assert (again / "logbook.db-journal").stat().st_size > 0
    found, _ = restore(tmp_path / "stick", again)
    assert found.damage == ()
    assert (again / "left-over-logbook.db-journal").exists()
    assert verify(again, again / "logbook.db").head == found.head


@pytest.mark.parametrize("name", ["logbook.db", "something.txt"])
def test_nothing_is_restored_over_anything(build: Path, tmp_path: Path, name: str) -> None:
    back_up(build, tmp_path / "stick")
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / name).write_text("mine", encoding="utf-8")
    with pytest.raises(LogbookError, match=r"never written over|holds other things"):
        restore(tmp_path / "stick", tmp_path / "full")
    assert tree(tmp_path / "full") == {name: hashlib.sha256(b"mine").hexdigest()}


def test_a_damaged_log_replaces_no_earlier_backup(build: Path, tmp_path: Path) -> None:
    back_up(build, tmp_path / "stick")
    before = tree(tmp_path / "stick")
    raw = bytearray((build / "logbook.db").read_bytes())
    at = raw.rindex(b"first.jpg")
    raw[at] = ord("F")
    (build / "logbook.db").write_bytes(raw)
    with pytest.raises(LogbookError, match="the earlier backup was left as it is"):
        back_up(build, tmp_path / "stick")
    assert tree(tmp_path / "stick") == before


def test_the_backup_of_another_build_is_left_alone(build: Path, tmp_path: Path) -> None:
    back_up(build, tmp_path / "stick")
    other = tmp_path / "other"
    other.mkdir()
    create(other / "logbook.db")
    (other / "build.toml").write_text("", encoding="utf-8")
    with pytest.raises(LogbookError, match="entries that this logbook does not have"):
        back_up(other, tmp_path / "stick")
    with pytest.raises(LogbookError, match="holds other things"):
        back_up(build, other)
    with pytest.raises(LogbookError, match="lies in the build itself"):
        back_up(build, build / "backup" / "all")


def test_a_missing_or_harmed_original_is_named_and_the_rest_is_taken(
    build: Path, tmp_path: Path
) -> None:
    sha = photo(build, "second")
    found = originals.find(build, sha)
    assert found is not None
    found.chmod(0o644)
    found.write_bytes(b"other")
    third = photo(build, "third")
    gone = originals.find(build, third)
    assert gone is not None
    gone.unlink()
    made = back_up(build, tmp_path / "stick")
    assert (made.photos, len(made.damage)) == (1, 2)
    restored, _ = restore(tmp_path / "stick", tmp_path / "again")
    assert len(restored.damage) == 2


def test_backups_at_the_same_time_wait_for_each_other(build: Path, tmp_path: Path) -> None:
    for n in range(5):
        photo(build, f"photo {n}")
    done: list[int] = []

    def one() -> None:
        done.append(back_up(build, tmp_path / "stick").photos)

    threads = [threading.Thread(target=one) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert done == [6] * 4
    assert verify(tmp_path / "stick", tmp_path / "stick/logbook.db").damage == ()
    assert [p.name for p in (tmp_path / "stick").rglob(".*")] == []


def test_status_reminds_after_a_week_of_work(build: Path, tmp_path: Path) -> None:
    log = build / "logbook.db"
    later = datetime.now(UTC) + timedelta(days=8, hours=1)
    assert unsaved_since(build, log) is None
    assert unsaved_since(build, log, later) == 8
    back_up(build, tmp_path / "stick")
    assert unsaved_since(build, log, later) is None, "nothing was entered since"
    photo(build, "second")
    assert unsaved_since(build, log, later) == 8


def test_a_restoring_that_was_killed_after_its_last_step_leaves_nothing(
    build: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The log was there already: the next restore refuses it and takes the mark away."""
    back_up(build, tmp_path / "kept")

    def killed(_: Path) -> str:
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setattr("qlog.logbook.keeping.restore.check_version", killed)
        with pytest.raises(KeyboardInterrupt):
            restore(tmp_path / "kept", tmp_path / "again")
    assert (tmp_path / "again" / ".restoring").exists()
    with pytest.raises(LogbookError, match="is there"):
        restore(tmp_path / "kept", tmp_path / "again")
    assert not (tmp_path / "again" / ".restoring").exists()
    assert verify(tmp_path / "again", tmp_path / "again" / "logbook.db").damage == ()


def test_backup_and_restore_from_the_command_line(
    build: Path, run: Callable[..., Ran], tmp_path: Path
) -> None:
    ran = run("backup", str(tmp_path / "stick"))
    assert (ran.status, ran.err) == (0, "")
    assert "1 entry, 1 photo (1 new), read back and sound" in ran.out
    assert "head: entry 1, sum " in ran.out
    assert "the one before" in run("backup", str(tmp_path / "stick")).out
    again = run("restore", str(tmp_path / "stick"), str(tmp_path / "again"))
    assert (again.status, again.err) == (0, "")
    assert "1 entry, 1 photo: all sound" in again.out
    single = next((build / "backup").glob("*.db"), None)
    assert single is None
    run("backup")
    single = next((build / "backup").glob("*.db"))
    alone = run("restore", str(single), str(tmp_path / "alone"))
    assert alone.status == 1 and "is missing" in alone.err, "a log alone has no photos"


@pytest.mark.skipif(os.name == "nt" or os.geteuid() != 0, reason="needs another user")
def test_a_place_that_may_not_be_written_says_so(build: Path, tmp_path: Path) -> None:
    pid = os.fork()
    if pid == 0:
        try:
            os.setuid(65534)
            back_up(build, Path("/root/qlog-backup"))
        except BaseException as error:
            os._exit(0 if isinstance(error, (OSError, LogbookError)) else 3)
        os._exit(4)
    assert os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]) == 0


def test_a_great_file_is_copied_in_pieces(
    build: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(originals, "CHUNK", 1000)
    (build / "drawings" / "great.bin").write_bytes(bytes(range(256)) * 40)
    monkeypatch.setattr(Path, "read_bytes", None)  # what would take all of it at once
    back_up(build, tmp_path / "backup")
    restore(tmp_path / "backup", tmp_path / "again")
    monkeypatch.undo()
    assert (tmp_path / "again" / "drawings" / "great.bin").read_bytes() == bytes(range(256)) * 40


@pytest.mark.skipif(os.name == "nt", reason="there are no pipes of that kind")
def test_pipes_in_the_place_of_what_is_read_are_not_waited_for(build: Path) -> None:
    (build / "backup").mkdir(exist_ok=True)
    os.mkfifo(build / "backup" / "last.json")
    assert last_backup(build) is None
    os.mkfifo(build / MAPPING)
    with pytest.raises(MappingError, match="no plain file"):
        load(build)
    sha = next(p.stem for p in (build / "photos").glob("*/*"))
    original = originals.find(build, sha)
    assert original is not None
    original.unlink()
    os.mkfifo(original)
    assert originals.find(build, sha) is None
