"""Control signs from titles, names and notes never reach a terminal; they are shown as text."""

from pathlib import Path

import click
import pytest

from qlog.cli.terminal.control_signs import shown
from qlog.logbook.facts import Note
from qlog.logbook.store import Logbook
from tests.terminal import Terminal

HOSTILE = [
    "\x1b[2J", "\x1b]0;title\x07", "\x1b]52;c;Zm9v\x07", "\x1b[6n", "\x1bP+q\x1b\\", "\x9b2J",
    "\x07",
    "\x1b[1;1H", "\x1b[?1049h", "a\rb", "a\bb", "\u202eabc", "\x1bc", "\x00", "\x7f", "\x1b(0",
]  # fmt: skip


@pytest.mark.parametrize("text", HOSTILE)
def test_a_control_sign_is_written_out(text: str) -> None:
    said = shown(f"cup {text} end\n")
    assert all(c.isprintable() or c == "\n" for c in said)
    assert "\\" in said


def test_colours_line_ends_and_the_prompt_s_own_movements_stay() -> None:
    for text in (click.style("good", fg="green") + "\r\n", "Ø8 ±0.1 µm → ✓\n", "\b \b", "\r", ""):
        assert shown(text) == text


def test_a_hostile_note_at_a_terminal(build_dir: Path) -> None:
    with Logbook(build_dir / "logbook.db") as log:
        log.append(Note("cup", None, 1, "a\x1b]0;stolen\x07b\x9b2J"))
    for words in (("piece", "cup-1"), ("status",)):
        with Terminal(*words, folder=build_dir) as t:
            assert t.ended() in (0, 1)
            screen = t.screen
        assert "cup" in screen
        assert words[0] != "piece" or "\\x1b]0;stolen\\x07b\\x9b2J" in screen
        for sign in ("\x1b]", "\x1b[2J", "\x07", "\x9b"):
            assert sign not in screen, words
