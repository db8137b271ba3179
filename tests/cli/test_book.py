"""The book and the cards: laid out from the keepsake, printed by the system's Chromium."""

import json
import re
from pathlib import Path

import pytest
from PIL import Image

from qlog.record.keepsake.book import code
from qlog.record.publish import pdf
from tests.conftest import run_qlog

PLAN = """
title = "Two hooks"
dedication = "For the long way home."
address = "https://example.org/hooks/"
[[part]]
id = "hook"
name = "Hook"
needed = 2
  [[part.op]]
  number = 10
  name = "bend"
[[item]]
id = "hook"
name = "Hook"
count = 2
marks = ["H1", "H2"]
takes = { hook = 1 }
"""
#: ISO 216 in points of 1/72 inch, as a PDF has them.
A4, A5 = (595, 842), (420, 595)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    folder = tmp_path / "b"
    assert run_qlog("new", str(folder)).status == 0
    (folder / "build.toml").write_text(PLAN, encoding="utf-8")
    Image.linear_gradient("L").resize((4000, 3000)).save(tmp_path / "hook.jpg", quality=30)
    for words in (
        ("done", "hook", "10"),
        ("photo", "add", str(tmp_path / "hook.jpg"), "--item", "hook-1", "--note", "A hook"),
    ):
        assert run_qlog("--build", str(folder), *words).status in (0, 1)
    return folder


def made(folder: Path) -> Path:
    ran = run_qlog("--build", str(folder), "record", "--for", "recipient", "--book")
    assert ran.status == 0, ran.err
    return folder / "record" / "book"


def sheet_of(data: bytes) -> tuple[int, int]:
    box = re.search(rb"/MediaBox \[0 0 ([0-9.]+) ([0-9.]+)\]", data)
    assert box is not None
    return round(float(box[1])), round(float(box[2]))


def test_the_book_is_printed_on_both_sizes_and_the_same_each_time(folder: Path) -> None:
    book = made(folder)
    printed = {p.name: p.read_bytes() for p in book.glob("*.pdf")}
    assert {n: sheet_of(d) for n, d in printed.items()} == {
        "book-a5.pdf": A5, "book-a4.pdf": A4, "cards.pdf": A4,
    }  # fmt: skip
    text = (book / "book.html").read_text(encoding="utf-8")
    leaves, halves = text.count('<section class="leaf'), text.count('<div class="mend-half')
    sheets = {n: len(re.findall(rb"/Type /Page\b", d)) for n, d in printed.items()}
    assert sheets == {"book-a5.pdf": leaves + halves // 2, "book-a4.pdf": leaves, "cards.pdf": 1}
    for name in ("book-a5.pdf", "book-a4.pdf"):
        assert b"/Width 3200" in printed[name], "the pictures are printed from all of their pixels"
    made_at = json.loads((book / "record.json").read_text(encoding="utf-8"))["made_at"]
    assert pdf.print_pages(book, {"cards.html": "again.pdf"}, made_at) == ("again.pdf",)
    assert (book / "again.pdf").read_bytes() == printed["cards.pdf"]


def test_it_is_printed_again_where_a_page_or_a_print_changed(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    runs: list[tuple[str, ...]] = []
    real = pdf.print_pages

    def watched(into: Path, pages: dict[str, str], made_at: str) -> tuple[str, ...]:
        runs.append(tuple(pages.values()))
        return real(into, pages, made_at)

    monkeypatch.setattr(pdf, "print_pages", watched)
    book = made(folder)
    printed = {p.name: p.read_bytes() for p in book.glob("*.pdf")}
    assert (made(folder), len(runs)) == (book, 1)
    run_qlog("--build", str(folder), "note", "hook", "a word for me alone")
    made(folder)
    assert len(runs) == 1, "no page of the book tells of it"
    (book / "cards.pdf").write_bytes(b"%PDF-1.4 harmed")
    made(folder)
    assert len(runs) == 2
    assert {p.name for p in book.glob("*.pdf")} == set(printed)
    assert (book / "cards.pdf").read_bytes().startswith(b"%PDF-1.4\n%")
    plan = folder / "build.toml"
    text = plan.read_text(encoding="utf-8")
    plan.write_text(text.replace("For the long way home.", "For the way home."), encoding="utf-8")
    made(folder)
    assert len(runs) == 3


def test_without_a_browser_the_pages_are_there_to_be_printed(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(pdf, "browser", lambda: None)
    ran = run_qlog("--build", str(folder), "record", "--for", "recipient", "--book")
    assert ran.status == 0 and "no Chromium was found" in ran.out
    book = folder / "record" / "book"
    assert not list(book.glob("*.pdf"))
    text = (book / "book.html").read_text(encoding="utf-8")
    assert "For the long way home." in text and "H1" in text
    (photo,) = (book / "photos").iterdir()
    with Image.open(photo) as image:
        assert max(image.size) == 3200
        assert image.width / (210 / 25.4) >= 300, "dots to the inch over the whole width of A4"


def test_the_code_of_a_card_leads_to_the_page_of_its_thing(folder: Path, tmp_path: Path) -> None:
    """Read back by a reader of another make than the writer."""
    import zxingcpp

    address = "https://example.org/hooks/items/h1.html"
    drawn = code(address)
    picture = Image.new("L", (drawn.size, drawn.size), 255)
    for x, y in re.findall(r"M(\d+) (\d+)h1v1h-1z", drawn.path):
        picture.putpixel((int(x), int(y)), 0)
    (found,) = zxingcpp.read_barcodes(picture.resize((drawn.size * 6, drawn.size * 6)))
    assert found.text == address
