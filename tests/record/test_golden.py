"""What the record of the example says, word for word.

After a change that was meant, write the files anew and read the difference:

    QLOG_UPDATE_GOLDEN=1 pytest tests/record/test_golden.py
"""

import os
from pathlib import Path

import pytest

from tests.demo_record import Demo
from tests.record.golden_text import text_of

FOLDER = Path(__file__).parent / "golden"
#: One page of every kind, and the readings as they are handed over.
PAGES = {
    "maker": (
        "index.html", "parts.html", "compare.html", "parts/pan.html", "pieces/pan.html",
        "piece/pan-6.html", "piece/cup-3.html", "diary.html", "photos.html",
        "dimensions/cup-bore.html", "dimensions/pan-bore.html", "dimensions/tall-stem-waist.html",
        "fits.html", "items.html", "instruments.html", "missing.html", "corrections.html",
        "report/pan.html", "method.html", "READ ME FIRST.txt", "readings.csv",
    ),
    "recipient": (
        "index.html", "items.html", "items/no-1.html", "letter.html", "repair/foot.html",
        "story.html", "care.html", "words.html", "about.html", "READ ME FIRST.txt", "readings.csv",
    ),
}  # fmt: skip


@pytest.mark.parametrize(("edition", "page"), [(e, p) for e, ps in PAGES.items() for p in ps])
def test_it_says_what_it_said(shown: Demo, edition: str, page: str) -> None:
    said = (shown.edition(edition) / page).read_text(encoding="utf-8")
    if page.endswith(".html"):
        said = text_of(said)
    name = page.replace("/", "-").replace(" ", "-").removesuffix(".html")
    golden = FOLDER / edition / (name if "." in name else f"{name}.txt")
    if os.environ.get("QLOG_UPDATE_GOLDEN"):
        golden.parent.mkdir(parents=True, exist_ok=True)
        golden.write_text(said, encoding="utf-8", newline="\n")
    assert said == golden.read_text(encoding="utf-8")


def test_no_golden_file_is_left_over() -> None:
    wanted = {
        (edition, page.replace("/", "-").replace(" ", "-").removesuffix(".html").split(".")[0])
        for edition, pages in PAGES.items()
        for page in pages
    }
    there = {(f.parent.name, f.name.split(".")[0]) for f in FOLDER.rglob("*") if f.is_file()}
    assert there == wanted


def test_the_text_of_a_page_is_taken_whole() -> None:
    html = (
        "<h1>A <b>foot</b></h1><table><tr><th>x</th><td>1&nbsp;mm</td></tr></table>"
        '<img alt="A foot"><p>one<br>two</p>'
    )
    assert text_of(html) == "# A foot\n| x | 1 mm\n[picture: A foot]\none / two\n"
