"""Reduced motion, and paper: A4 and US Letter, without the parts that only a screen needs."""

import re
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
        ("maker", "dimensions/cup-bore.html", 3),
        ("recipient", "index.html", 4),
    ):
        page = opened(edition).go(path)
        page.emulate_media(media="print")
        assert not page.locator(".top nav").is_visible()
        pdf = page.pdf(format=paper, print_background=True)
        assert pdf.startswith(b"%PDF-")
        assert 1 <= pdf_pages(pdf) <= most, (path, pdf_pages(pdf))


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
