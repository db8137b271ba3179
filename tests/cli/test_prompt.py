"""Keys and lines as a terminal sends them, on POSIX and on Windows."""

import sys
import types
from collections.abc import Iterator

import pytest

from qlog.cli.terminal import prompt


def typed(text: str, keys: str = "") -> str | None:
    return prompt._edited(prompt._one_end(iter(text)), keys)


@pytest.mark.parametrize(
    ("text", "keys", "got"),
    [
        ("22.031\n", "uq", "22.031"),
        ("22.031\r", "uq", "22.031"),  # Windows, and gauges that send a carriage return
        ("u", "uq", "u"),
        ("U", "uq", "u"),
        ("2u\n", "uq", "2u"),  # behind something typed a letter is only a letter
        (" u", "uq", "u"),
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
def test_a_line_has_one_end_however_the_gauge_ends_it(end: str) -> None:
    keys = prompt._one_end(iter(f"22.1{end}22.2{end}{end}22.3{end}"))
    got = [prompt._edited(keys, "") for _ in range(4)]
    assert got == ["22.1", "22.2", "", "22.3"]


def test_windows_keys(monkeypatch: pytest.MonkeyPatch) -> None:
    keys: Iterator[str] = iter("2\xe0H2\x00;.1\r")
    fake = types.ModuleType("msvcrt")
    fake.getwch = lambda: next(keys)  # type: ignore[attr-defined]
    monkeypatch.setitem(sys.modules, "msvcrt", fake)
    assert prompt._edited(prompt._one_end(prompt._windows_keys()), "uq") == "22.1"
