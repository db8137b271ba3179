"""Keys and lines as a terminal sends them, on POSIX and on Windows."""

import sys
import types
from collections.abc import Iterator

import pytest

from qlog.cli.terminal.characters import Characters, windows_characters
from qlog.cli.terminal.prompt import Keyboard, is_value
from qlog.words.catalogue import load

BEFORE = "\N{BELL}"  # in a text below: what stands before it was typed before the next prompt


def keyboard(text: str, monkeypatch: pytest.MonkeyPatch) -> Keyboard:
    """A keyboard at which a text is typed; a pause in it is one between two presses."""
    left = list(text)

    def read() -> str | None:
        while left and left[0] == BEFORE:
            left.pop(0)
        return left.pop(0) if left else None

    def ready(within: float) -> bool:
        return bool(left) and left[0] != BEFORE

    monkeypatch.setattr("qlog.cli.terminal.prompt.on_terminal", lambda: True)
    board = Keyboard(load("en"))
    board._asking, board._characters = True, Characters(read, ready)
    return board


def typed(text: str, keys: str = "") -> str | None:
    with pytest.MonkeyPatch.context() as patch:
        return keyboard(BEFORE + text, patch).ask("> ", keys, value=True)


@pytest.mark.parametrize(
    ("text", "keys", "got"),
    [
        ("22.031\n", "uq", "22.031"),
        ("22.031\r", "uq", "22.031"),  # Windows, and gauges that send a carriage return
        ("u", "uq", "u"),
        ("U", "uq", "u"),
        ("2u\n", "uq", "2u"),  # behind something typed a letter is only a letter
        (" u", "uq", "u"),
        ("22.9\x1b22.1\n", "", "22.1"),  # Esc clears the line, and the digit behind it counts
        ("\x1b22.1\n", "", "22.1"),
        ("x\n", "uq", "x"),
        ("22.9\x7f8\n", "", "22.8"),
        ("\x7f\b22\n", "", "22"),
        ("rubbish\x1522.1\n", "", "22.1"),
        ("\x1b[A22.1\n", "", "22.1"),  # an arrow key
        ("\x1bOP22.1\n", "", "22.1"),  # a function key
        ("\x1b[15~22.1\n", "", "22.1"),
        ("\n", "uq", ""),
        ("\x04", "uq", None),
        ("\x1a", "uq", None),
        ("Größe ½\n", "", "Größe ½"),
        ("", "uq", None),
    ],
)
def test_a_line_or_a_key(text: str, keys: str, got: str | None) -> None:
    assert typed(text, keys) == got


def test_control_c_stops() -> None:
    with pytest.raises(KeyboardInterrupt):
        typed("22\x03")


def test_end_of_input_in_the_middle_of_a_line_keeps_what_was_typed() -> None:
    assert typed("22\x04.1\n") == "22.1"


@pytest.mark.parametrize("end", ["\n", "\r", "\r\n"])
def test_a_line_has_one_end_however_the_gauge_ends_it(
    end: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    pause = BEFORE
    board = keyboard(f"{pause}22.1{end}{pause}22.2{end}{pause}{end}{pause}22.3{end}", monkeypatch)
    assert [board.ask("> ", value=True) for _ in range(4)] == ["22.1", "22.2", "", "22.3"]


@pytest.mark.parametrize("end", ["\n", "\r", "\r\n"])
def test_the_enter_behind_a_key_belongs_to_the_key(
    end: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    board = keyboard(f"{BEFORE}y{end}{BEFORE}{end}{BEFORE}22.1{end}", monkeypatch)
    assert board.ask("> ", "yk") == "y"
    assert board.ask("> ", "us", value=True) == ""  # the second Enter, typed at the prompt
    assert board.ask("> ", "us", value=True) == "22.1"
    late = keyboard(f"{BEFORE}y{BEFORE}{end}22.1{end}", monkeypatch)
    assert [late.ask("> ", "yk"), late.ask("> ", value=True)] == ["y", "22.1"]


def test_what_was_typed_before_the_prompt_answers_nothing(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    board = keyboard(f"y\n22.4\n22.5\nqlog status\nk{BEFORE}k", monkeypatch)
    assert board.ask("? ", "yk") == "k"
    assert board.waiting == "22.4"
    said = capsys.readouterr().out
    for words in ("'y' was typed before", "22.4 was typed before this was asked; it waits",
                  "22.5 was not entered: 22.4 waits already", "'qlog status' is for the shell",
                  "'k' was typed before"):  # fmt: skip
        assert words in said


def test_a_number_is_no_answer_to_a_question_and_is_offered_at_the_next_reading(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    board = keyboard(f"{BEFORE}22.4\n22.5\n{BEFORE}k\n{BEFORE}22.6\n{BEFORE}y", monkeypatch)
    assert board.ask("? ", "yk") == "k"
    assert board.ask("cup-2> ", "us", value=True) == "22.4"
    said = capsys.readouterr().out
    assert "22.4 is no answer to this; it waits for the next reading" in said
    assert "22.6 was not entered: 22.4 waits already" in said
    assert "22.4 waits: y takes it here, Esc drops it" in said


def test_escape_drops_the_value_that_waits(monkeypatch: pytest.MonkeyPatch) -> None:
    board = keyboard(f"22.4\n{BEFORE}\x1b{BEFORE}22.5\n", monkeypatch)
    assert board.ask("cup-2> ", value=True) == "22.5"
    assert board.waiting is None


def test_a_line_begun_too_early_goes_on_at_the_prompt(monkeypatch: pytest.MonkeyPatch) -> None:
    assert keyboard(f"22.{BEFORE}4\n", monkeypatch).ask("> ", "us", value=True) == "22.4"


@pytest.mark.parametrize(
    "text",
    [
        "22.4",
        ".5003",
        "-0,02",
        "\N{MINUS SIGN}3",
        "22.4 mm",
        '3/8"',
        '1 1/2"',
        "45°30'",
        "ok",
        "NOGO",
    ],
)
def test_values_are_told_from_words(text: str) -> None:
    assert is_value(text)
    assert not any(map(is_value, ("3 flutes chatter", "burr", "n", "", "-", "mm", "x 3")))


def test_windows_keys(monkeypatch: pytest.MonkeyPatch) -> None:
    keys: Iterator[str] = iter("2\xe0H2\x00;.1\r")
    fake = types.ModuleType("msvcrt")
    fake.getwch = lambda: next(keys)  # type: ignore[attr-defined]
    monkeypatch.setitem(sys.modules, "msvcrt", fake)
    board = keyboard("", monkeypatch)
    board._characters = windows_characters()
    monkeypatch.setattr(fake, "kbhit", lambda: False, raising=False)
    assert board.ask("> ", "uq", value=True) == "22.1"
