"""`qlog revise`: limits from a piece on; a piece is judged by the drawing that holds for it."""

from pathlib import Path

import pytest

from qlog.drawing.build_file.load import load
from qlog.logbook.facts import Note
from qlog.logbook.store import Logbook
from qlog.problem import Problem
from qlog.review.revisions import letter
from qlog.review.whole import picture_from
from tests.cli.test_rename import bored, qlog

__all__ = ["bored"]

NEW = "Ø22.1 +0.05/0"


def verdicts(folder: Path) -> dict[int, str]:
    with Logbook(folder / "logbook.db") as log:
        part = picture_from(load(folder), log, studied=False).part("cup")
    series = next(s for s in part.series if s.dimension.id == "bore")
    return {r.piece: r.word for r in series.readings}


def test_pieces_before_keep_the_old_limits_also_when_they_are_read_later(bored: Path) -> None:
    said = qlog(bored, "revise", "cup.bore", NEW, "--from", "4", "--why", "thicker candles").out
    assert "cup bore asks for 22.10 to 22.15 mm from cup-4 on" in said
    assert "cup 1-3 keep 22.00 to 22.05 mm" in said
    qlog(bored, "correct", "cup", "20", "bore", "2", "22.041", "--why", "slip")
    qlog(bored, "read", "cup", "20", "bore", "4", "22.12")
    assert verdicts(bored) == {1: "good", 2: "good", 3: "good", 4: "good"}


def test_a_piece_of_the_old_drawing_is_out_by_the_new_and_not_the_other_way(bored: Path) -> None:
    qlog(bored, "revise", "cup.bore", NEW, "--from", "4", "--why", "thicker")
    assert (
        qlog(bored, "read", "cup", "20", "bore", "4", "22.03", status=1).out.count("out low") == 1
    )


def test_the_plan_shows_both_and_going_back_leaves_the_file_as_it_was(bored: Path) -> None:
    before = (bored / "build.toml").read_text(encoding="utf-8")
    qlog(bored, "revise", "cup.bore", NEW, "--from", "4", "--why", "thicker")
    plan = qlog(bored, "plan", "cup").out
    assert "22.10 to 22.15 mm" in plan and "to cup-3" in plan
    qlog(bored, "revise", "cup.bore", "Ø22 +0.05/0", "--why", "back")
    assert (bored / "build.toml").read_text(encoding="utf-8") == before


def test_two_revisions_one_after_the_other(bored: Path) -> None:
    qlog(bored, "revise", "cup.bore", NEW, "--from", "3", "--why", "a")
    qlog(bored, "revise", "cup.bore", "Ø22.2 +0.05/0", "--from", "4", "--why", "b")
    bore = load(bored).part("cup").dimension("bore")
    assert [e.piece for e in bore.earlier] == [2, 3]
    asked = [bore.asked_of(piece, 20) for piece in (1, 2, 3, 4)]
    assert [str(c.limits.lower) for c in asked if c is not None] == [
        "22", "22", "22.1", "22.2"
    ]  # fmt: skip
    refused = qlog(bored, "revise", "cup.bore", "Ø23 ±0.1", "--from", "3", "--why", "c", status=2)
    assert "name a later piece" in refused.err


def test_revisions_have_letters_dates_and_what_they_changed(bored: Path) -> None:
    qlog(bored, "revise", "cup.bore", NEW, "--why", "thicker")
    said = qlog(bored, "revise").out
    assert said.startswith("A  20") and "\nB  20" in said and "(the one in force)" in said
    assert "cup.bore: limits" in said
    assert [letter(n) for n in (1, 26, 27, 52, 53)] == ["A", "Z", "AA", "AZ", "BA"]


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (("cup.bore", NEW), "say why"),
        (("cup.bore", "about 22", "--why", "x"), "about 22"),
        (("cup.bore", NEW, "--from", "9", "--why", "x"), "pieces 1 to 4"),
        (("cup.bore", NEW, "--from", "1", "--why", "x"), "leave --from out"),
        (("cup.bore", "Ø22 +0.05/0", "--why", "x"), "already"),
        (("cup.bore", "by eye: clean", "--from", "3", "--why", "x"), "not of one kind"),
    ],
)
def test_what_is_no_revision_changes_nothing(bored: Path, words: tuple[str, ...], why: str) -> None:
    before = (bored / "build.toml").read_bytes()
    assert why in qlog(bored, "revise", *words, status=2).err
    assert (bored / "build.toml").read_bytes() == before


def test_what_a_stopped_command_wrote_into_the_file_is_logged_by_the_next(
    bored: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    words = ("revise", "cup.bore", NEW, "--from", "4", "--why", "thicker candles")
    with monkeypatch.context() as stopped:
        stopped.setattr(Logbook, "append", lambda *_, **__: (_ for _ in ()).throw(Problem("stop")))
        assert "stop" in qlog(bored, *words, status=2).err
    said = qlog(bored, *words).out
    assert "from cup-4 on" in said and "cup 1-3 keep 22.00 to 22.05 mm" in said
    with Logbook(bored / "logbook.db") as log:
        assert sum("thicker candles" in e.fact.text for e in log.live(Note)) == 1
    assert "already; nothing was changed" in qlog(bored, *words, status=2).err


def test_more_and_fewer_spares_are_an_entry_with_a_reason_and_can_be_taken_back(
    bored: Path,
) -> None:
    before = (bored / "build.toml").read_text(encoding="utf-8")
    qlog(bored, "read", "cup", "20", "bore", "4", "22.02")
    said = qlog(bored, "revise", "cup", "--spare", "3", "--why", "two for the settings").out
    assert "3 needed and 3 spare, before it was 3 needed and 1 spare" in said
    assert load(bored).part("cup").pieces[-1] == 6
    qlog(bored, "read", "cup", "10", "height", "6", "32.01")
    back = next(line for line in said.splitlines() if line.startswith("taken back by: qlog "))
    words = back.removeprefix("taken back by: qlog ").replace("...", "enough").split()
    fewer = qlog(bored, *words).out
    assert "cup-6 stay" in fewer
    assert (bored / "build.toml").read_text(encoding="utf-8") == before
    # Nothing is hidden: the piece beyond the plan is shown, and verify finds nothing wrong.
    assert "32.01" in qlog(bored, "piece", "cup-6").out
    assert "all sound" in qlog(bored, "verify").out
    with Logbook(bored / "logbook.db") as log:
        notes = [e.fact.text for e in log.live(Note)]
    assert len(notes) == 2 and notes[0].endswith("two for the settings")
    for wrong in (("cup", "--spare", "1"), ("cup.bore", "--spare", "2"), ("cup", "--spare", "2")):
        why = () if wrong[-1] == "2" and wrong[0] == "cup" else ("--why", "x")
        assert qlog(bored, "revise", *wrong, *why, status=2).err
