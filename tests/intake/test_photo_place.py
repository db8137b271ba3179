"""Where photos belong: slate before time before name, and the unplaced for the rest."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from random import Random

import pytest

from qlog.intake.photos.names import NamedPlace, Route
from qlog.intake.photos.place import GAP, How, Proposal, Seen, Stretch, place
from qlog.intake.photos.slate import Slate

ROUTES = {"foot": Route(frozenset({10, 20}), 10), "cup": Route(frozenset({10, 20}), 10)}
START = datetime(2025, 3, 14, 18, 0, tzinfo=UTC)
FOOT = Slate("foot", 20)
CUP_3 = Slate("cup", 10, 3)
CLOCK = Slate(shown=START)


def at(minutes: float) -> datetime:
    return START + timedelta(minutes=minutes)


def shot(
    photo: str, minutes: float | None, *slates: Slate, camera: str = "a", **more: object
) -> Seen:
    taken = None if minutes is None else at(minutes)
    return Seen(photo, photo, camera, taken, slates=slates, **more)


def where(proposals: list[Proposal]) -> dict[str, tuple[str, int, int | None, str]]:
    return {p.photo: (p.part, p.op, p.piece, p.how.value) for p in proposals}


def test_a_slate_holds_until_the_next_one() -> None:
    series = [
        shot("1", 0),
        shot("2", 1, FOOT),
        shot("3", 2),
        shot("4", 3),
        shot("5", 4, CUP_3),
        shot("6", 5),
    ]
    found = place(series, [], ROUTES)
    assert where(found) == {
        "1": ("", 0, None, "unplaced"),
        "2": ("foot", 20, None, "card"),
        "3": ("foot", 20, None, "slate"),
        "4": ("foot", 20, None, "slate"),
        "5": ("cup", 10, 3, "card"),
        "6": ("cup", 10, 3, "slate"),
    }
    assert [p.certain for p in found] == [False, True, True, True, True, True]


def test_the_order_of_the_files_does_not_matter() -> None:
    series = [
        shot(str(i), i, *((FOOT,) if i == 3 else (CUP_3,) if i == 7 else ())) for i in range(12)
    ]
    wanted = where(place(series, [], ROUTES))
    for seed in range(20):
        shuffled = series.copy()
        Random(seed).shuffle(shuffled)
        found = place(shuffled, [], ROUTES)
        assert [p.photo for p in found] == [s.photo for s in shuffled]
        assert where(found) == wanted


def test_photos_of_the_same_second_go_by_name() -> None:
    series = [shot("IMG_2", 0), shot("IMG_1", 0, FOOT), shot("IMG_0", 0)]
    assert where(place(series, [], ROUTES))["IMG_2"][3] == "slate"
    assert where(place(series, [], ROUTES))["IMG_0"][3] == "unplaced"


def test_a_slate_holds_for_its_own_camera_only() -> None:
    series = [shot("1", 0, FOOT), shot("2", 1, camera="b"), shot("3", 2, camera="")]
    found = where(place(series, [], ROUTES))
    assert found["2"][3] == found["3"][3] == "unplaced"
    unknown = [shot("1", 0, FOOT, camera=""), shot("2", 1, camera="")]
    assert where(place(unknown, [], ROUTES))["2"][3] == "unplaced"


def test_a_long_gap_ends_a_slate_and_a_chain_of_short_ones_does_not() -> None:
    minutes = GAP / timedelta(minutes=1)
    series = [
        shot("1", 0, FOOT),
        shot("2", minutes),
        shot("3", 2 * minutes),
        shot("4", 3 * minutes + 0.1),
        shot("5", 3 * minutes + 1),
    ]
    how = {name: found[3] for name, found in where(place(series, [], ROUTES)).items()}
    assert how == {"1": "card", "2": "slate", "3": "slate", "4": "unplaced", "5": "unplaced"}
    assert where(place(series, [], ROUTES, gap=timedelta(days=1)))["5"][3] == "slate"


def test_a_photo_without_a_time_is_under_no_slate() -> None:
    series = [shot("1", 0, FOOT), shot("2", None), shot("3", None, CUP_3), shot("4", 1)]
    found = where(place(series, [], ROUTES))
    assert found["2"][3] == "unplaced"
    assert found["3"] == ("cup", 10, 3, "card")
    assert found["4"] == ("foot", 20, None, "slate")


def test_a_doubtful_time_makes_a_doubtful_place() -> None:
    series = [shot("1", 0, FOOT), shot("2", 1, time_certain=False), shot("3", 2)]
    found = place(series, [Stretch("cup", 10, at(-9), at(9))], ROUTES)
    assert [p.certain for p in found] == [True, False, True]
    (alone,) = place(
        [shot("1", 0, time_certain=False)], [Stretch("cup", 10, at(-9), at(9))], ROUTES
    )
    assert alone.how is How.UNPLACED


@pytest.mark.parametrize(
    ("slates", "note"),
    [
        ((Slate("lid", 20),), "part lid"),
        ((Slate("foot", 99),), "foot op 99"),
        ((Slate("foot", 20, 11),), "foot-11"),
        ((FOOT, CUP_3), "several cards"),
    ],
)
def test_a_card_that_says_nothing_usable_ends_the_one_before(
    slates: tuple[Slate, ...], note: str
) -> None:
    series = [shot("1", 0, FOOT), shot("2", 1, *slates), shot("3", 2)]
    found = place(series, [], ROUTES)
    assert found[1].how is How.CARD
    assert found[1].part == ""
    assert note in found[1].note
    assert found[2].how is How.UNPLACED


def test_a_clock_is_no_place_and_ends_nothing() -> None:
    found = place([shot("1", 0, FOOT), shot("2", 1, CLOCK), shot("3", 2)], [], ROUTES)
    assert [p.how for p in found] == [How.CARD, How.CLOCK, How.SLATE]


def test_time_proposes_and_slate_decides() -> None:
    stretches = [Stretch("cup", 20, at(0), at(30))]
    found = place([shot("1", 5), shot("2", 6, FOOT), shot("3", 7)], stretches, ROUTES)
    assert where(found)["1"] == ("cup", 20, None, "time")
    assert not found[0].certain
    assert where(found)["3"] == ("foot", 20, None, "slate")


def test_the_edges_of_a_stretch() -> None:
    stretches = [Stretch("cup", 20, at(0), at(30), 4)]
    found = where(place([shot(str(m), m) for m in (-0.1, 0, 30, 30.1)], stretches, ROUTES))
    assert [v[3] for v in found.values()] == ["unplaced", "time", "time", "unplaced"]
    assert found["0"][2] == 4


def test_overlapping_stretches() -> None:
    both = [Stretch("cup", 20, at(0), at(30)), Stretch("foot", 10, at(20), at(40))]
    series = [shot("1", 25), shot("2", 25, named=NamedPlace("foot", 10, 2))]
    found = place(series, both, ROUTES)
    assert found[0].how is How.UNPLACED
    assert "several operations" in found[0].note
    assert where(found)["2"] == ("foot", 10, 2, "time")
    pieces = [
        Stretch("cup", 20, at(0), at(60)),
        Stretch("cup", 20, at(0), at(30), 1),
        Stretch("cup", 20, at(25), at(60), 2),
    ]
    found = place([shot("1", 10), shot("2", 27), shot("3", 40)], pieces, ROUTES)
    assert [(p.how.value, p.piece) for p in found] == [("time", 1), ("time", None), ("time", 2)]


def test_names_propose_last_and_speak_up_when_they_differ() -> None:
    named = NamedPlace("foot", 10, 2)
    (found,) = place([shot("1", None, camera="", named=named)], [], ROUTES)
    assert (found.part, found.op, found.piece, found.how) == ("foot", 10, 2, How.NAME)
    assert not found.certain
    (found,) = place([shot("1", 5, named=named)], [Stretch("cup", 20, at(0), at(9))], ROUTES)
    assert (found.part, found.how, found.note) == ("cup", How.TIME, "its name says foot op 10")
    series = [shot("1", 0, FOOT), shot("2", 1, named=NamedPlace("foot", 20, 4))]
    found = place(series, [], ROUTES)[1]
    assert (found.piece, found.how, found.certain) == (4, How.SLATE, False)
    assert found.note == "the piece is from its name"
    series = [shot("1", 0, CUP_3), shot("2", 1, named=NamedPlace("cup", 10, 4))]
    found = place(series, [], ROUTES)[1]
    assert (found.piece, found.note) == (3, "its name says cup-4")


def test_nothing_in_nothing_out() -> None:
    assert place([], [], {}) == []
