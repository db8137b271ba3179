"""The recipient's edition on every screen: words beside pictures, large text, forced colours."""

from playwright.sync_api import Page

from tests.browser.conftest import SIZES, Opener, one_of_each_kind
from tests.demo_record import Demo

#: What the first view of the cover may weigh on a phone with three dots a pixel.
COVER_BYTES = 350_000
#: Steps of the story whose words do not stand beside their picture.
APART = """
() => [...document.querySelectorAll(".step:not(.told)")].filter(step => {
  const words = step.querySelector(".step-words").getBoundingClientRect();
  const photo = step.querySelector(".step-first > .photo").getBoundingClientRect();
  return photo.top >= words.bottom || photo.bottom <= words.top || photo.left < words.right;
}).map(step => step.innerText)
"""
#: Words of headings that stand on more than one line.
SPLIT = """
() => [...document.querySelectorAll("main h1, main h2, main h3, .top-title")].flatMap(heading => {
  const found = [], walk = document.createTreeWalker(heading, NodeFilter.SHOW_TEXT);
  for (let node; node = walk.nextNode();) {
    for (const word of node.data.matchAll(/[^\\s-]+/g)) {
      const range = document.createRange();
      range.setStart(node, word.index);
      range.setEnd(node, word.index + word[0].length);
      const lines = new Set([...range.getClientRects()].filter(r => r.width).map(r => r.top));
      if (lines.size > 1) found.push(word[0]);
    }
  }
  return found;
})
"""
#: Boxes that hide something at their right edge, or can be moved sideways to see it.
CUT = """
() => [...document.querySelectorAll("main *")].filter(e =>
  e.clientWidth && e.scrollWidth > e.clientWidth + 1 && !e.closest(".large, .hidden, thead")
  && getComputedStyle(e).overflowX !== "visible"
).map(e => e.tagName + "." + e.className)
"""


def text_size(page: Page, percent: int) -> None:
    page.evaluate(f"document.documentElement.style.fontSize = '{percent}%'")


def test_the_storys_words_stand_beside_their_picture_at_every_width(opened: Opener) -> None:
    page = opened("recipient", width=360).go("story.html")
    assert page.locator(".step:not(.told)").count() > 15
    for width in (320, *SIZES):
        page.set_viewport_size({"width": width, "height": 800})
        assert page.evaluate(APART) == [], width
    page.set_viewport_size({"width": 360, "height": 740})
    text_size(page, 200)
    assert page.evaluate(APART) != [], "large text has the width of the phone for itself"


def test_nothing_is_moved_sideways_and_twice_the_text_splits_no_heading(
    opened: Opener, shown: Demo
) -> None:
    seen = opened("recipient", width=360)
    wrong = {}
    for path in one_of_each_kind(shown, "recipient"):
        page = seen.go(path)
        found = {"cut": page.evaluate(CUT)}
        text_size(page, 200)
        for width in (360, 1280):
            page.set_viewport_size({"width": width, "height": 740})
            found[f"split at {width}"] = page.evaluate(SPLIT)
            if page.evaluate("document.documentElement.scrollWidth") > width:
                found[f"wide at {width}"] = True
        page.set_viewport_size({"width": 360, "height": 740})
        wrong |= {(path, what): words for what, words in found.items() if words}
    assert wrong == {}
    cell = seen.go("repair/foot.html").locator("td", has_text="14.000 to 14.018").first
    named = cell.evaluate("c => getComputedStyle(c, '::before').content")
    assert named == '"Smallest to largest"'


def test_the_cover_is_light_on_a_sharp_phone(opened: Opener) -> None:
    seen = opened("recipient", width=360, sharpness=3)
    seen.go("index.html")
    files = seen.first_view()
    weight = sum(file.stat().st_size for file in files)
    assert any(file.parent.name == "photos" for file in files)
    assert 50_000 < weight < COVER_BYTES, weight


def test_with_forced_colours_the_page_that_one_is_on_can_be_told(opened: Opener) -> None:
    page = opened("recipient").go("care.html")
    page.emulate_media(forced_colors="active")
    page.wait_for_timeout(200)  # until the borders have their colours
    style = "e => [getComputedStyle(e).borderBottomWidth, getComputedStyle(e).borderBottomColor]"
    current = page.locator(".top nav a[aria-current]")
    others = page.locator(".top nav a:not([aria-current])").all()
    paper = page.evaluate("getComputedStyle(document.body).backgroundColor")
    assert current.count() == 1 and len(others) == 7
    width, colour = current.evaluate(style)
    assert colour != paper
    assert all(o.evaluate(style)[1] == paper for o in others)
    assert all(float(o.evaluate(style)[0][:-2]) < float(width[:-2]) for o in others)
