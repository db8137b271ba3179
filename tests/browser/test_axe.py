"""axe-core over every page: the WCAG 2.2 AA rules, both schemes, three widths, no violation."""

import os
from importlib.resources import files

import pytest

from tests.browser.conftest import SIZES, Opener, first_of_each_kind
from tests.demo_record import EDITIONS, Demo

AXE = (files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8")
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
#: The rules that look at colours take most of the time. Colours come from the style sheet and the
#: templates, so one page of every kind is enough for them.
OF_COLOUR = ["color-contrast", "link-in-text-block"]
#: Results that pass are not asked for, and no style sheet is fetched: the policy forbids it.
RUN = """
async ([tags, without]) => {
  const found = await axe.run(document, {
    runOnly: {type: "tag", values: tags},
    rules: Object.fromEntries(without.map(name => [name, {enabled: false}])),
    resultTypes: ["violations"], preload: false,
  });
  const where = v => v.nodes.map(n => n.html.slice(0, 160)).join(" | ");
  return found.violations.map(v => `${v.id}: ${where(v)}`);
}
"""


@pytest.mark.parametrize("edition", EDITIONS)
def test_every_page_obeys_the_rules(opened: Opener, shown: Demo, edition: str) -> None:
    seen = opened(edition, width=360, init=AXE)
    violations = []
    for path in shown.pages(edition):
        found = seen.go(path).evaluate(RUN, [TAGS, OF_COLOUR])
        violations += [f"{path}: {line}" for line in found]
    assert violations == []


@pytest.mark.parametrize("edition", EDITIONS)
def test_every_kind_of_page_obeys_them_in_both_schemes_at_three_widths(
    opened: Opener, shown: Demo, edition: str
) -> None:
    """All rules; on every page where QLOG_AXE is "all", which takes minutes."""
    seen = opened(edition, init=AXE)
    pages = shown.pages(edition)
    violations = []
    for path in pages if os.environ.get("QLOG_AXE") == "all" else first_of_each_kind(pages):
        page = seen.go(path)
        for scheme in ("light", "dark"):
            page.emulate_media(color_scheme=scheme)
            for width, height in SIZES.items():
                page.set_viewport_size({"width": width, "height": height})
                found = page.evaluate(RUN, [TAGS, []])
                violations += [f"{path}, {scheme}, {width}: {line}" for line in found]
    assert violations == []


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
    found = page.evaluate(RUN, [TAGS, []])
    assert {line.split(":")[0] for line in found} == {"image-alt", "color-contrast"}
