"""`qlog merge`: what is said, what is chosen, and the second logbook that every command names."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

from tests.conftest import Ran, run_qlog
from tests.terminal import Terminal

Run = Callable[..., Ran]


def other_build(build_dir: Path) -> Path:
    run_qlog("--build", str(build_dir), "note", "cup", "begun")
    other = build_dir.parent / "laptop"
    shutil.copytree(build_dir, other)
    return other


def both_read_cup_1(build_dir: Path) -> Path:
    other = other_build(build_dir)
    for folder, person, value in ((build_dir, "Ada", "22.010"), (other, "Bo", "22.030")):
        words = ("--build", str(folder), "--person", person)
        assert run_qlog(*words, "read", "cup", "20", "bore", "1", value).status == 0
    return other


def test_a_clash_is_shown_side_by_side_and_one_is_kept(build_dir: Path, run: Run) -> None:
    other = both_read_cup_1(build_dir)
    ran = run("merge", str(other))
    assert ran.status == 1
    assert "first   cup-1 bore 22.010" in ran.out and "by Ada" in ran.out
    assert "second  cup-1 bore 22.030" in ran.out and "by Bo" in ran.out
    assert run("merge", str(other), "--keep", "second").status == 0
    assert "22.030" in run("export").out and "22.010" not in run("export").out
    again = run("merge", str(other))
    assert (again.status, again.out) == (0, "nothing was missing here\n")
    assert run("verify").status == 0


def test_on_a_terminal_it_is_asked(build_dir: Path, run: Run) -> None:
    other = both_read_cup_1(build_dir)
    with Terminal("merge", str(other), folder=build_dir) as terminal:
        terminal.expect("which holds?")
        terminal.type("f")
        terminal.ended()
    assert "22.010" in run("export").out and "22.030" not in run("export").out


def test_a_second_logbook_beside_is_named_by_every_command(build_dir: Path, run: Run) -> None:
    other = other_build(build_dir)
    run_qlog("--build", str(other), "note", "cup", "from the laptop")
    copy = build_dir / "logbook (copy of laptop).db"
    shutil.copy(other / "logbook.db", copy)
    reading = ("read", "cup", "20", "bore", "1", "22.01")
    for words in (("status",), ("stock", "cup"), reading, ("verify",), ("backup",), ("plan",)):
        assert f'qlog merge "{copy}"' in run(*words).err
    assert run("merge", str(copy)).status == 0
    copy.unlink()
    assert "second logbook" not in run("status").err


def test_this_logbook_itself_is_no_other(build_dir: Path, run: Run) -> None:
    assert run("merge", str(build_dir)).status == 2
