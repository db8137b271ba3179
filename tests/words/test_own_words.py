"""What qlog enters by itself is a name in the log, and is said in the language of who reads it."""

from pathlib import Path

import pytest

from qlog.logbook.own_words import Own
from qlog.words.catalogue import languages, load
from qlog.words.entries import own_text
from tests.conftest import run_qlog

GERMAN = load("de")

#: As it stood in logs before there was a list of them; such entries are never written over.
STORED = {
    "read again", "read after rework", "second reading of the file", "set anew",
    "undone at the bench", "scrapped", "measured with other pieces in it",
    "merge: entered on both computers", "merge: the other one holds",
    "decided anew in a rehearsal", "placed by hand", "confirmed", "caption", "shown to", "cover",
    "another cover was chosen", "chosen as the best", "another one was chosen",
    "told apart by hand", "more is known by now", "taken in again for this place",
    "holds for earlier photos as well", "straight off the machine", "readings",
}  # fmt: skip


def test_the_names_in_the_log_are_those_of_logs_that_are_there() -> None:
    assert {one.value for one in Own} - {Own.RENAMED.value} == STORED


@pytest.mark.parametrize("language", languages())
def test_each_has_words_in_every_language(language: str) -> None:
    words = load(language)
    said = [own_text(one.value, words) for one in Own if one is not Own.READINGS]
    assert len(set(said)) == len(Own) - 1
    if language != "en":
        assert not set(said) & STORED


@pytest.mark.parametrize(
    ("kept", "german"),
    [
        ("decimal slip", "decimal slip"),
        ("near the edge; straight off the machine", "near the edge; frisch von der Maschine"),
        ("block 10; readings 10.000, 10.001", "block 10; Messwerte 10.000, 10.001"),
        ("readings taken cold", "readings taken cold"),
        ("read again, slowly", "read again, slowly"),
        ("", ""),
    ],
)
def test_only_what_qlog_entered_is_worded(kept: str, german: str) -> None:
    assert own_text(kept, GERMAN) == german
    assert own_text(kept, load("en")) == kept


def test_a_german_build_tells_them_in_german(build_dir: Path) -> None:
    plan = build_dir / "build.toml"
    text = plan.read_text("utf-8").replace('units = "mm"', 'units = "mm"\nlanguage = "de"')
    plan.write_text(text, encoding="utf-8", newline="\n")
    at = ("--build", str(build_dir))
    assert run_qlog(*at, "done", "cup", "10").status == 0
    assert run_qlog(*at, "read", "cup", "20", stdin="22.01\nu\nq\n").status == 0
    told = run_qlog(*at, "find", "2026").out + run_qlog(*at, "find", "cup-1").out
    assert "an der Werkbank zurückgenommen" in told and "undone" not in told
