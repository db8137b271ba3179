"""The bench in any order: a reading typed with its piece lands on that piece and on no other."""

import sys
from pathlib import Path

import pytest

from qlog.drawing.build_file.load import load
from qlog.intake.typed.places import PlaceError, piece_and_value
from qlog.logbook.facts import Done, Reading
from qlog.logbook.store import Logbook
from tests.conftest import Ran, run_qlog
from tests.terminal import Terminal

terminal_only = pytest.mark.skipif(sys.platform == "win32", reason="pseudo-terminals are POSIX")


def read(folder: Path, *words: str, stdin: str = "") -> Ran:
    return run_qlog("--build", str(folder), *words, stdin=stdin)


def values(folder: Path) -> dict[int, str]:
    with Logbook(folder / "logbook.db") as log:
        return {e.fact.piece: e.fact.value for e in log.live(Reading, dimension="bore")}


def test_pieces_are_read_in_the_order_in_which_they_come_to_hand(build_dir: Path) -> None:
    read(build_dir, "done", "cup", "10")
    ran = read(
        build_dir, "read", "cup", "20", "bore", stdin="3=22.033\ncup-2 22,032\n22.031\n22.034\n"
    )
    assert ran.status == 0, ran.err
    assert values(build_dir) == {3: "22.033", 2: "22.032", 1: "22.031", 4: "22.034"}
    assert "cup-3 bore" in ran.out


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("3=22.03", (3, "22.03")), ("3 22.03", (3, "22.03")), ("cup-3 .5", (3, ".5")),
        ("3 = 22", (3, "22")), ("3=go", (3, "go")), ("3 -0.02", (3, "-0.02")),
        ("3 25", None), ("1 1/2", None), ("22.03", None), ("22.03 mm", None), ("go", None),
        ("3 22.03/2", None),
    ],
)  # fmt: skip
def test_what_names_a_piece_and_what_does_not(
    build_dir: Path, text: str, found: tuple[int, str] | None
) -> None:
    assert piece_and_value(load(build_dir).part("cup"), text) == found


def test_a_piece_that_the_part_has_not_is_refused(build_dir: Path) -> None:
    with pytest.raises(PlaceError, match="pieces 1 to 4"):
        piece_and_value(load(build_dir).part("cup"), "13=22.03")


def test_one_reading_by_the_name_of_its_piece(build_dir: Path) -> None:
    assert read(build_dir, "cup-3", "bore", "22.031").status == 0
    assert values(build_dir) == {3: "22.031"}
    assert "cup-3: in work" in read(build_dir, "cup-3").out
    assert "scrap" in read(build_dir, "cup-3", "scrap", "--why", "dropped").out
    assert read(build_dir, "dish-3", "bore", "22").status == 2
    assert read(build_dir, "read", "cup-3", "bore", "22.031").status == 0


def test_an_open_operation_is_asked_about_once_a_sitting(build_dir: Path) -> None:
    ran = read(build_dir, "read", "cup", "20", "bore", stdin="22.031\n22.032\n22.033\n")
    assert (ran.out + ran.err).count("still open") == 1


@terminal_only
def test_after_the_last_reading_one_key_marks_the_operation_done(build_dir: Path) -> None:
    read(build_dir, "done", "cup", "10")
    read(build_dir, "piece", "cup-4", "scrap", "--why", "dropped")
    with Terminal("read", "cup", "20", folder=build_dir) as t:
        for piece in (1, 2, 3):
            t.expect(f"cup-{piece} bore mm> ")
            t.type(f"22.03{piece}\n")
        for piece in (1, 2, 3):
            t.expect(f"cup-{piece} look")
            t.type("go\n")
        t.expect("d marks it done on 1-3")
        t.type("d\n")
        t.expect("done: op 20 bore on cup 1-3")
        t.expect("all read: Enter ends it; u")
        t.type("\n")
        assert t.ended() == 0
    with Logbook(build_dir / "logbook.db") as log:
        assert {e.fact.piece for e in log.live(Done, op=20)} == {1, 2, 3}


def test_a_piece_by_name_is_marked_done_where_it_stands_and_its_reading_corrected(
    build_dir: Path,
) -> None:
    read(build_dir, "cup-3", "height", "32.01")
    ran = read(build_dir, "cup-3", "height", "32.02", "--why", "misread")
    assert ran.status == 0 and "32.01" in ran.out, ran.err
    with Logbook(build_dir / "logbook.db") as log:
        (kept,) = log.live(Reading, dimension="height")
        assert (kept.fact.value, kept.reason) == ("32.02", "misread")
    assert read(build_dir, "correct", "cup-3", "height", "32.03", "--why", "again").status == 0
    assert read(build_dir, "cup-2", "height", "32.02", "--why", "misread").status == 2
    for op in (10, 20):
        assert f"done: op {op}" in read(build_dir, "cup-3", "done").out
    ran = read(build_dir, "cup-3", "done")
    assert ran.status == 2 and "cup-3 has had every operation" in ran.err
    assert read(build_dir, "done", "cup").status == 2
    with Logbook(build_dir / "logbook.db") as log:
        assert {(e.fact.op, e.fact.piece) for e in log.live(Done)} == {(10, 3), (20, 3)}


@terminal_only
def test_start_alone_begins_what_status_names(build_dir: Path) -> None:
    refused = read(build_dir, "start")
    assert refused.status == 2 and "PART and OP" in refused.err
    for words, begun in ((("start",), "cup op 10"), (("start", "ring"), "ring op 10")):
        with Terminal(*words, folder=build_dir) as terminal:
            terminal.expect(begun)
            assert terminal.ended() in (0, 1)
    with Terminal("start", folder=build_dir) as terminal:
        terminal.expect("no operation waits to be begun")
        assert terminal.ended() == 2
