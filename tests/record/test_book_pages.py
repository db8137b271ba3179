"""The story dealt out to the pages of a book: full pages, in order, and nothing lost."""

from types import SimpleNamespace
from typing import Any, cast

import pytest

from qlog.record.keepsake.book_pages import PAPERS, BookPage, fits_beside, leaves
from qlog.record.keepsake.keepsake import Chapter, Keepsake, Memory, Step
from qlog.record.pages.gallery import Shown

PHOTO = cast(Shown, SimpleNamespace(caption="A foot in the chuck", upright=False))


def kept(*steps: Step, memories: tuple[Memory, ...] = ()) -> Keepsake:
    chapter = Chapter("May 2026", steps)
    return cast(Keepsake, SimpleNamespace(chapters=(chapter,), memories=memories))


def step(title: str, text: str = "Turned on the lathe.", **more: Any) -> Step:
    photos = (PHOTO,) if more.get("photo", True) else ()
    return Step(title, "Foot", (text,) if text else (), None, "", photos)


def titles(found: tuple[BookPage, ...]) -> list[list[str]]:
    return [[told.title for told in leaf.steps] for leaf in found]


@pytest.mark.parametrize("paper", PAPERS.values(), ids=PAPERS)
@pytest.mark.parametrize("count", range(1, 40))
def test_every_step_is_there_once_and_no_page_is_left_with_little(paper: Any, count: int) -> None:
    found = leaves(kept(*(step(str(n)) for n in range(count))), paper, "Memories")
    assert [t for page in titles(found) for t in page] == [str(n) for n in range(count)]
    numbers = [len(leaf.steps) for leaf in found]
    assert max(numbers) - min(numbers) <= 1 or count < 3, numbers
    assert not any(leaf.loose for leaf in found)


def test_few_pictures_stand_above_their_words_and_more_beside_them() -> None:
    one = leaves(kept(step("1")), PAPERS["a5"], "Memories")
    three = leaves(kept(*(step(str(n)) for n in range(3))), PAPERS["a5"], "Memories")
    assert [leaf.stacked for leaf in one] == [True]
    assert [leaf.stacked for leaf in three] == [False]


def test_a_chapter_longer_than_a_page_runs_on_alone() -> None:
    found = leaves(kept(step("1"), step("2", "word " * 900, photo=False), step("3")),
                   PAPERS["a5"], "Memories")  # fmt: skip
    assert titles(found) == [["1"], ["2"], ["3"]]
    assert [leaf.loose for leaf in found] == [False, True, False]


def test_headings_stand_once_and_memories_end_it() -> None:
    memories = (Memory(PHOTO, "By their light."), Memory(None, "And again."))
    found = leaves(kept(step("1"), step("2"), memories=memories), PAPERS["a5"], "Memories")
    told = [t for leaf in found for t in leaf.steps]
    assert [t.heading for t in told] == ["May 2026", "", "Memories", ""]
    assert [t.remembered for t in told] == [False, False, True, True]


def test_nothing_told_is_no_page() -> None:
    empty = cast(Keepsake, SimpleNamespace(chapters=(), memories=()))
    assert leaves(empty, PAPERS["a4"], "Memories") == ()


def test_a_letter_leaves_room_for_its_picture_or_does_not() -> None:
    assert fits_beside(["Dear all."], PAPERS["a5"])
    assert not fits_beside(["word " * 500], PAPERS["a5"])
