"""The bench in German: prompts, keys, questions, echo and every command, no English word left."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.conftest import Ran
from tests.terminal import Terminal

Run = Callable[..., Ran]

#: English words that German does not have; commands, ids and what was typed are left out.
ENGLISH = re.compile(
    r"\b(the|and|of|with|pieces?|readings?|not|this|were|missing|needed|limits?|rule|read|from|"
    r"done|entered|nothing|left|out|good|yes|keep|drop|scrapped|note|first|next|photo)\b",
    re.I,
)
#: What is typed is the same in every language.
TYPED = re.compile(
    r"`[^`]*`|\S*[/\\]\S*|\bqlog [a-z].*|\bno-go\b|\bgo\b|not ok|scrap\|rework\|use-as-is|note TEXT"
)


@pytest.fixture
def german(build_dir: Path, run: Run) -> Run:
    plan = build_dir / "build.toml"
    plan.write_text('language = "de"\n' + plan.read_text("utf-8"), encoding="utf-8")
    assert run("done", "cup", "10").status == 0
    return run


def english(text: str) -> list[str]:
    return [x for x in text.splitlines() if ENGLISH.search(TYPED.sub("", x))]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("read", "cup", "20", "bore", "1", "22.031"), "gut"),
        (("read", "cup", "20", "bore", "1", "22.06"), "0,01 jenseits von 22,05"),
        (("read", "cup", "20", "bore", "1", "220.3"), "das Komma stünde eine Stelle falsch"),
        (("done", "cup", "20", "1"), "erledigt: Arbeitsgang 20"),
        (("done", "cup", "10"), "nichts einzutragen"),
        (("start", "cup", "20"), "danach"),
        (("stock",), "in Arbeit oder fertig"),
        (("piece", "cup-1"), "erledigt"),
        (("piece", "cup-1", "scrap", "--why", "gefallen"), "verworfen"),
        (("setup", "cup", "20", "2", "tool"), "neue Einstellung"),
        (("undo",), "erledigt"),
        (("note", "cup", "rattert"), "notiert"),
        (("gauge", "check", "micrometer", "10", "10.001"), "größte Abweichung"),
        (("gauge", "check", "micrometer", "10", "10.05"), "NICHT tauglich"),
        (("correct", "cup", "20", "bore", "3", "22.04", "--why", "Ziffern"), "(war 22.03)"),
        (("record",), "Dateien geschrieben"),
    ],
)  # fmt: skip
def test_a_command_speaks_german(german: Run, words: tuple[str, ...], said: str) -> None:
    german("read", "cup", "20", "bore", "3", "22.03")
    ran = german(*words)
    assert said in ran.out + ran.err
    assert english(ran.out + ran.err) == []


def test_a_sitting_in_a_pipe_speaks_german(german: Run) -> None:
    ran = german(
        "read", "cup", "20", "bore", stdin="22.01\n?\nu\n22.02\ns p kein Dorn\nx 3 gefallen\n"
    )
    assert "noch 4 zu messen" in ran.out and "zurückgenommen" in ran.out
    assert "mit Absicht ausgelassen" in ran.out and "verworfen" in ran.out
    assert english(ran.out + ran.err) == []


def test_a_sitting_at_a_terminal_speaks_german(german: Run, build_dir: Path) -> None:
    with Terminal("read", "cup", "20", "bore", folder=build_dir) as t:
        t.expect("cup-1 bore mm> ")
        t.answer("220.3\n", "a neu tippen")
        t.answer("d", "nicht eingetragen")
        t.expect("cup-1 bore mm> ")
        t.answer("22.03\n", "zur Toleranzmitte")
        t.expect("cup-2 bore mm> ")
        t.answer("?", "Werkzeug gewechselt")
        t.expect("cup-2 bore mm> ")
        t.answer("s", "p mit Absicht")
        t.answer("n", "nächste Messreihe")
        t.expect("cup-3 bore mm> ")
        t.answer("x", "welches Teil verwerfen?")
        t.answer("\n\n", "nichts wurde verworfen")
        t.expect("cup-3 bore mm> ")
        t.answer("q", "noch zu messen")
        t.ended()
        assert english(t.screen) == []
