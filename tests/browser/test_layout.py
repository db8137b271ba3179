"""What a page looks like before anybody scrolls: width, weight, and whether it jumps."""

import pytest

from tests.browser.conftest import SIZES, Opener, one_of_each_kind
from tests.demo_record import EDITIONS, Demo

FIRST_VIEW_BYTES = 500_000
LARGEST_SHIFT = 0.05

#: Sums the layout shifts that no input caused, as the web's own measure does.
WATCH_SHIFTS = """
window.shifts = 0;
new PerformanceObserver(list => {
  for (const entry of list.getEntries()) if (!entry.hadRecentInput) window.shifts += entry.value;
}).observe({type: "layout-shift", buffered: true});
"""
SCROLL = """
async () => {
  for (let y = 0; y < document.documentElement.scrollHeight; y += innerHeight) {
    scrollTo(0, y);
    await new Promise(requestAnimationFrame);
  }
  const images = [...document.images].filter(i => i.getClientRects().length);
  await Promise.all(images.map(i => i.complete ? 0 : Promise.race([
    new Promise(done => { i.onload = done; i.onerror = done; }),
    new Promise(done => setTimeout(done, 3000)),
  ])));
  await new Promise(requestAnimationFrame);
  return images.filter(i => !i.naturalWidth).map(i => i.currentSrc || i.src);
}
"""


@pytest.mark.parametrize("edition", EDITIONS)
def test_a_phone_never_scrolls_sideways(opened: Opener, shown: Demo, edition: str) -> None:
    seen = opened(edition, width=360, scripts=False)
    wide = {}
    for path in shown.pages(edition):
        page = seen.go(path)
        across = page.evaluate("document.documentElement.scrollWidth")
        if across > 360:
            wide[path] = across
    assert wide == {}


@pytest.mark.parametrize("width", [360, 1280])
@pytest.mark.parametrize("edition", EDITIONS)
def test_the_first_view_is_light_and_stays_put(
    opened: Opener, shown: Demo, edition: str, width: int
) -> None:
    sharpness = 3 if width == 360 else 2  # as screens are today
    seen = opened(edition, width=width, sharpness=sharpness, init=WATCH_SHIFTS)
    heavy, shifting, blank = {}, {}, {}
    for path in one_of_each_kind(shown, edition):
        page = seen.go(path)
        weight = sum(file.stat().st_size for file in seen.first_view())
        if weight > FIRST_VIEW_BYTES:
            heavy[path] = weight
        lost = page.evaluate(SCROLL)
        if lost:
            blank[path] = lost
        shift = page.evaluate("window.shifts")
        if shift > LARGEST_SHIFT:
            shifting[path] = shift
    assert heavy == {}
    assert shifting == {}
    assert blank == {}


@pytest.mark.parametrize("scripts", [True, False])
@pytest.mark.parametrize("width", SIZES)
def test_the_first_page_says_what_it_is(opened: Opener, width: int, scripts: bool) -> None:
    for edition in EDITIONS:
        page = opened(edition, width=width, scripts=scripts).go("index.html")
        assert page.locator("h1").inner_text() == "Eight table candlesticks"
        assert page.locator("h1").is_visible()


def test_charts_fit_the_paper_they_are_drawn_for(opened: Opener) -> None:
    """One chart of two is shown: the narrow one on a phone, the wide one elsewhere."""
    for width, shown, hidden in ((360, "narrow", "wide"), (1280, "wide", "narrow")):
        page = opened("maker", width=width).go("dimensions/cup-bore.html")
        page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
        assert page.locator(f".chart-{shown}").count() == 4
        assert all(c.is_visible() for c in page.locator(f".chart-{shown}").all())
        assert not any(c.is_visible() for c in page.locator(f".chart-{hidden}").all())
        size = page.locator(f".chart-{shown} .piece-text").first.evaluate(
            "t => parseFloat(getComputedStyle(t).fontSize)"
            " * t.ownerSVGElement.getBoundingClientRect().width"
            " / t.ownerSVGElement.viewBox.baseVal.width"
        )
        assert size >= 11


#: How wide the title is, in the face of the page and in the next best of its list.
TITLE = """
async () => {
  await document.fonts.ready;
  const title = document.querySelector("h1");
  const range = document.createRange();
  range.selectNodeContents(title);
  const shown = range.getBoundingClientRect().width;
  title.style.fontFamily = 'Palatino, P052, Georgia, serif';
  return [shown, range.getBoundingClientRect().width];
}
"""


def test_the_face_that_is_shipped_is_the_one_that_is_shown(opened: Opener) -> None:
    """It may come too late for the first look, but not stay away."""
    shown, next_best = opened("recipient").go("index.html").evaluate(TITLE)
    assert shown != next_best
