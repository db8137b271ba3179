"""axe-core over every page: the WCAG 2.2 AA rules, both schemes, three widths, no violation."""

import os
from importlib.resources import files

import pytest

from tests.browser.conftest import SIZES, Opener, Scheme, first_of_each_kind
from tests.demo_record import EDITIONS, Demo

AXE = (files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8")
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
#: The rules that look at colours take most of the time. Colours come from the style sheet and the
#: templates, so one page of every kind is enough for them.
OF_COLOUR = ["color-contrast", "link-in-text-block"]
ALL_RULES = {"runOnly": {"type": "tag", "values": TAGS}}
BUT_COLOUR = {**ALL_RULES, "rules": {name: {"enabled": False} for name in OF_COLOUR}}
COLOUR_ALONE = {"runOnly": {"type": "rule", "values": OF_COLOUR}}
#: Results that pass are not asked for, and no style sheet is fetched: the policy forbids it.
RUN = """
async (options) => {
  const found = await axe.run(
    document, {...options, resultTypes: ["violations"], preload: false});
  const where = v => v.nodes.map(n => n.html.slice(0, 160)).join(" | ");
  return found.violations.map(v => `${v.id}: ${where(v)}`);
}
"""


@pytest.mark.parametrize("edition", EDITIONS)
def test_every_page_obeys_the_rules(opened: Opener, shown: Demo, edition: str) -> None:
    seen = opened(edition, width=360, init=AXE)
    violations = []
    for path in shown.pages(edition):
        found = seen.go(path).evaluate(RUN, BUT_COLOUR)
        violations += [f"{path}: {line}" for line in found]
    assert violations == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("edition", EDITIONS)
def test_every_kind_of_page_obeys_them_in_both_schemes_at_three_widths(
    opened: Opener, shown: Demo, edition: str, scheme: Scheme
) -> None:
    """All rules by daylight, those of colour by night, when nothing else is different.

    Where QLOG_AXE is "all": every page, all rules, which takes minutes.
    """
    everything = os.environ.get("QLOG_AXE") == "all"
    rules = ALL_RULES if everything or scheme == "light" else COLOUR_ALONE
    seen = opened(edition, scheme=scheme, init=AXE)
    pages = shown.pages(edition)
    violations = []
    for path in pages if everything else first_of_each_kind(pages):
        page = seen.go(path)
        for width, height in SIZES.items():
            page.set_viewport_size({"width": width, "height": height})
            violations += [f"{path}, {width}: {line}" for line in page.evaluate(RUN, rules)]
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
    for rules, wanted in (
        (ALL_RULES, {"image-alt", "color-contrast"}),
        (BUT_COLOUR, {"image-alt"}),
        (COLOUR_ALONE, {"color-contrast"}),
    ):
        assert {line.split(":")[0] for line in page.evaluate(RUN, rules)} == wanted
