"""Without a mouse: skip link, order, focus that can be seen, chart points, photos."""

from playwright.sync_api import Page, expect

from tests.browser.conftest import Opener
from tests.demo_record import EDITIONS

OUTLINE = """
() => {
  const style = getComputedStyle(document.activeElement);
  return [style.outlineStyle, parseFloat(style.outlineWidth)];
}
"""
#: Ends once nothing on the page moves any more.
COME_TO_REST = "() => Promise.all(document.getAnimations().map(a => a.finished))"


def where(page: Page) -> str:
    return str(page.evaluate("document.activeElement.textContent.trim()"))


def test_the_first_key_offers_to_skip_to_the_content(opened: Opener) -> None:
    for edition in EDITIONS:
        page = opened(edition).go("index.html")
        page.keyboard.press("Tab")
        assert where(page) == "Skip to the content"
        page.evaluate(COME_TO_REST)
        box = page.locator(".skip").bounding_box()
        assert box is not None and box["y"] >= 0
        page.keyboard.press("Enter")
        assert page.evaluate("document.activeElement.id") == "main"
        page.keyboard.press("Tab")
        assert page.evaluate("document.querySelector('main').contains(document.activeElement)")


def test_focus_runs_in_the_order_of_the_page_and_can_be_seen(opened: Opener) -> None:
    for edition, path in (("maker", "parts/cup.html"), ("recipient", "story.html")):
        page = opened(edition).go(path)
        count = page.evaluate(
            "document.querySelectorAll('a[href], summary, [tabindex=\"0\"], button').length"
        )
        assert count > 5
        last = -1
        for _ in range(min(count, 40)):
            page.keyboard.press("Tab")
            place = page.evaluate(
                "[...document.querySelectorAll('*')].indexOf(document.activeElement)"
            )
            assert place > last
            last = place
            style, width = page.evaluate(OUTLINE)
            assert style != "none" and width >= 2


def test_a_chart_tells_a_reading_by_keyboard_alone_and_without_scripts(opened: Opener) -> None:
    page = opened("maker", scripts=False).go("dimensions/cup-bore.html")
    point = page.locator(".chart-wide .pt").nth(2)
    tip = point.locator(".tip")
    assert not tip.is_visible()
    point.focus()
    assert tip.is_visible()
    assert tip.text_content() == point.get_attribute("aria-label")
    assert "cup-3" in (tip.text_content() or "")
    page.keyboard.press("Enter")
    assert page.url.endswith("#cup-3")
    assert page.locator("tr:target").count() == 1


def test_a_chart_tells_a_reading_to_the_pointer(opened: Opener) -> None:
    page = opened("maker").go("dimensions/cup-bore.html")
    point = page.locator(".chart-wide .pt").nth(4)
    point.locator(".hit").hover()
    assert point.locator(".tip").is_visible()
    assert page.locator(".chart-wide .pt .tip:visible").count() == 1


def test_a_photo_opens_large_and_closes_by_keyboard(opened: Opener) -> None:
    page = opened("recipient").go("story.html")
    link = page.locator("a.enlarge").first
    link.focus()
    page.keyboard.press("Enter")
    dialog = page.locator(".large:target")
    dialog.wait_for(state="visible")
    seen = dialog.locator("img").get_attribute("alt")
    assert seen == link.locator("img").get_attribute("alt")
    # The focus follows the address, in an event after it.
    expect(dialog.locator(".large-close")).to_be_focused()
    page.keyboard.press("Escape")
    dialog.wait_for(state="detached")
    expect(link).to_be_focused()


def test_without_scripts_photos_open_large_and_can_be_leafed_through(opened: Opener) -> None:
    page = opened("recipient", scripts=False).go("story.html")
    page.locator("a.enlarge").first.click()
    first = page.locator(".large:target img").get_attribute("alt")
    page.locator(".large:target .large-next").click()
    assert page.locator(".large:target img").get_attribute("alt") != first
    page.locator(".large:target .large-back").click()
    assert page.locator(".large:target img").get_attribute("alt") == first
    page.locator(".large:target .large-close").click()
    assert page.locator(".large:target").count() == 0
