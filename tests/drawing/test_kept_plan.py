"""A plan kept from an earlier command is the plan that the file says, or it is not used."""

import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from qlog import worked_out
from qlog.drawing.build_file import kept
from qlog.drawing.build_file.load import load as read
from qlog.drawing.build_file.mistakes import PlanError
from tests.conftest import SMALL_PLAN, run_qlog

DEMO = Path(__file__).parents[2] / "demo"


@pytest.fixture
def cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("QLOG_CACHE", str(tmp_path / "cache"))
    return tmp_path / "cache"


@pytest.fixture
def only_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    """From here on no build.toml can be read anew."""

    def none(path: Path, *, lines: bool = False) -> None:
        raise AssertionError(f"{path} was read")

    monkeypatch.setattr("qlog.drawing.build_file.load.load", none)


def one_in(cache: Path) -> Path:
    (found,) = cache.glob("*.plan")
    return found


def small(folder: Path, text: str = SMALL_PLAN) -> Path:
    folder.mkdir(exist_ok=True)
    (folder / "build.toml").write_text(text, encoding="utf-8", newline="\n")
    return folder


@pytest.mark.parametrize("case", ["demo", "small", "with a mark in front"])
def test_a_kept_plan_is_the_one_that_was_read(
    cache: Path, tmp_path: Path, case: str, request: pytest.FixtureRequest
) -> None:
    folder = DEMO if case == "demo" else small(tmp_path / "a")
    if case == "with a mark in front":
        (folder / "build.toml").write_bytes(b"\xef\xbb\xbf" + SMALL_PLAN.encode())
    first = kept.load(folder)
    assert first == read(folder)
    request.getfixturevalue("only_kept")
    again = kept.load(folder)
    assert again == first
    assert repr(again) == repr(first)  # decimals with the same digits, not only as large
    assert again.folder == folder


def test_another_text_is_another_plan(cache: Path, tmp_path: Path) -> None:
    folder = small(tmp_path / "a")
    before = kept.load(folder)
    small(folder, SMALL_PLAN.replace("Two small parts", "Two smaller parts"))
    after = kept.load(folder)
    assert (before.title, after.title) == ("Two small parts", "Two smaller parts")
    assert len(list(cache.glob("*.plan"))) == 2


def test_the_same_text_in_another_folder_knows_its_folder(cache: Path, tmp_path: Path) -> None:
    kept.load(small(tmp_path / "a"))
    assert kept.load(small(tmp_path / "b")).folder == tmp_path / "b"
    assert len(list(cache.glob("*.plan"))) == 1


def test_a_plan_with_mistakes_is_not_kept(cache: Path, tmp_path: Path) -> None:
    folder = small(tmp_path / "a", SMALL_PLAN.replace("needed = 3", "needed = 0"))
    with pytest.raises(PlanError):
        kept.load(folder)
    assert not cache.exists()


def test_flipped_bytes_and_foreign_names_are_not_believed(cache: Path, tmp_path: Path) -> None:
    folder = small(tmp_path / "a")
    said = kept.load(folder)
    path = one_in(cache)
    sound = path.read_bytes()
    for place in range(0, len(sound), 7):
        spoilt = bytearray(sound)
        spoilt[place] ^= 1 << place % 8
        path.write_bytes(spoilt)
        assert kept.load(folder) == said
        assert path.read_bytes() == sound  # written anew
    # The kept plan of another file under this one's name.
    other = small(tmp_path / "b", SMALL_PLAN.replace("±.002", "±.2"))
    wider = kept.load(other)
    (theirs,) = (p for p in cache.glob("*.plan") if p != path)
    path.write_bytes(theirs.read_bytes())
    assert kept.load(folder) == said != wider


@pytest.mark.skipif(sys.platform == "win32", reason="rights are kept otherwise there")
def test_what_others_may_write_is_not_believed(
    cache: Path, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    folder = small(tmp_path / "a")
    kept.load(folder)
    one_in(cache).chmod(0o666)
    request.getfixturevalue("only_kept")
    with pytest.raises(AssertionError, match="was read"):
        kept.load(folder)


@pytest.mark.skipif(sys.platform == "win32", reason="rights are kept otherwise there")
def test_what_lies_where_others_may_write_is_not_believed(
    cache: Path, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    """They could put a link there to a file of the user's own, as it came with a build."""
    folder = small(tmp_path / "a")
    kept.load(folder)
    cache.chmod(0o777)
    request.getfixturevalue("only_kept")
    with pytest.raises(AssertionError, match="was read"):
        kept.load(folder)


def test_in_a_folder_of_the_users_own_nothing_else_is_deleted(cache: Path, tmp_path: Path) -> None:
    cache.mkdir(mode=0o700)
    others = [cache / name for name in ("garden.plan", "film.part", "garden.plan.part")]
    for path in others:
        path.write_text("not ours", encoding="utf-8")
        os.utime(path, (0, 0))
    for number in range(kept.KEPT + 1):
        kept.load(small(tmp_path / "a", SMALL_PLAN.replace("Two small parts", f"Build {number}")))
    assert all(path.is_file() for path in others)
    assert len(list(cache.iterdir())) == kept.KEPT + len(others)


def test_only_the_newest_are_kept(cache: Path, tmp_path: Path) -> None:
    folder = tmp_path / "a"
    for number in range(kept.KEPT + 4):
        kept.load(small(folder, SMALL_PLAN.replace("Two small parts", f"Build {number}")))
    assert len(list(cache.iterdir())) == kept.KEPT


@pytest.mark.parametrize("given", ["", "here/cache"])
def test_nothing_is_kept_without_a_place(
    tmp_path: Path, given: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("QLOG_CACHE", given)
    monkeypatch.chdir(tmp_path)
    assert kept.load(small(tmp_path / "a")).title == "Two small parts"
    assert not (tmp_path / "here").exists()


def test_a_place_that_is_no_folder_hinders_nobody(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    monkeypatch.setenv("QLOG_CACHE", str(tmp_path / "file"))
    assert kept.load(small(tmp_path / "a")).title == "Two small parts"


def test_nothing_that_comes_with_a_build_is_believed(cache: Path, tmp_path: Path) -> None:
    folder = small(tmp_path / "a")
    kept.load(folder)
    assert sorted(p.name for p in folder.iterdir()) == ["build.toml"]


def test_other_code_reads_the_file_anew(
    cache: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = small(tmp_path / "a")
    kept.load(folder)
    monkeypatch.setattr(worked_out, "__version__", "another")
    kept.load(folder)
    assert len(list(cache.glob("*.plan"))) == 2


def test_two_readings_by_a_kept_plan_are_judged_alike(build_dir: Path, cache: Path) -> None:
    run_qlog("--build", str(build_dir), "done", "cup", "10")
    said = [
        run_qlog("--build", str(build_dir), "read", "cup", "20", "bore", piece, "22.031").out
        for piece in ("1", "2")
    ]
    assert said[0].replace("cup-1", "cup-2") == said[1]
    assert one_in(cache).is_file()


def test_a_process_of_its_own_writes_and_uses_the_same_file(build_dir: Path, cache: Path) -> None:
    command = [sys.executable, "-c", "from qlog.cli.main import main; main()"]
    for _ in range(2):
        ran = subprocess.run(
            [*command, "--build", str(build_dir), "done", "cup", "10"],
            capture_output=True, text=True, encoding="utf-8", check=False,
            env=os.environ | {"QLOG_CACHE": str(cache)},
        )  # fmt: skip
        assert ran.returncode == 0, ran.stderr
    assert one_in(cache).stat().st_size > 500


def test_the_text_of_an_older_plan_is_kept_like_a_file_and_belongs_to_its_folder(
    cache: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = kept.load_text(SMALL_PLAN, tmp_path)
    assert first == replace(read(small(tmp_path / "a")), folder=tmp_path)
    one_in(cache)
    monkeypatch.setattr("qlog.drawing.build_file.load.load_text", None)
    assert kept.load_text(SMALL_PLAN, tmp_path / "b").folder == tmp_path / "b"
    assert kept.load_text(SMALL_PLAN, tmp_path) == first


def test_mistakes_of_an_older_plan_are_told_each_time(cache: Path, tmp_path: Path) -> None:
    for _ in range(2):
        with pytest.raises(PlanError):
            kept.load_text("title = 3\n", tmp_path)
    assert not list(cache.glob("*"))


@pytest.mark.skipif(os.name == "nt", reason="there are no pipes of that kind")
def test_a_pipe_in_the_place_of_a_plan_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "build.toml")
    for load in (kept.load, read):
        with pytest.raises(PlanError, match="no plain file"):
            load(tmp_path)
