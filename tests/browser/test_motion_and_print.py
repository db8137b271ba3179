"""Reduced motion, and paper: A4 and US Letter, without the parts that only a screen needs."""

import re
import zlib
from pathlib import Path

import pytest

from tests.browser.conftest import Opener
from tests.demo_record import EDITIONS, Demo

#: Width of the text on paper in CSS pixels (96 to the inch), margins of 14 mm taken off.
PAPERS = {"A4": 688, "Letter": 710}
MOVING = """
() => [...document.querySelectorAll("*")].filter(e => {
  const s = getComputedStyle(e);
  return s.animationName !== "none" || s.transitionDuration.split(",").some(d => parseFloat(d));
}).length
"""


def test_nothing_moves_for_those_who_asked_for_rest(opened: Opener) -> None:
    still = opened("recipient", motion="reduce").go("index.html")
    assert still.evaluate(MOVING) == 0
    moving = opened("recipient", motion="no-preference").go("index.html")
    assert moving.evaluate(MOVING) > 0


def pdf_pages(pdf: bytes) -> int:
    return len(re.findall(rb"/Type\s*/Page\b(?!s)", pdf))


@pytest.mark.parametrize("paper", PAPERS)
def test_pages_print_on_paper(opened: Opener, tmp_path: Path, paper: str) -> None:
    for edition, path, most in (
        ("maker", "report/cup.html", 3),
        ("maker", "dimensions/cup-bore.html", 4),  # its control charts are printed too
        ("recipient", "index.html", 4),
    ):
        page = opened(edition).go(path)
        page.emulate_media(media="print")
        assert not page.locator(".top nav").is_visible()
        pdf = page.pdf(format=paper, print_background=True)
        assert pdf.startswith(b"%PDF-")
        assert 1 <= pdf_pages(pdf) <= most, (path, pdf_pages(pdf))


def test_what_is_printed_before_its_face_is_there_is_no_blank_sheet(opened: Opener) -> None:
    page = opened("maker").go("index.html")
    page.evaluate("document.documentElement.classList.add('face-awaited')")
    visible = "getComputedStyle(document.body).visibility"
    page.emulate_media(media="print")
    assert page.evaluate(visible) == "visible"


#: Words and numbers of the tables of readings that stand on more than one line.
SPLIT = """
() => [...document.querySelectorAll(".readings th, .readings td")].flatMap(cell => {
  const text = document.createTreeWalker(cell, NodeFilter.SHOW_TEXT);
  const found = [];
  for (let node; (node = text.nextNode());) {
    for (const word of node.data.matchAll(/[^\\s\\u00ad-]+/g)) {
      const range = document.createRange();
      range.setStart(node, word.index);
      range.setEnd(node, word.index + word[0].length);
      const tops = new Set([...range.getClientRects()].map(box => Math.round(box.top)));
      if (tops.size > 1) found.push(word[0]);
    }
  }
  return found;
})
"""


def test_no_word_and_no_number_of_a_printed_reading_is_split(opened: Opener) -> None:
    seen = opened("maker", width=min(PAPERS.values()))
    seen.page.emulate_media(media="print")
    for path in ("dimensions/cup-bore.html", "dimensions/foot-height.html", "piece/cup-7.html"):
        page = seen.go(path)
        assert page.locator(".readings td").count() > 0, path
        assert page.evaluate(SPLIT) == [], path


@pytest.mark.parametrize("edition", EDITIONS)
def test_nothing_is_cut_off_at_the_edge_of_the_paper(
    opened: Opener, shown: Demo, edition: str
) -> None:
    """On the narrower of the two papers, and so on both."""
    width = min(PAPERS.values())
    seen = opened(edition, width=width)
    seen.page.emulate_media(media="print")
    wide = {}
    for path in shown.pages(edition):
        page = seen.go(path)
        across = page.evaluate("document.documentElement.scrollWidth")
        if across > width:
            wide[path] = across
    assert wide == {}


#: A table of so many rows in the record's style, each with a red mark to count on the paper.
TABLE = """<!doctype html><style>{css} .mark {{ display: inline-block; width: 7px; height: 7px;
background: rgb(255, 0, 0) }}</style><main><table class="ruled"><thead><tr><th>a</th></tr></thead>
<tbody>{rows}</tbody></table></main>"""


def marks(pdf: bytes) -> list[int]:
    """How many red marks are on each sheet, in their order."""
    objects = dict(re.findall(rb"(\d+) 0 obj(.*?)endobj", pdf, re.S))
    (kids,) = [k for o in objects.values() for k in re.findall(rb"/Kids\s*\[(.*?)\]", o, re.S)]
    found = []
    for sheet in re.findall(rb"(\d+) 0 R", kids):
        (content,) = re.findall(rb"/Contents\s*(\d+) 0 R", objects[sheet])
        stream = objects[content].split(b"stream", 1)[1].lstrip(b"\r\n").rsplit(b"endstream", 1)[0]
        found.append(zlib.decompress(stream).count(b"1 0 0 rg"))
    return found


def test_the_last_row_of_a_table_is_not_alone_on_a_sheet(opened: Opener, shown: Demo) -> None:
    css = (shown.edition("maker") / "record.css").read_text(encoding="utf-8")
    page = opened("maker").page
    sheets = []
    for count in (44, 46, 47, 48):
        rows = "<tr><td><i class=mark></i>x</td></tr>" * count
        page.set_content(TABLE.format(css=css, rows=rows))
        sheets.append(marks(page.pdf(format="A4", print_background=True)))
    assert [sum(s) for s in sheets] == [44, 46, 47, 48]
    assert any(len(s) == 2 for s in sheets)
    assert all(len(s) == 1 or s[-1] > 1 for s in sheets), sheets
