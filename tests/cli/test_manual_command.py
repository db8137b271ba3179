"""`qlog manual`: topics listed, one shown, an unknown one answered with the nearest."""

import sys
from pathlib import Path

import pytest

from qlog.manual import text, topics
from tests.conftest import run_qlog


def test_without_a_topic_they_are_listed_with_their_titles() -> None:
    ran = run_qlog("manual")
    assert (ran.status, ran.err) == (0, "")
    for topic, title in topics().items():
        assert any(x.split(maxsplit=1) == [topic, title] for x in ran.out.splitlines())


def test_a_topic_in_a_pipe_is_markdown_as_written() -> None:
    assert run_qlog("manual", "callouts").out == text("callouts")
    assert "| `Ø8 H7` |" in text("callouts")


def test_an_unknown_topic_is_answered_with_the_nearest() -> None:
    ran = run_qlog("manual", "calouts")
    assert (ran.status, ran.out) == (2, "")
    assert "no topic 'calouts'; did you mean callouts?" in ran.err


def test_a_topic_dropped_into_the_folder_is_listed_last(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "bench.md").write_text("# At the bench\n", encoding="utf-8")
    (tmp_path / "afterwards.md").write_text("# What comes after\n", encoding="utf-8")
    monkeypatch.setattr("qlog.manual.files", lambda _: tmp_path)
    assert topics() == {"bench": "At the bench", "afterwards": "What comes after"}


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no pseudo-terminal of this kind")
def test_on_a_terminal_it_is_laid_out(build_dir: Path) -> None:
    from tests.terminal import Terminal

    with Terminal("manual", "callouts", folder=build_dir) as terminal:
        terminal.expect("ISO 286-1: sizes")
        terminal.type("q")
        screen = terminal.screen
    assert "| `" not in screen
    assert "equal deviations" in screen
