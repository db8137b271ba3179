"""Places that names spell, and names that spell none."""

from __future__ import annotations

from pathlib import PurePosixPath, PureWindowsPath

import pytest

from qlog.intake.photos.names import NamedPlace, Route, operation_words, place_by_name

ROUTES = {
    "foot": Route(frozenset({10, 20, 30}), 10),
    "cup": Route(frozenset({10, 20}), 10, operation_words({10: "turn", 20: "mill flats"})),
    "cup-ring": Route(frozenset({10}), 10),
    "Säule": Route(frozenset({5, 10}), 4),
    "m6": Route(frozenset({20}), 4),
}


@pytest.mark.parametrize(
    ("name", "part", "op", "piece"),
    [
        ("foot/20/IMG_0010.jpg", "foot", 20, None),
        ("foot/10/IMG_0010.jpg", "foot", 10, None),  # ten pieces, but a folder is an evening's
        ("foot/20/3/IMG_0010.jpg", "foot", 20, 3),
        ("foot/3/op20/IMG_0010.jpg", "foot", 20, 3),
        ("foot/10/op20/IMG_0010.jpg", "foot", 20, 10),
        ("foot/10/foot-3.jpg", "foot", 10, 3),
        ("foot/op 30/piece 4/x.jpg", "foot", 30, 4),
        ("foot/20 boring/x.jpg", "foot", 20, None),
        ("foot/20-boring/x.jpg", "foot", 20, None),
        ("foot/20/foot-3.jpg", "foot", 20, 3),
        ("foot-3/op20/x.jpg", "foot", 20, 3),
        ("foot-3-op20.jpg", "foot", 20, 3),
        ("foot-3-20.jpg", "foot", 20, 3),
        ("foot-20-3.jpg", "foot", 20, 3),
        ("foot-20.jpg", "foot", 20, None),
        ("foot-10-10.jpg", "foot", 10, 10),
        ("FOOT3_OP020.JPG", "foot", 20, 3),
        ("the foot, op 20.jpg", "foot", 20, None),
        ("foot op20 (2).jpg", "foot", 20, None),
        ("foot-3-op20-20250304.jpg", "foot", 20, 3),
        ("evening/foot/cup/20/x.jpg", "cup", 20, None),
        ("cup-ring op10.jpg", "cup-ring", 10, None),
        ("cup-3-op20.jpg", "cup", 20, 3),
        ("sa\u0308ule/10/x.jpg", "Säule", 10, None),  # decomposed, as one file system stores it
        ("SÄULE-2-op5.jpg", "Säule", 5, 2),
        ("foot\n3\nop20.jpg", "foot", 20, 3),
        ("m6 op20.jpg", "m6", 20, None),
        ("ｆｏｏｔ-３-op２０.jpg", "foot", 20, 3),  # full-width letters
    ],
)
def test_names_that_spell_a_place(name: str, part: str, op: int, piece: int | None) -> None:
    assert place_by_name(PurePosixPath(name), ROUTES) == NamedPlace(part, op, piece)


@pytest.mark.parametrize(
    "name",
    [
        "IMG_0020.jpg",
        "foot/IMG_0020.jpg",  # a camera's counter
        "cup/P1010020.jpg",
        "foot-IMG-20.jpg",
        "foot-10.jpg",  # op 10 or piece 10
        "foot/10/20/x.jpg",  # which of the two?
        "barefoot-20.jpg",
        "footing-op20.jpg",
        "foot-cup-20.jpg",  # two parts
        "foot-99.jpg",
        "foot-3-op99.jpg",
        "foot-op20-op30.jpg",
        "foot-20-30.jpg",
        "foot-3-op20-2.jpg",
        "op20-3.jpg",
        "20/3.jpg",
        "2025 summer/foot/03/x.jpg",
        "🕯.jpg",
        "",
    ],
)
def test_names_that_spell_none(name: str) -> None:
    assert place_by_name(PurePosixPath(name), ROUTES) is None


@pytest.mark.parametrize(
    ("name", "place"),
    [
        ("cup-3 flats.jpg", NamedPlace("cup", 20, 3)),
        ("cup flats.jpg", NamedPlace("cup", 20, None)),
        ("cup-3 in the chuck.jpg", NamedPlace("cup", 0, 3)),
        ("foot-3.jpg", NamedPlace("foot", 0, 3)),
        ("cup-ring 3.jpg", NamedPlace("cup-ring", 10, 3)),  # one operation only
        ("World cup 2026-06-20.jpg", None),
        ("World cup 20.06.2026.jpg", None),
        ("cup 20260620.jpg", None),
        ("cup-3 2026-06-20.jpg", None),  # the day of a match as well as a piece
        ("cup-3-op20 2026-06-20.jpg", NamedPlace("cup", 20, 3)),
    ],
)
def test_words_of_operations_pieces_alone_and_dates(name: str, place: NamedPlace | None) -> None:
    assert place_by_name(PurePosixPath(name), ROUTES) == place


def test_a_word_of_two_operations_says_neither() -> None:
    assert operation_words({10: "mill flats", 20: "mill slot", 30: "of"}) == {
        "flats": 10,
        "slot": 20,
    }


def test_a_piece_that_there_is_not_is_not_named() -> None:
    assert place_by_name(PurePosixPath("foot-11-op20.jpg"), ROUTES) == NamedPlace("foot", 20, None)
    assert place_by_name(PurePosixPath("foot-0-op20.jpg"), ROUTES) == NamedPlace("foot", 20, None)


def test_other_separators() -> None:
    path = PureWindowsPath(r"D:\DCIM\foot\20\IMG_1.JPG")
    assert place_by_name(path, ROUTES) == NamedPlace("foot", 20, None)
    assert place_by_name(PurePosixPath("foot-20.jpg"), {}) is None
