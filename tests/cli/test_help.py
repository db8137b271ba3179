"""Every command has help with an example, and the front door loads none of them."""

import subprocess
import sys

import pytest

from qlog.cli.main import COMMANDS
from tests.commands import commands
from tests.conftest import run_qlog


@pytest.mark.parametrize("words", [words for words, _ in commands()])
def test_help_has_an_example_that_calls_the_command(words: str) -> None:
    ran = run_qlog(*words.split(), "--help")
    assert ran.status == 0
    assert "Example:" in ran.out
    example = ran.out.split("Example:")[1]
    assert f"qlog {words}" in example
    assert ran.err == ""


def test_short_helps_are_those_of_the_commands() -> None:
    out = run_qlog("--help").out
    for name, (_, text) in COMMANDS.items():
        assert name in out
        assert " ".join(text.split()) in " ".join(out.split())


def test_the_front_door_loads_no_command_and_nothing_heavy() -> None:
    code = (
        "import sys; from qlog.cli.main import main\n"
        "try: main(['--help'])\n"
        "except SystemExit: pass\n"
        "print([m for m in sys.modules if m.startswith('qlog.cli.')], file=sys.stderr)\n"
        "print([m for m in sys.modules if m.split('.')[0] in "
        "('numpy', 'scipy', 'PIL', 'exifread', 'rich', 'jinja2', 'sqlite_utils')],"
        " file=sys.stderr)"
    )
    ran = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, encoding="utf-8", check=True
    )
    assert ran.stderr.splitlines() == ["['qlog.cli.usage', 'qlog.cli.main']", "[]"]


def test_an_unknown_command_offers_the_nearest_one() -> None:
    ran = run_qlog("statsu")
    assert ran.status == 2
    assert "did you mean status?" in ran.err
    assert ran.out == ""


def test_no_build_here_says_what_to_do(tmp_path, monkeypatch) -> None:  # type: ignore[no-untyped-def]
    monkeypatch.chdir(tmp_path)
    ran = run_qlog("status")
    assert ran.status == 2
    assert "qlog new DIR" in ran.err
    ran = run_qlog("--build", str(tmp_path / "nowhere"), "status")
    assert ran.status == 2
    assert "nowhere" in ran.err
