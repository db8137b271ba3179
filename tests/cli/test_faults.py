"""Disks that are full or may not be written, quotas, moved folders, clocks set back: a word each.

Provoked by the system itself; what needs a mount is in tests/benchmarks/full_disk.py.
"""

import errno
import os
import sys
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from qlog.logbook import store
from qlog.logbook.facts import Note, Reading
from qlog.logbook.keeping.verify import verify
from qlog.logbook.log_file import LogbookError
from qlog.logbook.store import Logbook
from tests.conftest import Ran, run_qlog

posix = pytest.mark.skipif(sys.platform == "win32", reason="rights and limits are POSIX's here")

#: What writes into the build, and what none of it may be when it cannot.
WRITING = (
    ("read", "cup", "20", "bore", "1", "22.01"),
    ("done", "cup", "20"),
    ("note", "cup", "slower"),
    ("backup",),
    ("record",),
    ("sheet", "cup", "10"),
)


@pytest.fixture
def begun(build_dir: Path, tmp_path: Path) -> Path:
    assert run_qlog("--build", str(build_dir), "done", "cup", "10").status == 0
    for words in WRITING:  # loads what they load: a child without rights could not
        import shutil

        other = shutil.copytree(build_dir, tmp_path / "warm")
        run_qlog("--build", str(other), *words)
        shutil.rmtree(other)
    return build_dir


def as_child(words: tuple[str, ...], build: Path, out: Path, first: Callable[[], None]) -> Ran:
    """A command in a forked child that does something to itself first."""
    pid = os.fork()
    if pid == 0:
        status = 70
        try:
            handle = os.open(out, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
            os.dup2(handle, 1)
            os.dup2(handle, 2)
            sys.stdout = os.fdopen(1, "w", encoding="utf-8", buffering=1, closefd=False)
            sys.stderr = os.fdopen(2, "w", encoding="utf-8", buffering=1, closefd=False)
            first()
            from qlog.cli.main import main

            try:
                main(["--build", str(build), *words])
            except SystemExit as stop:
                status = stop.code if isinstance(stop.code, int) else 1
        except BaseException:
            import traceback

            traceback.print_exc()
        finally:
            os._exit(status)
    status = os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1])
    return Ran(status, "", out.read_text(encoding="utf-8"))


def _nobody() -> None:
    """Rights count for the owner of all files only when that is not root."""
    if os.geteuid() == 0:
        os.setgroups([])
        os.setgid(65534)
        os.setuid(65534)


@pytest.fixture
def read_only(begun: Path) -> Iterator[Path]:
    # What root owns, nobody may read; the folders above belong to the tests alone otherwise.
    above = [p for p in begun.parents if p.owner() == begun.owner() and p != Path("/")]
    modes = [(p, p.stat().st_mode) for p in above]
    for path, mode in modes:
        path.chmod(mode | 0o055)
    (begun / "logbook.db").chmod(0o444)
    begun.chmod(0o555)
    yield begun
    begun.chmod(0o755)
    for path, mode in modes:
        path.chmod(mode)


@posix
@pytest.mark.parametrize("words", WRITING, ids=lambda w: w[0])
def test_a_build_that_may_not_be_written(
    read_only: Path, tmp_path: Path, words: tuple[str, ...]
) -> None:
    before = (read_only / "logbook.db").read_bytes()
    ran = as_child(words, read_only, tmp_path / "out", _nobody)
    assert ran.status == 2, ran
    assert "Traceback" not in ran.err
    assert "may not be" in ran.err or "ermission denied" in ran.err, ran.err
    assert "restore" not in ran.err
    assert (read_only / "logbook.db").read_bytes() == before


@posix
@pytest.mark.parametrize("words", WRITING, ids=lambda w: w[0])
def test_a_quota_that_is_used_up(begun: Path, tmp_path: Path, words: tuple[str, ...]) -> None:
    import resource

    def quota() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (512, 512))

    # What the child says goes into a file as well: give it one that has room.
    ran = as_child(words, begun, tmp_path / "out", quota)
    assert ran.status == 2, ran
    assert "Traceback" not in ran.err
    assert verify(begun, begun / "logbook.db").damage == ()
    assert not [p.name for p in begun.rglob("*.part")]
    again = run_qlog("--build", str(begun), *words)
    assert again.status in (0, 1), again
    assert verify(begun, begun / "logbook.db").damage == ()


def test_a_folder_moved_while_a_sitting_is_open(build_dir: Path, tmp_path: Path) -> None:
    if sys.platform == "win32":
        with Logbook(build_dir / "logbook.db"), pytest.raises(OSError):
            build_dir.rename(tmp_path / "elsewhere")
        return
    with Logbook(build_dir / "logbook.db") as logbook:
        logbook.append(Note("cup", None, None, "before"))
        build_dir.rename(tmp_path / "elsewhere")
        with pytest.raises(LogbookError, match=r"moved or replaced.*begin again"):
            logbook.append(Note("cup", None, None, "after"))
    with Logbook(tmp_path / "elsewhere" / "logbook.db") as logbook:
        assert [e.fact.text for e in logbook.live(Note)] == ["before"]
        logbook.append(Note("cup", None, None, "after"))
    found = verify(tmp_path / "elsewhere", tmp_path / "elsewhere" / "logbook.db")
    assert found.damage == ()


@posix
def test_a_log_put_in_its_place_by_a_synchronising_program(build_dir: Path) -> None:
    import shutil

    path = build_dir / "logbook.db"
    older = shutil.copyfile(path, build_dir / "older.db")
    with Logbook(path) as logbook:
        logbook.append(Note("cup", None, None, "before"))
        Path(older).replace(path)
        with pytest.raises(LogbookError, match="moved or replaced"):
            logbook.append(Note("cup", None, None, "after"))
    assert verify(build_dir, path).damage == ()


def test_a_clock_set_back(build_dir: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    now = datetime(2026, 3, 1, 12, tzinfo=UTC)
    for number, hours in enumerate((0, -30, 24 * 365 * -20, 1), start=1):
        moment = (now + timedelta(hours=hours)).isoformat(timespec="microseconds")
        monkeypatch.setattr(store, "now_utc", lambda moment=moment: moment)
        ran = run_qlog("--build", str(build_dir), "read", "cup", "20", "bore", str(number), "22.01")
        assert ran.status in (0, 1), ran
    monkeypatch.undo()
    with Logbook(build_dir / "logbook.db") as logbook:
        assert [e.fact.piece for e in logbook.live(Reading)] == [1, 2, 3, 4]
    assert verify(build_dir, build_dir / "logbook.db").damage == ()
    for words in (("status",), ("spread",), ("drift",), ("record",), ("backup",)):
        assert run_qlog("--build", str(build_dir), *words).status in (0, 1), words


@posix
def test_the_disk_s_own_error_is_not_called_a_damaged_log(build_dir: Path, tmp_path: Path) -> None:
    """A log of which no byte can be read for want of a right, and a folder in its place."""
    (build_dir / "logbook.db").unlink()
    (build_dir / "logbook.db").mkdir()
    ran = run_qlog("--build", str(build_dir), "status")
    assert (ran.status, "restore" in ran.err) == (2, False), ran


@posix
@pytest.mark.parametrize(
    "words", [("backup", "{aside}"), ("backup",), ("record",), ("sheet", "cup", "10")], ids=str
)
def test_a_disk_that_fails_while_it_writes(
    build_dir: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...]
) -> None:
    """The disk's own error where a file is synced; tests/benchmarks/io_errors.py has real ones."""
    aside = tmp_path / "aside"
    words = tuple(w.format(aside=aside) for w in words)

    def fails(_: int) -> None:
        raise OSError(errno.EIO, os.strerror(errno.EIO))

    with monkeypatch.context() as broken:
        broken.setattr(os, "fsync", fails)
        ran = run_qlog("--build", str(build_dir), *words)
    assert (ran.status, "Traceback" in ran.err) == (2, False), ran
    assert "the disk could not be read or written" in ran.err
    assert not [p.name for p in (*build_dir.rglob("*"), *aside.rglob("*")) if ".part" in p.name]
    assert verify(build_dir, build_dir / "logbook.db").damage == ()
    assert run_qlog("--build", str(build_dir), *words).status in (0, 1)
