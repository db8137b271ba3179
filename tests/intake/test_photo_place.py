"""Where photos belong: two votes that agree place, one proposes, a contradiction leaves open."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from random import Random

import pytest

from qlog.intake.photos.names import NamedPlace, Route
from qlog.intake.photos.place import Doubt, How, Proposal, Seen, Vote, place
from qlog.intake.photos.slate import Slate
from qlog.intake.photos.work import GAP, Logged

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


def logged(part: str, op: int, *minutes: float, start: bool = False) -> list[Logged]:
    return [Logged(at(m), part, op, start=start) for m in minutes]


def where(proposals: list[Proposal]) -> dict[str, tuple[str, int, int | None, str]]:
    return {p.photo: (p.part, p.op, p.piece, p.how.value) for p in proposals}


def sure(proposals: list[Proposal]) -> list[str]:
    return [p.photo for p in proposals if p.certain and p.part and p.how is not How.CARD]


def test_a_card_alone_proposes_until_the_next_one() -> None:
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
    assert sure(found) == []


def test_card_and_log_together_are_certain() -> None:
    series = [shot("1", 0, FOOT), *(shot(str(m), m) for m in (2, 10, 45, 52))]
    log = [*logged("foot", 20, -1, start=True), *logged("foot", 20, 5, 15, 50, 60)]
    found = place(series, log, ROUTES)
    assert sure(found) == ["2", "10", "52"]
    assert found[1].votes == (Vote(How.SLATE, "foot", 20), Vote(How.TIME, "foot", 20))
    # Half an hour after the last entry and more the card's word is old; the next entry renews it.
    assert (found[3].certain, found[3].part) == (False, "foot")


def test_an_old_card_is_alone_and_says_so() -> None:
    found = place([shot("1", 0, FOOT), shot("2", 19), shot("3", 21)], [], ROUTES)
    assert found[1].why is None
    assert found[2].why is not None
    assert found[2].why.doubt is Doubt.STALE


def test_a_card_against_the_log_leaves_the_photo_unplaced_with_both_reasons() -> None:
    log = [*logged("cup", 10, 1, start=True), *logged("cup", 10, 9)]
    found = place([shot("1", 0, FOOT), shot("2", 5)], log, ROUTES)[1]
    assert (found.part, found.how) == ("", How.UNPLACED)
    assert found.why is not None
    assert found.why.doubt is Doubt.AGAINST
    assert found.why.votes == (Vote(How.SLATE, "foot", 20), Vote(How.TIME, "cup", 10))


def test_between_the_entries_of_two_operations_a_card_is_alone() -> None:
    log = [*logged("cup", 10, -5), *logged("foot", 20, 10)]
    found = place([shot("1", 0, FOOT), shot("2", 2)], log, ROUTES)[1]
    assert (found.part, found.op, found.certain) == ("foot", 20, False)


def test_a_card_forgotten_after_the_last_entry_makes_nothing_certain() -> None:
    # Work went on to the cup, without a card and logged later only.
    log = [*logged("foot", 20, -2, 5), *logged("cup", 10, 30)]
    series = [shot("1", 0, FOOT), shot("2", 3), shot("3", 8), shot("4", 12)]
    found = place(series, log, ROUTES)
    assert sure(found) == ["2"]
    # And where the later work is not logged at all.
    assert sure(place(series, logged("foot", 20, -2, 5), ROUTES)) == ["2"]


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


def test_photos_of_the_same_second_go_by_the_number_in_their_name() -> None:
    series = [shot("IMG_10", 0), shot("IMG_9", 0, FOOT), shot("IMG_8", 0)]
    assert where(place(series, [], ROUTES))["IMG_10"][3] == "slate"
    assert where(place(series, [], ROUTES))["IMG_8"][3] == "unplaced"


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


def test_a_doubtful_time_is_nothing_to_agree_with() -> None:
    log = [*logged("foot", 20, -1, start=True), *logged("foot", 20, 5)]
    series = [shot("1", 0, FOOT), shot("2", 1, time_certain=False), shot("3", 2)]
    assert sure(place(series, log, ROUTES)) == ["3"]
    (alone,) = place([shot("1", 0, time_certain=False)], log, ROUTES)
    assert alone.how is How.UNPLACED


@pytest.mark.parametrize(
    ("slates", "doubt", "what"),
    [
        ((Slate("lid", 20),), Doubt.NOT_IN_PLAN, "lid"),
        ((Slate("foot", 99),), Doubt.NOT_IN_PLAN, "foot op 99"),
        ((Slate("foot", 20, 11),), Doubt.NOT_IN_PLAN, "foot-11"),
        ((FOOT, CUP_3), Doubt.SEVERAL_CARDS, ""),
    ],
)
def test_a_card_that_says_nothing_usable_ends_the_one_before(
    slates: tuple[Slate, ...], doubt: Doubt, what: str
) -> None:
    series = [shot("1", 0, FOOT), shot("2", 1, *slates), shot("3", 2)]
    found = place(series, [], ROUTES)
    assert found[1].how is How.CARD
    assert found[1].part == ""
    assert found[1].why is not None
    assert (found[1].why.doubt, found[1].why.what) == (doubt, what)
    assert found[2].how is How.UNPLACED


def test_a_clock_is_no_place_and_ends_nothing() -> None:
    found = place([shot("1", 0, FOOT), shot("2", 1, CLOCK), shot("3", 2)], [], ROUTES)
    assert [p.how for p in found] == [How.CARD, How.CLOCK, How.SLATE]


def test_the_log_alone_proposes_and_names_a_piece_only_between_two_entries_of_it() -> None:
    log = [Logged(at(m), "cup", 20, piece) for m, piece in ((0, 1), (9, 1), (15, 2))]
    found = place([shot("1", 5), shot("2", 12)], log, ROUTES)
    assert where(found) == {"1": ("cup", 20, 1, "time"), "2": ("cup", 20, None, "time")}
    assert sure(found) == []


def test_a_name_and_the_log_agree_or_contradict() -> None:
    log = logged("cup", 20, 0, 10)
    found = place([shot("1", 5, named=NamedPlace("cup", 20, None))], log, ROUTES)
    assert sure(found) == ["1"]
    found = place([shot("1", 5, named=NamedPlace("foot", 10, 2))], log, ROUTES)
    assert found[0].part == ""
    assert found[0].why is not None
    assert {v.by for v in found[0].why.votes} == {How.TIME, How.NAME}


def test_a_name_alone_proposes() -> None:
    named = NamedPlace("foot", 10, 2)
    (found,) = place([shot("1", None, camera="", named=named)], [], ROUTES)
    assert (found.part, found.op, found.piece, found.how) == ("foot", 10, 2, How.NAME)
    assert not found.certain


def test_the_piece_of_a_name_is_one_word_alone() -> None:
    series = [shot("1", 0, FOOT), shot("2", 1, named=NamedPlace("foot", 20, 4))]
    found = place(series, [], ROUTES)[1]
    assert (found.piece, found.how, found.certain) == (4, How.SLATE, False)
    assert found.why is not None
    assert found.why.doubt is Doubt.PIECE_FROM_NAME
    series = [shot("1", 0, CUP_3), shot("2", 1, named=NamedPlace("cup", 10, 4))]
    found = place(series, [], ROUTES)[1]
    assert found.part == ""
    assert found.why is not None
    assert found.why.doubt is Doubt.AGAINST


def test_a_card_of_another_piece_than_the_log_leaves_the_photo_open() -> None:
    log = [Logged(at(m), "cup", 10, 4) for m in (2, 9)]
    found = place([shot("1", 0, CUP_3), shot("2", 5)], log, ROUTES)[1]
    assert found.part == ""


def test_a_photo_like_one_that_somebody_placed_has_a_vote_for_its_place() -> None:
    known = Vote(How.LIKE, "cup", 10)
    series = [
        shot("1", 0, likeness=0xFF00FF00FF00FF00, confirmed=known),
        shot("2", 1, likeness=0xFF00FF00FF00FF01),
        shot("3", 2, likeness=0x123456789ABCDEF0),
    ]
    found = place(series, [], ROUTES)
    assert (found[1].part, found[1].how, found[1].certain) == ("cup", How.LIKE, False)
    assert found[2].part == ""
    found = place([*series, shot("0", -1, Slate("cup", 10))], [], ROUTES)
    assert sure(found)[-1] == "2"


def test_a_family_picture_in_between_is_not_taken_for_work() -> None:
    base = 0xF0F0F0F0F0F0F0F0
    work = [shot(str(m), m, likeness=base ^ (0b111 << m)) for m in (1, 2, 3, 4, 6, 7)]
    family = shot("family", 5, likeness=0x123456789ABCDEF1)
    log = [*logged("foot", 20, 0, start=True), *logged("foot", 20, 8)]
    found = place([shot("0", 0, FOOT), *work, family], log, ROUTES)
    assert sure(found) == ["1", "2", "3", "4", "6", "7"]
    assert found[-1].why is not None
    assert found[-1].why.doubt is Doubt.STANDS_APART


def test_card_and_log_alone_do_not_know_what_a_picture_shows() -> None:
    """Held by hand, views have nothing in common: a family picture cannot be told from work."""
    views = (0x0F0F33CC55AA9966, 0x123456789ABCDEF1, 0xA5C3F00F96695A3C)
    log = [*logged("foot", 20, 0, start=True), *logged("foot", 20, 8)]
    series = [shot("0", 0, FOOT), *(shot(str(n), n + 1, likeness=v) for n, v in enumerate(views))]
    found = place(series, log, ROUTES)
    assert [(p.part, p.op, p.certain) for p in found[1:]] == [("foot", 20, False)] * 3
    assert {p.why and p.why.doubt for p in found[1:]} == {Doubt.UNSEEN}
    # A name that somebody gave it, or a code beside the work, has seen it.
    named = replace(series[1], named=NamedPlace("foot", 20, None))
    marked = replace(series[2], slates=(Slate("foot", 20, width=0.1),))
    assert sure(place([series[0], named, marked, series[3]], log, ROUTES)) == ["0", "1"]


def test_where_the_plan_has_one_place_only_it_is_proposed() -> None:
    routes = {"cup": Route(frozenset({10}), 4)}
    (found,) = place([shot("1", 0)], [], routes)
    assert (found.part, found.op, found.how, found.certain) == ("cup", 10, How.ONLY, False)
    assert place([shot("1", 0)], [], ROUTES)[0].part == ""


def test_a_name_that_once_contradicted_is_not_forgotten() -> None:
    log = [*logged("foot", 20, 0, start=True), *logged("foot", 20, 8)]
    found = place([shot("0", 0, FOOT), shot("1", 1, disputed=True)], log, ROUTES)[1]
    assert found.part == ""
    assert found.why is not None
    assert found.why.doubt is Doubt.NAME_BEFORE


def test_nothing_in_nothing_out() -> None:
    assert place([], [], {}) == []


def test_two_like_phones_are_told_apart_by_their_counters() -> None:
    """Their cards take turns; each phone's photos stand under its own card."""
    series = []
    for n in range(6):
        one = FOOT if n == 0 else None
        two = CUP_3 if n == 0 else None
        series.append(shot(f"IMG_{412 + n:04}.jpg", 2 * n, *((one,) if one else ())))
        series.append(shot(f"IMG_{8731 + n}.jpg", 2 * n + 1, *((two,) if two else ())))
    found = where(place(series, [], ROUTES))
    assert {found[f"IMG_{412 + n:04}.jpg"][:2] for n in range(6)} == {("foot", 20)}
    assert {found[f"IMG_{8731 + n}.jpg"][:3] for n in range(6)} == {("cup", 10, 3)}


def test_like_phones_that_nothing_tells_apart_vote_as_one_and_lose_certainty() -> None:
    series = [
        shot("20250314_180000.jpg", 0, FOOT),
        shot("20250314_180100.jpg", 1, CUP_3),
        *(shot(f"20250314_18{m:02}00.jpg", m) for m in range(2, 9)),
    ]
    log = [*logged("foot", 20, -1, 3, 6, 9), *logged("cup", 10, -1, 4, 7, 10)]
    assert sure(place(series, log, ROUTES)) == []


def test_one_camera_that_skips_numbers_stays_one() -> None:
    series = [
        shot("IMG_9998.jpg", 0, FOOT), shot("IMG_9999.jpg", 1), shot("IMG_0001.jpg", 2),
        shot("IMG_E0001.jpg", 3), shot("IMG_0090.jpg", 4), shot("IMG_7000.jpg", 5),
    ]  # fmt: skip
    assert {p.part for p in place(series, [], ROUTES)} == {"foot"}
