"""`qlog` alone says what is next; `qlog read` alone takes the first reading that waits."""

import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.conftest import Ran, run_qlog

Run = Callable[..., Ran]


def test_qlog_alone_in_a_build_says_what_is_next(
    build_dir: Path, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    run("done", "cup", "10")
    inside = build_dir / "photos"
    inside.mkdir(exist_ok=True)
    monkeypatch.chdir(inside)
    ran = run_qlog()
    assert (ran.status, ran.err) == (0, "")
    first = run("status").out.partition("\n\n")[0]
    assert first.startswith("next\n  cup op 10 turn outside: read height")
    assert first in ran.out
    assert ran.out == run().out


def test_qlog_alone_elsewhere_shows_the_help(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("QLOG_BUILD", raising=False)
    ran = run_qlog()
    assert ran.status == 0
    assert ran.out == run_qlog("--help").out


def test_a_build_that_is_named_and_not_there_is_said(tmp_path: Path) -> None:
    ran = run_qlog("--build", str(tmp_path / "nowhere"))
    assert (ran.status, ran.out) == (2, "")
    assert "nowhere" in ran.err


def test_in_a_pipe_read_guesses_no_place(run: Run) -> None:
    run("done", "cup", "10")
    ran = run("read", stdin="32.01\n")
    assert ran.status == 2
    assert "PART and OP" in ran.err


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no pseudo-terminal of this kind")
def test_read_alone_takes_what_status_asks_for_first(build_dir: Path, run: Run) -> None:
    from tests.terminal import Terminal

    run("done", "ring", "10")
    run("done", "cup", "10")
    with Terminal("read", folder=build_dir) as terminal:
        terminal.expect("cup op 10 turn outside: 4 to read")
        terminal.expect("cup-1 height mm>")
        terminal.answer("32.02\n", "cup-2 height mm>")
        terminal.answer("q", "3 left to read")
        assert terminal.ended() == 0
    run("read", "cup", "10", stdin="32.01\n32.01\n32.01\n")
    with Terminal("read", folder=build_dir) as terminal:
        terminal.expect("ring op 10 part off: 2 to read")
        terminal.expect("ring-1 outside mm>")
        terminal.type("q")
        terminal.ended()
    run("read", "ring", "10", stdin="40\n40\n")
    for op in (20, 30):
        run("done", "cup", str(op), "--override", "only for this")
