"""Shell completion knows the plan, answers fast, and is never in the way."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from click.shell_completion import ShellComplete

from qlog.cli.main import COMMANDS, qlog
from tests.cli.test_loaded_modules import HEAVY
from tests.terminal import QLOG, TOP


def offered(folder: Path, *words: str) -> list[str]:
    """What is offered for the last word."""
    *before, last = words
    complete = ShellComplete(qlog, {}, "qlog", "_QLOG_COMPLETE")
    return [i.value for i in complete.get_completions(["--build", str(folder), *before], last)]


@pytest.mark.parametrize(
    ("words", "found"),
    [
        (("sta",), ["start", "status"]),
        (("photo", "pl"), ["place"]),
        (("read", ""), ["cup", "ring"]),
        (("read", "c"), ["cup"]),
        (("read", "cup", ""), ["10", "20"]),
        (("read", "cup", "20", ""), ["bore", "look"]),
        (("read", "cup", "10", ""), ["height"]),
        (("read", "cup", "20", "bore", ""), ["1", "2", "3", "4"]),
        (("done", "ring", "10", ""), ["1", "2"]),
        (("read", "cup", "20", "-i", "mi"), ["micrometer"]),
        (("piece", "cup-"), ["cup-1", "cup-2", "cup-3", "cup-4"]),
        (("piece", "cup-1", "sc"), ["scrap"]),
        (("cup-",), ["cup-1", "cup-2", "cup-3", "cup-4"]),
        (("ring-2",), ["ring-2"]),
        (("cup-2", "b"), ["bore"]),
        (("cup-2", "s"), ["scrap"]),
        (("cup-2", "d"), ["done"]),
        (("nothing-",), []),
        (("nothing-", "sta"), ["start", "status"]),
        (("correct", "cup", "20", "b"), ["bore"]),
        (("gauge", "check", "c"), ["caliper"]),
        (("photo", "place", "3", "cup", "2"), ["20"]),
        (("status", "r"), ["ring"]),
        (("find", "cup-"), ["cup-1", "cup-2", "cup-3", "cup-4"]),
        (("find", "cup-1", "ph"), ["photos"]),
        (("read", "nothing", ""), []),
        (("done", "cup", "99", ""), ["1", "2", "3", "4"]),
    ],
)
def test_what_may_come_next_is_offered(
    build_dir: Path, words: tuple[str, ...], found: list[str]
) -> None:
    assert offered(build_dir, *words) == found


def test_commands_are_offered_from_the_table(build_dir: Path) -> None:
    assert offered(build_dir, "") == list(COMMANDS)


def test_topics_of_the_manual_are_offered(build_dir: Path) -> None:
    assert offered(build_dir, "manual", "dr") == ["drift"]


def test_a_plan_that_cannot_be_read_offers_nothing_and_says_nothing(
    build_dir: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (build_dir / "build.toml").write_text("title = \n[[part", encoding="utf-8")
    assert offered(build_dir, "read", "") == []
    assert offered(tmp_path / "nowhere", "read", "") == []
    assert capsys.readouterr() == ("", "")


def asked(folder: Path, shell: str, *words: str) -> subprocess.CompletedProcess[str]:
    """The program asked as the shell asks it, with the modules that it loaded on stderr."""
    code = (
        "import sys; from qlog.cli.main import main\n"
        "try: main()\n"
        "finally: print(*sys.modules, file=sys.stderr)"
    )
    line = ["qlog", *words]
    words_given = {"COMP_WORDS": " ".join(line), "COMP_CWORD": str(len(line) - 1)}
    if shell == "fish":
        words_given["COMP_CWORD"] = line[-1]
    return subprocess.run(
        [sys.executable, "-c", code],
        env=os.environ
        | {"_QLOG_COMPLETE": f"{shell}_complete", "PYTHONPATH": str(TOP), **words_given},
        capture_output=True, text=True, encoding="utf-8", cwd=folder, check=False,
    )  # fmt: skip


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_each_shell_is_answered_without_loading_anything_heavy(build_dir: Path, shell: str) -> None:
    ran = asked(build_dir, shell, "read", "cup", "20", "b")
    assert "bore" in ran.stdout
    loaded = set(ran.stderr.split())
    assert {m.partition(".")[0] for m in loaded} & HEAVY == set()


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_the_manuals_line_switches_it_on(shell: str) -> None:
    from qlog.manual import text

    assert f"_QLOG_COMPLETE={shell}_source qlog" in text("completion")
    ran = subprocess.run(
        QLOG, env=os.environ | {"_QLOG_COMPLETE": f"{shell}_source", "PYTHONPATH": str(TOP)},
        capture_output=True, text=True, encoding="utf-8", check=False,
    )  # fmt: skip
    assert f"_QLOG_COMPLETE={shell}_complete" in ran.stdout


@pytest.mark.skipif(shutil.which("bash") is None, reason="no bash on this machine")
def test_bash_takes_the_script_and_offers_the_parts(build_dir: Path, tmp_path: Path) -> None:
    program = tmp_path / "qlog"
    program.write_text(
        f"#!/bin/sh\nexec {sys.executable} -c '"
        'import sys; from qlog.cli.main import main; sys.exit(main())\' "$@"\n',
        encoding="utf-8",
    )
    program.chmod(0o755)
    script = (
        'eval "$(_QLOG_COMPLETE=bash_source qlog)"\n'
        "COMP_WORDS=(qlog read c); COMP_CWORD=2\n"
        "_qlog_completion qlog c read\n"
        'echo "offered: ${COMPREPLY[*]}"'
    )
    ran = subprocess.run(
        ["bash", "--norc", "-c", script], cwd=build_dir, capture_output=True, text=True,
        check=False,
        env=os.environ | {"PATH": f"{tmp_path}:{os.environ['PATH']}", "PYTHONPATH": str(TOP)},
    )  # fmt: skip
    assert "offered: cup" in ran.stdout, ran.stderr
