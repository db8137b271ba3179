"""axe-core over every page: the WCAG 2.2 AA rules, both schemes, three widths, no violation."""

import os
from importlib.resources import files

import pytest
from playwright.sync_api import Page

from tests.browser.conftest import SIZES, Opener, Scheme
from tests.demo_record import EDITIONS, Demo

AXE = (files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8")
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
#: The rules that look at colours; all the others find the same in either scheme.
OF_COLOUR = ["color-contrast", "link-in-text-block"]
#: Results that pass are not asked for, and no style sheet is fetched: the policy forbids it.
RUN = """
async ([type, values]) => {
  const found = await axe.run(document, {
    runOnly: {type, values}, resultTypes: ["violations"], preload: false,
  });
  return found.violations.map(v => `${v.id}: ${v.nodes.map(n => n.html.slice(0, 160)).join(" | ")}`);
}
"""


def first_of_each_kind(pages: list[str]) -> list[str]:
    """One page of every template: each page at the top, and the first of each folder."""
    seen: dict[str, str] = {}
    for path in pages:
        folder, _, name = path.rpartition("/")
        seen.setdefault(folder or name, path)
    return list(seen.values())


@pytest.mark.parametrize("edition", EDITIONS)
def test_every_page_obeys_the_rules(opened: Opener, shown: Demo, edition: str) -> None:
    """Every page: all rules on a phone by daylight, those of colour on a laptop by night."""
    seen = opened(edition, init=AXE)
    violations = []
    for path in shown.pages(edition):
        page = seen.go(path)
        for scheme, width, asked in (
            ("light", 360, ["tag", TAGS]),
            ("dark", 1280, ["rule", OF_COLOUR]),
        ):
            violations += check(page, path, scheme, width, asked)
    assert violations == []


@pytest.mark.parametrize("edition", EDITIONS)
def test_every_kind_of_page_obeys_them_in_both_schemes_at_three_widths(
    opened: Opener, shown: Demo, edition: str
) -> None:
    """All rules, schemes and widths; on every page when QLOG_AXE is "all" (takes minutes)."""
    seen = opened(edition, init=AXE)
    pages = shown.pages(edition)
    violations = []
    for path in pages if os.environ.get("QLOG_AXE") == "all" else first_of_each_kind(pages):
        page = seen.go(path)
        for scheme in ("light", "dark"):
            for width in SIZES:
                violations += check(page, path, scheme, width, ["tag", TAGS])
    assert violations == []


def check(page: Page, path: str, scheme: Scheme, width: int, asked: list[object]) -> list[str]:
    page.emulate_media(color_scheme=scheme)
    page.set_viewport_size({"width": width, "height": SIZES[width]})
    return [f"{path}, {scheme}, {width}: {found}" for found in page.evaluate(RUN, asked)]


def test_axe_finds_what_is_wrong(opened: Opener) -> None:
    """The check itself can fail: an image without words and grey on grey are found."""
    page = opened("recipient", init=AXE).go("care.html")
    page.evaluate(
        """() => {
          const p = document.createElement("p");
          p.textContent = "grey"; p.className = "probe";
          const image = document.createElement("img");
          image.src = "icon.svg"; image.width = 20; image.height = 20;
          document.querySelector("main").append(p, image);
          const sheet = new CSSStyleSheet();
          sheet.replaceSync(".probe { color: #999; background: #aaa }");
          document.adoptedStyleSheets = [sheet];
        }"""
    )
    found = page.evaluate(RUN, ["tag", TAGS])
    assert {line.split(":")[0] for line in found} == {"image-alt", "color-contrast"}
