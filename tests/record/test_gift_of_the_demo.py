"""What the example's gift shows of its story, and what it says is not ready."""

import re
from collections.abc import Iterator
from decimal import Decimal
from html.parser import HTMLParser
from pathlib import Path

import pytest

from qlog.record.keepsake.not_ready import not_ready
from qlog.record.publish.editions import rehearsed
from qlog.review.items.finished import finished_items
from qlog.words.catalogue import words_of
from tests.conftest import run_qlog
from tests.demo_record import Demo
from tests.record.golden_text import text_of


def page(shown: Demo, name: str) -> str:
    return text_of((shown.edition("recipient") / name).read_text(encoding="utf-8"))


def test_only_the_photo_that_is_missing_on_purpose_is_not_ready(shown: Demo) -> None:
    words = words_of(shown.picture.build)
    lines = rehearsed(shown.picture, words)
    assert not_ready(shown.picture, words, lines) == (
        "Cup: no photo of operation 30 that the recipient may see.",
    )


def test_an_accepted_piece_is_shown_with_its_reason_and_the_reason_is_true(shown: Demo) -> None:
    picture = shown.picture
    items = {i.item.id: i.item for i in finished_items(picture.build, picture.items, picture.parts)}
    out = {
        item.name: (piece.part, piece.number)
        for item in items.values()
        for piece in item.pieces
        if any(cell.bad for cell in piece.cells)
    }
    assert out == {"No. 6": ("foot", 4)}
    (accepted,) = picture.build.gift.accepted
    assert (accepted.part, accepted.piece) == ("foot", 4)
    for n in range(1, 9):
        said = f"Outside its drawing, and kept: {accepted.why}"
        assert (said in page(shown, f"items/no-{n}.html")) == (n == 6)
    # "four hundredths of a millimetre larger than first drawn"
    foot = next(view for view in picture.parts if view.part.id == "foot")
    rim = next(s for s in foot.series if s.dimension.id == "rim")
    reading = next(r for r in rim.readings if r.piece == 4)
    assert reading.value is not None and reading.judgement is not None
    drawn = reading.judgement.limits.upper
    assert drawn == Decimal("64.1") and reading.value - drawn == Decimal("0.04")


def test_what_went_wrong_and_was_saved_is_told_as_the_maker_tells_it(shown: Demo) -> None:
    story = page(shown, "story.html")
    assert "The sixth drip pan did not become one" in story
    assert "One came out too thin and was made anew." in story
    (remade,) = [e for view in shown.picture.parts for e in view.remade]
    assert (remade.fact.part, remade.fact.piece) == ("low-stem", 6)
    low = page(shown, "items/no-5.html")
    assert "Its foot was the" in low
    assert "Its low stem was" not in low, "numbers no longer tell in which order they were made"


def test_the_story_ends_on_the_best_picture_and_shows_it_once(shown: Demo) -> None:
    html = (shown.edition("recipient") / "story.html").read_text(encoding="utf-8")
    main = html[: html.index("</main>")]
    assert main.count('The first rehearsal by their light"') == 1
    behind = main[main.rindex("<img") :]
    assert "The first rehearsal by their light" in behind and "Nobody missed the lamp." in behind


class _Headings(HTMLParser):
    """What stands in a page, in its order: levels of headings, and 0 for anything to see."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[int] = []
        self._inside = ""

    def handle_starttag(self, tag: str, _attrs: list[tuple[str, str | None]]) -> None:
        if re.fullmatch("h[1-6]", tag):
            self._inside = tag
            self.found.append(int(tag[1]))
        elif tag in ("img", "svg", "audio"):
            self.found.append(0)

    def handle_endtag(self, tag: str) -> None:
        if tag == self._inside:
            self._inside = ""

    def handle_data(self, data: str) -> None:
        if data.strip() and not self._inside:
            self.found.append(0)


def empty_headings(folder: Path) -> Iterator[str]:
    """Pages with a heading that heads nothing, the book's too."""
    for path in sorted(folder.rglob("*.html")):
        html = path.read_text(encoding="utf-8")
        parser = _Headings()
        parser.feed(html[html.index("<main") : html.index("</main>")])
        for n, level in enumerate(parser.found):
            follows = parser.found[n + 1] if n + 1 < len(parser.found) else 1
            if level and 0 < follows <= level:
                yield path.name


def test_no_heading_heads_nothing(shown: Demo) -> None:
    assert list(empty_headings(shown.edition("recipient"))) == []


BARE = """
title = "Two hooks"
[[part]]
id = "hook"
name = "Hook"
needed = 2
  [[part.op]]
  number = 10
  name = "bend"
"""


@pytest.mark.parametrize(
    "items", ["", '[[item]]\nid = "hook"\nname = "Hook"\ncount = 1\ntakes.hook = 1\n']
)
def test_where_the_maker_wrote_nothing_nothing_stands(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, items: str
) -> None:
    monkeypatch.setattr("qlog.record.publish.pdf.browser", lambda: None)
    folder = tmp_path / "b"
    run_qlog("new", str(folder))
    (folder / "build.toml").write_text(BARE + items, encoding="utf-8")
    for words in (("done", "hook", "10"), ("record", "--for", "recipient", "--book")):
        ran = run_qlog("--build", str(folder), *words)
        assert ran.status in (0, 1), ran.err
    record = folder / "record"
    names = {p.relative_to(record).as_posix() for p in record.rglob("*.html")}
    things = {"items.html", "items/hook-1.html"} if items else set()
    assert {n.removeprefix("recipient/") for n in names if n.startswith("recipient/")} == {
        "index.html", "care.html", "repair.html", "repair/hook.html", "words.html", "about.html",
    } | things  # fmt: skip
    assert list(empty_headings(record)) == []
