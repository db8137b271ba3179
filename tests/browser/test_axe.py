"""axe-core over every kind of page: the rules of WCAG 2.2 AA, both schemes, three widths."""

from importlib.resources import files

import pytest

from tests.browser.conftest import ALL_PAGES, SIZES, Opener, Scheme, one_of_each_kind
from tests.demo_record import EDITIONS, Demo

AXE = (files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8")
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
#: All that can be different by night.
OF_COLOUR = ["color-contrast", "link-in-text-block"]
ALL_RULES = {"runOnly": {"type": "tag", "values": TAGS}}
BUT_COLOUR = {**ALL_RULES, "rules": {name: {"enabled": False} for name in OF_COLOUR}}
COLOUR_ALONE = {"runOnly": {"type": "rule", "values": OF_COLOUR}}
#: Width, whether details are open, and what is asked.
STATES = {
    "light": [(360, False, ALL_RULES), (768, True, ALL_RULES), (1280, True, BUT_COLOUR)],
    "dark": [(360, True, COLOUR_ALONE)],
}
EVERY_STATE = [(width, details, ALL_RULES) for width in SIZES for details in (False, True)]
DETAILS = "open => document.querySelectorAll('details').forEach(d => { d.open = open; })"
#: Results that pass are not asked for, and no style sheet is fetched: the policy forbids it.
RUN = """
async (options) => {
  const found = await axe.run(
    document, {...options, resultTypes: ["violations"], preload: false});
  const where = v => v.nodes.map(n => n.html.slice(0, 160)).join(" | ");
  return found.violations.map(v => `${v.id}: ${where(v)}`);
}
"""


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("edition", EDITIONS)
def test_every_kind_of_page_obeys_them_in_both_schemes_at_three_widths(
    opened: Opener, shown: Demo, edition: str, scheme: Scheme
) -> None:
    """All rules by daylight, those of colour by night, when nothing else is different.

    Colours do not depend on the width: they are looked at on the phone's. Details are closed at
    first, and open from the second width on. Where QLOG_PAGES is "all": every page in every state.
    """
    seen = opened(edition, scheme=scheme, init=AXE)
    violations = []
    for path in one_of_each_kind(shown, edition):
        page = seen.go(path)
        for width, details, rules in EVERY_STATE if ALL_PAGES else STATES[scheme]:
            page.set_viewport_size({"width": width, "height": SIZES[width]})
            page.evaluate(DETAILS, details)
            found = page.evaluate(RUN, rules)
            violations += [f"{path}, {width}, details {details}: {line}" for line in found]
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
