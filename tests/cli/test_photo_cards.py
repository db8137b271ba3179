"""Sheets of slate cards: the right cards, whose codes read as what the words say."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image

from qlog.intake.photos import slate
from tests.conftest import Ran

Run = Callable[..., Ran]


def cards(page: str) -> list[tuple[tuple[str, ...], slate.Slate]]:
    """The words of every card, and the slate that its code reads as when it is drawn."""
    found = []
    for card in page.split('<li class="card')[1:]:
        words = re.findall(r"<(?:h2|p)[^>]*>([^<]*)<", card)[:3]
        svg = card[card.index("<svg") : card.index("</svg>")]
        view = re.search(r'viewBox="0 0 (\d+) (\d+)"', svg)
        assert view
        image = Image.new("L", (int(view[1]), int(view[2])), 255)
        path = re.search(r'stroke="#000"[^>]*d="([^"]*)"|d="([^"]*)"[^>]*stroke="#000"', svg)
        assert path
        draw_lines(image, path[1] or path[2])
        big = image.resize((image.width * 8, image.height * 8), Image.Resampling.NEAREST)
        (one,) = slate.find_in(big)
        found.append((tuple(words), one))
    return found


def draw_lines(image: Image.Image, path: str) -> None:
    """Draw a path of horizontal lines one unit wide: M x y, m dx dy, h length."""
    x = y = 0.0
    for command, numbers in re.findall(r"([Mmh])([-\d. ]+)", path):
        values = [float(n) for n in numbers.split()]
        if command == "M":
            x, y = values
        elif command == "m":
            x, y = x + values[0], y + values[1]
        else:
            for n in range(int(values[0])):
                image.putpixel((int(x) + n, int(y)), 0)
            x += values[0]


def test_a_card_for_every_operation_of_the_plan(build_dir: Path, run: Run) -> None:
    ran = run("card")
    assert (ran.status, ran.err) == (0, "")
    assert "3 cards on 1 sheet of A4" in ran.out
    page = (build_dir / "cards.html").read_text(encoding="utf-8")
    assert cards(page) == [
        (("Cup", "op 10 turn outside", "all pieces"), slate.Slate("cup", 10)),
        (("Cup", "op 20 bore", "all pieces"), slate.Slate("cup", 20)),
        (("Ring", "op 10 part off", "all pieces"), slate.Slate("ring", 10)),
    ]
    assert "://" not in page.replace("http://www.w3.org/2000/svg", "")


def test_a_card_for_every_piece_on_letter_paper(tmp_path: Path, run: Run) -> None:
    out = tmp_path / "new" / "sheet.html"
    ran = run("card", "cup", "20", "all", "--paper", "letter", "--out", str(out))
    assert "4 cards on 1 sheet of Letter" in ran.out
    page = out.read_text(encoding="utf-8")
    assert "size: letter" in page
    assert [one for _, one in cards(page)] == [slate.Slate("cup", 20, n) for n in (1, 2, 3, 4)]
    assert [words[2] for words, _ in cards(page)] == [f"piece {n}" for n in (1, 2, 3, 4)]


def test_five_cards_are_two_sheets_and_print_to_standard_output(build_dir: Path, run: Run) -> None:
    plan = build_dir / "build.toml"
    plan.write_text(plan.read_text("utf-8").replace("spare = 1", "spare = 2"), encoding="utf-8")
    ran = run("card", "cup", "20", "1-5", "--out", "-")
    assert ran.out.startswith("<!doctype html>")
    assert ran.out.count('<ul class="sheet">') == 2
    assert not (build_dir / "cards.html").exists()
    assert "2 sheets" in run("card", "cup", "20", "1-5").out


def test_a_new_sheet_replaces_the_old_one_and_nothing_else(build_dir: Path, run: Run) -> None:
    assert run("card").status == 0
    assert run("card", "cup").status == 0
    target = build_dir / "cards.html"
    target.write_text("my own cards", encoding="utf-8")
    ran = run("card")
    assert ran.status == 2
    assert "left alone" in ran.err
    assert target.read_text("utf-8") == "my own cards"
    assert [p.name for p in build_dir.iterdir() if p.name.startswith(".page")] == []


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("cupp",), "did you mean cup?"),
        (("cup", "15"), "its route is"),
        (("cup", "10", "7"), "pieces 1 to 4"),
        (("cup", "10", "1", "--paper", "a3"), "'a3' is not one of"),
        (("--out", "."), "is a folder"),
    ],
)
def test_what_is_not_in_the_plan_gets_no_card(
    build_dir: Path, run: Run, words: tuple[str, ...], said: str
) -> None:
    ran = run("card", *words)
    assert ran.status == 2
    assert said in ran.err
    assert not (build_dir / "cards.html").exists()


def test_words_from_the_plan_are_text_and_not_markup(build_dir: Path, run: Run) -> None:
    plan = build_dir / "build.toml"
    text = plan.read_text("utf-8").replace('name = "Cup"', "name = \"Cup <b>& 'co'\"")
    plan.write_text(text.replace('title = "Two', 'title = "<script>Two'), encoding="utf-8")
    run("card")
    page = (build_dir / "cards.html").read_text(encoding="utf-8")
    assert "Cup &lt;b&gt;&amp;" in page
    assert "<script" not in page
    assert "<b>" not in page
