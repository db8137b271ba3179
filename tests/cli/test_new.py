"""`qlog new`: a first plan from a few answers, the long example, and nothing written over."""

import sys
from pathlib import Path

import pytest

from qlog.drawing.build_file.load import load
from tests.conftest import run_qlog
from tests.terminal import Terminal

terminal_only = pytest.mark.skipif(sys.platform == "win32", reason="pseudo-terminals are POSIX")

ANSWERS = (
    ("what is made", "Table candlesticks"), ("how many", "8"), ("for whom", "the choir"),
    ("mm or inch", ""), ("language", ""), ("first part", "cup"), ("done to it first", "bore"),
    ("one size", "dia 22 +0.05/0"), ("which size", "bore"), ("measured with", "bore gauge"),
)  # fmt: skip


@terminal_only
def test_a_first_reading_needs_ten_answers_and_no_manual(tmp_path: Path) -> None:
    folder = tmp_path / "b"
    with Terminal("new", str(folder), folder=tmp_path) as t:
        for question, answer in ANSWERS:
            t.expect(question)
            t.type(f"{answer}\n")
        t.expect("qlog start cup 10")
        t.expect("qlog read\n")
        assert t.ended() == 0
        assert "22.00 to 22.05 mm" in t.screen
    written = (folder / "build.toml").read_text(encoding="utf-8")
    assert len(written.splitlines()) < 30
    assert "to do: `qlog start cup 10`" in run_qlog("--build", str(folder)).out
    with Terminal("read", folder=folder) as t:
        t.expect("not begun yet: `qlog start cup 10` says what it needs and how to stay safe")
        t.expect("cup-1 bore mm> ")
        t.type("22.021\n")
        t.expect("good")
    assert "to do: `qlog done cup 10`" in run_qlog("--build", str(folder)).out


@terminal_only
def test_what_cannot_be_read_is_asked_again(tmp_path: Path) -> None:
    with Terminal("new", str(tmp_path / "b"), folder=tmp_path) as t:
        answers = [*ANSWERS[:1], ("how many", "a few"), ("no number of pieces", "8"), *ANSWERS[2:7]]
        for question, answer in [*answers, ("one size", "about 22"), ("one size", "22 +0.05/0")]:
            t.expect(question)
            t.type(f"{answer}\n")
        t.expect("22.00 to 22.05 mm")
        t.type("\n\n")
        t.expect("next:")
    assert load(tmp_path / "b").parts[0].needed == 8


@terminal_only
def test_stopping_among_the_questions_writes_nothing(tmp_path: Path) -> None:
    with Terminal("new", str(tmp_path / "b"), folder=tmp_path) as t:
        t.expect("what is made")
        t.type("Cups\n")
        t.expect("how many")
        assert t.interrupted() != 0
    assert not (tmp_path / "b").exists()


def test_the_long_example_stays_to_be_had(tmp_path: Path) -> None:
    assert run_qlog("new", str(tmp_path / "b"), "--example").status == 0
    assert len((tmp_path / "b" / "build.toml").read_text(encoding="utf-8").splitlines()) > 100
    again = run_qlog("new", str(tmp_path / "b"), "--example")
    assert again.status == 2 and "nothing was changed" in again.err


def test_names_become_ids_that_can_be_typed() -> None:
    from qlog.drawing.editing.beginning import as_id

    assert as_id("Tall Stem", "part") == "tall-stem"
    assert as_id("Große Schale", "part") == "grosse-schale"
    assert as_id("cup 3", "part") == "cup"  # cup-3 is a piece
    assert as_id("3", "part") == "part"


def test_answers_in_quotes_and_letters_of_all_kinds_read_back(tmp_path: Path) -> None:
    from qlog.drawing.build_file.load import load_text
    from qlog.drawing.editing.beginning import Answers, first_plan

    answers = Answers('A "set"\\ of cups', 3, "Ö’s", True, "de", 'The "cup"', 'turn "it"',
                      "dia .875 +.002/-0", 'bore "a"', "caliper")  # fmt: skip
    build = load_text(first_plan(answers), tmp_path)
    assert (build.title, build.recipient) == ('A "set"\\ of cups', "Ö’s")
    assert build.parts[0].dimensions[0].measures == "inside"
    assert str(build.instruments[0].step) == "0.0005"


@terminal_only
def test_the_questions_come_in_the_language_that_is_chosen(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("LC_ALL", "LC_MESSAGES"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("LANG", "de_DE.UTF-8")
    folder = tmp_path / "b"
    with Terminal("new", str(folder), folder=tmp_path) as t:
        for question, answer in (
            ("was wird gefertigt", "Leuchter"), ("wie viele", "8"), ("für wen", ""), ("mm", ""),
            ("Sprache, en oder de [de]", ""), ("erste Bauteil", "tuelle"), ("zuerst damit", ""),
            ("ein Maß von der Zeichnung", ""),
        ):  # fmt: skip
            t.expect(question)
            t.type(f"{answer}\n")
        t.expect("weiter:")
        assert t.ended() == 0
    assert load(folder).language == "de" and load(folder).parts[0].operations[0].name == "drehen"
    for words, said in (
        (("add", "dim", "tuelle"), "Kennung des Maßes"),
        (("add", "part", "fuss", "--needed", "8"), "sein erster Arbeitsgang"),
    ):
        ran = run_qlog("--build", str(folder), *words)
        assert ran.status == 2 and said in ran.err
    run_qlog("--build", str(folder), "add", "dim", "tuelle", "bohrung", "Ø22 +0.05/0")
    ran = run_qlog("--build", str(folder), "rename", "dim", "tuelle.bohrung", "kerze")
    assert "tuelle.bohrung heißt jetzt tuelle.kerze; 0 Einträge folgen" in ran.out
