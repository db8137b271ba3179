"""Diary, photo index and pages of pieces: complete, cut into pages, and the maker's alone."""

from dataclasses import replace
from typing import cast

import pytest

from qlog.record.pages.gallery import Gallery, Shown
from qlog.record.pages.instrument_page import instruments
from qlog.record.pages.lookup.diary_pages import diary_pages
from qlog.record.pages.lookup.listed import (
    ROW,
    TEXT,
    ListOn,
    Room,
    cut,
    first_places,
    line,
    list_pages,
    photos,
)
from qlog.record.pages.lookup.photo_index import photo_pages
from qlog.record.pages.maker import pages
from qlog.record.pages.page import Page
from qlog.review.diary.days import Day, Diary
from qlog.review.diary.events import What
from qlog.review.picture import Picture
from qlog.words.catalogue import words_of
from qlog.words.diary.told import one_text
from tests.demo_record import Demo
from tests.record.golden_text import text_of


def pages_of(shown: Demo, name: str) -> str:
    """All leaves of a list of the maker's edition."""
    folder = shown.edition("maker")
    leaves = [folder / f"{name}.html", *sorted(folder.glob(f"{name}-*.html"))]
    return "".join(leaf.read_text(encoding="utf-8") for leaf in leaves)


def diary_of(shown: Demo) -> Diary:
    assert shown.picture.diary is not None
    return shown.picture.diary


def test_blocks_go_on_over_leaves_in_their_order_and_none_is_too_tall() -> None:
    blocks = [Room(tall, 1000) for tall in (1000, 5000, 5500, 400, 7000, 100)]
    leaves = cut(blocks, lambda block: block)
    assert [[b.tall for b in leaf] for leaf in leaves] == [[1000, 5000], [5500, 400], [7000], [100]]
    assert cut([], lambda block: block) == []
    assert line(300).tall > line(30).tall
    assert photos(40).heavy > photos(4).heavy


def test_every_day_and_every_reading_stands_in_the_diary(shown: Demo) -> None:
    text = text_of(pages_of(shown, "diary"))
    words = words_of(shown.picture.build)
    for day in diary_of(shown).days:
        assert f"# {words.date(day.date)}" in text
    readings = [e for e in diary_of(shown).events if e.what is What.READ]
    assert len(readings) > 200
    for event in readings:
        assert event.reading is not None
        typed = event.reading.typed.split()[0]
        if event.reading.passed is None:
            assert f"{words.called(event.part, event.piece or 0)}: {typed}" in text


def test_a_long_diary_is_cut_and_every_day_is_found_on_its_leaf(shown: Demo) -> None:
    picture = longer(shown.picture)
    words = words_of(picture.build)
    laid_out, places = diary_pages(picture, (), Gallery({}, {}), words)
    leaves = list(laid_out)
    assert len(leaves) > 10
    assert picture.diary is not None
    assert set(places) == {day.date for day in picture.diary.days}
    found = {leaf.path: {day.anchor for day in leaf.days} for leaf in leaves}
    for place in places.values():
        path, _, anchor = place.partition("#")
        assert anchor in found[path]
    told = [line for leaf in leaves for day in leaf.days for p in day.places for line in p.lines]
    happenings = [h for d in picture.diary.days for h in d.happenings]
    assert len(told) == sum(h.what is not What.PHOTO for h in happenings)


@pytest.mark.parametrize("language", ["en", "de"])
def test_everything_in_the_example_is_said_one_by_one(shown: Demo, language: str) -> None:
    assert shown.picture.diary is not None
    words = words_of(replace(shown.picture.build, language=language))
    events = list(shown.picture.diary.events)
    assert {What.SETUP, What.SET, What.SHIPPED, What.CHECKED} <= {e.what for e in events}
    assert all(one_text(event, words) for event in events)


def longer(picture: Picture) -> Picture:
    """The same build gone on for years, with one day of a hundred operations."""
    assert picture.diary is not None
    days = picture.diary.days
    years = [replace(d, date=f"{y}{d.date[4:]}") for y in range(2026, 2034) for d in days]
    full = Day("2040-01-01", tuple(h for d in years for h in d.happenings))
    return replace(picture, diary=Diary((*years, full)))


def test_a_page_of_lists_goes_on_over_leaves_and_loses_nothing(shown: Demo) -> None:
    words = words_of(shown.picture.build)
    page = Page("missing.html", "maker/missing.html", "Missing", {}, "missing")
    lists = [ListOn("a", "First", range(250), ROW), ListOn("b", "Then", range(7), TEXT)]
    leaves = list(list_pages(page, lists, words, {}))
    assert [leaf.path for leaf in leaves] == ["missing.html", "missing-2.html", "missing-3.html"]
    assert [thing for leaf in leaves for thing in leaf.context["a"]] == list(range(250))
    assert [leaf.context["first"] for leaf in leaves] == [True, False, False]
    assert [len(leaf.context["b"]) for leaf in leaves] == [0, 0, 7]
    places = first_places(page.path, [f"n-{n}" for n in range(250)], ROW)
    assert list(places.values()) == [
        f"{leaf.path}#n-{thing}" for leaf in leaves for thing in leaf.context["a"]
    ]
    (empty,) = list_pages(page, [ListOn("a", "First", (), ROW)], words, {})
    assert empty.title == "Missing" and empty.context["a"] == []


def test_an_item_is_found_on_the_leaf_on_which_it_stands(shown: Demo) -> None:
    """More items than a leaf has room for, each in the one before it, and a photo of the last."""
    (first, *_), (photo, *_) = shown.picture.items, (p for p in shown.picture.photos if p.counts)
    made = tuple(
        replace(
            first, id=f"{first.group}-{n}", holds=(f"{first.group}-{n + 1}",) if n < 200 else ()
        )
        for n in range(1, 201)
    )
    last = made[-1].id
    shot = replace(photo, part=None, piece=None, op=None, item=last)
    picture = replace(shown.picture, items=made, photos=(shot,))
    gallery = Gallery({shot.sha256: cast(Shown, None)}, {})
    whole, more = pages(picture, words_of(picture.build), gallery, {})
    laid = [*whole, *more]
    stands = next(
        page.path
        for page in laid
        if page.section == "items" and any(i["item"].id == last for i in page.context["items"])
    )
    assert stands != "items.html"
    places = next(page.context["item_places"] for page in laid if page.path == "items.html")
    assert places[last] == f"{stands}#{last}"
    (index,) = (page.context["leaf"] for page in laid if page.path == "photos.html")
    assert [p.piece_href for group in index.groups for p in group.photos] == [places[last]]


def test_parts_of_one_name_and_long_groups_keep_their_own_places_in_the_index(shown: Demo) -> None:
    """Foot and cup called alike; 41 photos of the foot as a whole, and some of its operation 2."""
    cup, foot = (shown.picture.part(id) for id in ("cup", "foot"))
    op = foot.ops[0]
    second = replace(op, operation=replace(op.operation, number=2, name="turn"))
    views = [
        replace(foot, part=replace(foot.part, name="Leg"), ops=(second,)),
        replace(cup, part=replace(cup.part, name="Leg"), ops=(second,)),
    ]
    photo = next(p for p in shown.picture.photos if p.counts)
    of = [("foot", None)] * 41 + [("foot", 2)] * 3 + [("cup", 2)] * 5
    shots = tuple(
        replace(photo, part=part, op=number, piece=None, item="", sha256=f"{n:064}")
        for n, (part, number) in enumerate(of)
    )
    picture = replace(shown.picture, parts=tuple(views), photos=shots)
    gallery = Gallery({p.sha256: cast(Shown, None) for p in shots}, {})
    leaves = photo_pages(picture, gallery, {}, {}, words_of(picture.build))
    anchors = [group.anchor for leaf in leaves for group in leaf.groups]
    assert len(anchors) == len(set(anchors)) == 5
    assert [(way.href, way.count) for way in leaves[0].by_op] == [
        ("photos.html#p-foot-2", 3), ("photos.html#p-foot.all", 41), ("photos.html#p-cup-2", 5),
    ]  # fmt: skip


def test_what_an_instrument_read_of_parts_of_one_name_is_counted_for_each(shown: Demo) -> None:
    def read(picture: Picture) -> list[int]:
        return [len(one["used"]) for one in instruments(picture, words_of(picture.build))]

    alike = tuple(replace(v, part=replace(v.part, name="Leg")) for v in shown.picture.parts)
    assert read(replace(shown.picture, parts=alike)) == read(shown.picture)


def test_every_photo_stands_in_the_index_and_leads_to_its_piece_and_day(shown: Demo) -> None:
    html = pages_of(shown, "photos")
    for photo in shown.picture.photos:
        if photo.counts:
            assert photo.caption in html or not photo.caption
            if photo.part and photo.piece:
                assert f'href="piece/{photo.part}-{photo.piece}.html"' in html
            if photo.taken:
                assert f"#d-{photo.taken[:10]}" in html


@pytest.mark.parametrize("part", ["foot", "cup", "pan"])
def test_the_page_of_a_piece_has_everything_about_it(shown: Demo, part: str) -> None:
    view = shown.picture.part(part)
    for piece in view.pieces:
        page = shown.edition("maker") / "piece" / f"{piece.anchor}.html"
        text = text_of(page.read_text(encoding="utf-8"))
        own = [r for s in view.series for r in s.readings if r.piece == piece.number]
        assert text.count("| A |") + text.count("| B |") == len(own)
        for reading in own:
            assert reading.revision in ("A", "B")
            assert f"| {reading.revision} |" in text
            assert reading.instrument is None or reading.instrument in text
            assert all(c.reason in text for c in reading.corrections)
        assert all(e.fact.why in text for e in piece.dispositions)
        assert all(e.fact.text in text for e in piece.notes)


def test_a_reading_stands_with_the_limits_that_judged_it(shown: Demo) -> None:
    """The rim of foot 4 was judged by revision A, which asked for less than B does now."""
    page = shown.edition("maker") / "piece" / "foot-4.html"
    text = text_of(page.read_text(encoding="utf-8"))
    rim = next(line for line in text.splitlines() if line.startswith("| rim diameter"))
    assert "63.9 to 64.1 mm" in rim and "| A |" in rim
    later = shown.edition("maker") / "piece" / "foot-6.html"
    text = text_of(later.read_text(encoding="utf-8"))
    rim = next(line for line in text.splitlines() if line.startswith("| rim diameter"))
    assert "63.8 to 64.2 mm" in rim and "| B |" in rim


def test_the_recipient_gets_none_of_it(shown: Demo) -> None:
    pages = shown.pages("recipient")
    assert not [p for p in pages if p.startswith(("piece/", "pieces/", "diary", "photos"))]
    menu = (shown.edition("recipient") / "index.html").read_text(encoding="utf-8")
    assert "diary.html" not in menu and "photos.html" not in menu
