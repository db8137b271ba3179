"""Marks: by which pieces and items are called, as build.toml writes them and as they are typed."""

from pathlib import Path

import pytest

from qlog.drawing.build_file.load import PlanError, load_text
from qlog.drawing.plan import Build, Part
from qlog.intake.typed.places import PlaceError, item_of, named_piece, piece_labelled, pieces_of

PLAN = """
title = "Drip pans"
[[part]]
id = "pan"
needed = 4
spare = 2
{marks}
  [[part.op]]
  number = 10
  name = "turn"
[[part]]
id = "pan-rim"
needed = 4
marks = ["1", "Zoe", "x-1", "Ä 1"]
  [[part.op]]
  number = 10
  name = "turn"
[[item]]
id = "stand"
name = "Stand"
count = 3
takes = {{ pan = 1 }}
{item}
"""


def plan(marks: str = "", item: str = "", arm: str = '"1..4"') -> Build:
    text = PLAN.format(marks=marks, item=item)
    return load_text(text.replace('["1", "Zoe", "x-1", "Ä 1"]', arm), Path())


def pan(marks: str) -> Part:
    return plan(f"marks = {marks}").part("pan")


@pytest.mark.parametrize(
    ("written", "marks"),
    [
        ('"A..F"', ("A", "B", "C", "D", "E", "F")),
        ('"41..46"', ("41", "42", "43", "44", "45", "46")),
        ('"008..011"', ("008", "009", "010", "011")),
        ('"K-7..K-9"', ("K-7", "K-8", "K-9")),
        ('"K7..9"', ("K7", "K8", "K9")),
        ('["Ada", "Ben"]', ("Ada", "Ben")),
        ("[]", ()),
    ],
)
def test_marks_are_written_as_a_list_or_a_run(written: str, marks: tuple[str, ...]) -> None:
    part = pan(written)
    assert part.marks == marks
    assert [part.called(n) for n in part.pieces] == [
        *marks, *map(str, range(len(marks) + 1, 7))
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("written", "what"),
    [
        ('"A..G"', "7 marks for 6"),
        ('"A to F"', "is no run"),
        ('"A..6"', "from a letter to a number"),
        ('"F..A"', "runs backwards"),
        ('["Ada", "ada"]', "used twice"),
        ('["Ada 1"]', "cannot be typed safely"),
        ('["a,b"]', "cannot be typed safely"),
        ('["1-3"]', "cannot be typed safely"),
        ('["all"]', "cannot be typed safely"),
        ('[" "]', "cannot be typed safely"),
        ('["3"]', "piece 3 has no mark"),
        ("[3]", "not a text"),
    ],
)
def test_marks_that_could_be_taken_for_another_are_refused(written: str, what: str) -> None:
    with pytest.raises(PlanError) as error:
        pan(written)
    assert what in str(error.value)


@pytest.mark.parametrize(
    ("marks", "typed", "numbers"),
    [
        ('"A..F"', "a", [1]),
        ('"A..F"', "pan-C", [3]),
        ('"A..F"', "B-D, f", [2, 3, 4, 6]),
        ('"A..F"', "A..C", [1, 2, 3]),
        ('"A..F"', "all", [1, 2, 3, 4, 5, 6]),
        ('"A..F"', "2", [2]),  # letters leave the numbers of the pieces free
        ('"3..8"', "3", [1]),  # numbers do not: a mark is meant
        ('"3..8"', "pan-4", [2]),
        ('"3..8"', "4-6", [2, 3, 4]),
        ('["Ada", "Ben"]', "BEN", [2]),
        ('["Ada", "Ben"]', "4", [4]),
        ('"K-1..K-6"', "K-2", [2]),
        ('"K-1..K-6"', "K-2-K-4", [2, 3, 4]),
        ('"K-1..K-6"', "K-2..K-4", [2, 3, 4]),
    ],
)
def test_pieces_are_typed_by_their_marks(marks: str, typed: str, numbers: list[int]) -> None:
    assert pieces_of(pan(marks), typed) == numbers


@pytest.mark.parametrize(
    ("marks", "typed"),
    [('"3..8"', "1"), ('"3..8"', "pan-2"), ('"A..F"', "G"), ('"A..F"', "C-A"), ('"A..F"', "")],
)
def test_what_is_no_mark_is_refused(marks: str, typed: str) -> None:
    with pytest.raises(PlaceError) as error:
        pieces_of(pan(marks), typed)
    assert "marks: " in str(error.value) or "backwards; write A-C" in str(error.value)


def test_a_whole_name_or_a_mark_that_no_other_part_has_names_a_piece() -> None:
    build = plan('marks = ["Ada", "1a"]', arm='["1", "Zoe", "x-1", "ada"]')
    found = [named_piece(build, text) for text in ("pan-ada", "PAN-3", "Zoe", "pan-rim-x-1")]
    assert [(part.id, n) for part, n in found] == [
        ("pan", 1), ("pan", 3), ("pan-rim", 2), ("pan-rim", 3),
    ]  # fmt: skip
    with pytest.raises(PlaceError, match="pan-Ada"):
        named_piece(build, "ada")


def test_a_list_may_label_pieces_by_mark() -> None:
    assert piece_labelled(pan('"A..F"'), "d") == 4
    assert piece_labelled(pan('"A..F"'), "Piece 2") == 2
    with pytest.raises(PlaceError):
        piece_labelled(pan('"11..16"'), "Piece 2")


def test_items_are_called_by_what_stands_on_them() -> None:
    (group,) = plan(item='marks = "No. 5..No. 7"\nmark-place = "under the foot"').groups
    assert [group.called(n) for n in (1, 2, 3)] == ["No. 5", "No. 6", "No. 7"]
    assert [group.address(n) for n in (1, 2, 3)] == ["no-5", "no-6", "no-7"]
    assert group.mark_place == "under the foot"
    (plain,) = plan().groups
    assert (plain.called(2), plain.address(2), plain.mark(2)) == ("Stand 2", "stand-2", "")


@pytest.mark.parametrize("typed", ["stand-2", "No. 6", "no.  6"])
def test_an_item_is_typed_by_its_mark_or_its_id(typed: str) -> None:
    group, number = item_of(plan(item='marks = "No. 5..No. 7"'), typed)
    assert (group.id, number) == ("stand", 2)


@pytest.mark.parametrize(
    ("marks", "what"),
    [
        ('["No. 1", "no 1"]', "is that of another item"),
        ('["stand 3"]', "is that of another item"),
        ('["--"]', "has no letter and no digit"),
        ('["1", "2", "3", "4"]', "4 marks for 3"),
    ],
)
def test_two_items_have_no_title_and_no_address_alike(marks: str, what: str) -> None:
    with pytest.raises(PlanError) as error:
        plan(item=f"marks = {marks}")
    assert what in str(error.value)


def test_pieces_are_kept_together_by_their_marks() -> None:
    keep = '[[keep]]\ntogether = ["pan-C", "pan-rim-x-1"]'
    build = plan('marks = "A..F"', keep, arm='["1", "Zoe", "x-1", "ada"]')
    (ban,) = build.bans
    assert ban.pieces == (("pan", 3), ("pan-rim", 3))
    with pytest.raises(PlanError, match="a mark: A, B"):
        plan('marks = "A..F"', keep.replace("pan-C", "pan-X"), arm='["1", "Zoe", "x-1", "ada"]')
