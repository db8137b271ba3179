"""Sheets of slate cards: the right cards, whose codes read as what the words say."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from PIL import Image

from qlog.drawing.build_file.load import load
from qlog.intake.photos import slate
from tests.conftest import Ran
from tests.odd_photos import exif
from tests.photo_scenes import card, code, photo, view

Run = Callable[..., Ran]


def cards(page: str) -> list[tuple[tuple[str, ...], slate.Slate]]:
    """The words of every card, and the slate that its code reads as when it is drawn."""
    found = []
    for one_card in page.split('<li class="card')[1:]:
        words = re.findall(r"<(?:h2|p)[^>]*>([^<]*)<", one_card)[:3]
        svg = one_card[one_card.index("<svg") : one_card.index("</svg>")]
        view = re.search(r'viewBox="0 0 (\d+) (\d+)"', svg)
        assert view
        image = Image.new("L", (int(view[1]), int(view[2])), 255)
        path = re.search(r'stroke="#000"[^>]*d="([^"]*)"|d="([^"]*)"[^>]*stroke="#000"', svg)
        assert path
        draw_lines(image, path[1] or path[2])
        big = image.resize((image.width * 8, image.height * 8), Image.Resampling.NEAREST)
        (one,) = slate.find_in(big)
        assert one.build == slate.build_id(re.findall(r"Slate cards: ([^<]*)<", page)[0])
        found.append((tuple(words), replace(one, build="")))
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
    assert page.count("<svg") == 2 * 3  # each code a second time in the card's blank corner
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


def test_the_photo_of_a_filled_in_sheet_is_kept_with_its_operation(
    tmp_path: Path, build_dir: Path, run: Run
) -> None:
    own = slate.build_id(load(build_dir / "build.toml").title)
    sheet = slate.payload(slate.Slate("cup", 20, build=own, sheet=True))
    other = slate.payload(slate.Slate("cup", 20, build="AAAA", sheet=True))
    photo(tmp_path / "d" / "card.jpg", "09:59", 1, shows=card("cup", 10))
    photo(tmp_path / "d" / "sheet.jpg", "10:00", 2, shows=sheet)
    photo(tmp_path / "d" / "other.jpg", "10:01", 3, shows=other)
    photo(tmp_path / "d" / "work.jpg", "10:02", 4)
    run("done", "cup", "20", "1", "--made", "2026-02-13T10:00+01:00")
    ran = run("photo", "add", str(tmp_path / "d"))
    assert "sheet.jpg: taken in" in ran.out
    assert "shows a bench sheet: kept with its operation, for the maker" in ran.out
    rows = {r["name"]: r for r in json.loads(run("photo", "list", "--json").out)["photos"]}
    at = rows["sheet.jpg"]
    assert (at["part"], at["op"], at["audience"], at["how"]) == ("cup", 20, "maker", "sheet")
    assert rows["other.jpg"]["part"] is None
    # It neither starts nor ends what a card said.
    assert rows["work.jpg"]["proposal"]["op"] == 10


@pytest.mark.parametrize(
    ("shows", "note"),
    [
        (slate.payload(slate.Slate("cup", 20, build="AAAA")), ""),
        ("qlog1 P cup 20 XXXX", "shows a code that cannot be read, perhaps a card"),
    ],
)
def test_a_card_of_another_build_or_one_misread_ends_the_one_before(
    tmp_path: Path, run: Run, shows: str, note: str
) -> None:
    photo(tmp_path / "d" / "1.jpg", "10:00", 1, shows=card("cup", 10))
    photo(tmp_path / "d" / "2.jpg", "10:01", 2)
    photo(tmp_path / "d" / "3.jpg", "10:02", 3, shows=shows)
    photo(tmp_path / "d" / "4.jpg", "10:03", 4)
    run("photo", "add", str(tmp_path / "d"))
    rows = {r["name"]: r for r in json.loads(run("photo", "unplaced", "--json").out)["photos"]}
    assert rows["2.jpg"]["proposal"]["op"] == 10
    assert rows["4.jpg"]["proposal"] is None
    if note:
        assert rows["3.jpg"]["note"] == note
    else:
        assert "3.jpg" not in rows  # a card, though of another build


def test_a_small_code_beside_the_work_speaks_for_its_photo_alone(tmp_path: Path, run: Run) -> None:
    photo(tmp_path / "d" / "1.jpg", "10:00", 1, shows=card("cup", 10))
    beside = view(2, (1600, 1200)).copy()
    beside.paste(code(card("cup", 20, 3), 220), (100, 100))
    beside.save(
        tmp_path / "d" / "2.jpg",
        exif=exif(
            original="2026:02:14 10:01:00", offset="+01:00", make="Workshop", model="Phone 1"
        ),
    )
    photo(tmp_path / "d" / "3.jpg", "10:02", 3)
    run("photo", "add", str(tmp_path / "d"))
    rows = {r["name"]: r for r in json.loads(run("photo", "unplaced", "--json").out)["photos"]}
    # The card and the code contradict each other for this one; the card goes on for the next.
    assert (
        rows["2.jpg"]["note"] == "the card says cup op 10 and the code beside it says cup-3 op 20"
    )
    assert rows["3.jpg"]["proposal"]["op"] == 10
