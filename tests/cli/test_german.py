"""A build in German: what the screen says of it is German, with the decimal comma."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.conftest import Ran

Run = Callable[..., Ran]

#: English words that German does not have; ids, commands and what the user typed are left out.
ENGLISH = re.compile(
    r"\b(the|and|of|with|pieces?|readings?|not|this|were|is|missing|needed|limits?|rule)\b"
)
#: `commands to type`, which are the same in every language.
COMMANDS = re.compile(r"`[^`]*`")


@pytest.fixture
def german(build_dir: Path, run: Run) -> Run:
    plan = build_dir / "build.toml"
    plan.write_text('language = "de"\n' + plan.read_text("utf-8"), encoding="utf-8")
    for piece, value in enumerate(("22.040", "22.035", "22.029", "22.060"), 1):
        run("read", "cup", "20", "bore", str(piece), value)
    return run


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("status",), "außerhalb, fraglich, wissenswert"),
        (("status",), "cup-4, socket: 22,060 mm, zu groß (22,00 bis 22,05 mm)"),
        (("status",), "entscheiden, was daraus wird: `qlog piece cup-4 scrap --why ...`"),
        (("spread", "cup"), "22,00 bis 22,05 mm"),
        (("spread", "cup"), "Schätzungen zum Prozess"),
        (("drift", "cup"), "Zu wenige Messwerte in dieser Einstellung"),
    ],
)
def test_it_is_said_in_german(german: Run, words: tuple[str, ...], said: str) -> None:
    assert said in german(*words).out


@pytest.mark.parametrize("words", [("status",), ("spread",), ("spread", "cup"), ("drift",)])
def test_no_english_word_is_left(german: Run, words: tuple[str, ...]) -> None:
    out = german(*words).out
    left = [x for x in out.splitlines() if ENGLISH.search(COMMANDS.sub("", x))]
    assert out.strip() and left == []


def test_why_a_setup_began_is_said_in_german_too(build_dir: Path, run: Run) -> None:
    plan = build_dir / "build.toml"
    plan.write_text('language = "de"\n' + plan.read_text("utf-8"), encoding="utf-8")
    for piece, value in enumerate(("22.040", "22.041", "22.010", "22.011"), 1):
        run("read", "cup", "20", "bore", str(piece), value)
    assert run("setup", "cup", "20", "3", "re-touch").status == 0
    out = run("drift", "cup").out
    assert "Einstellung 2 (Werkzeug nachgesetzt) beginnt bei cup-3" in out
    assert "re-touch" not in out
