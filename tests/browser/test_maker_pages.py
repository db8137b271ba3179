"""The maker's pages in use: charts by keyboard, tables sorted, phones, paper, forced colours."""

import re

import pytest
from playwright.sync_api import Page

from tests.browser.conftest import Opener

CUP_BORE = "dimensions/cup-bore.html"
FOCUSED = "document.activeElement.getAttribute('aria-label') || ''"
COLUMN = """
n => [...document.querySelectorAll("table.readings tbody tr")]
  .filter(r => !r.hidden).map(r => r.cells[n].textContent.trim())
"""


def column(page: Page, n: int) -> list[str]:
    found: list[str] = page.evaluate(COLUMN, n)
    return found


def test_a_chart_is_one_stop_of_the_tab_key_and_arrows_go_on_inside(opened: Opener) -> None:
    page = opened("maker").go(CUP_BORE)
    chart = page.locator(".chart-wide").first
    assert chart.locator("a.pt[tabindex='0']").count() == 1
    chart.locator("a.pt").first.focus()
    for key, piece in (
        ("ArrowRight", "cup-2"), ("ArrowRight", "cup-3"), ("ArrowLeft", "cup-2"),
        ("End", "cup-10"), ("ArrowRight", "cup-10"), ("Home", "cup-1"), ("ArrowLeft", "cup-1"),
        ("ArrowRight", "cup-2"),
    ):  # fmt: skip
        page.keyboard.press(key)
        assert page.evaluate(FOCUSED).startswith(f"{piece}:"), key
    assert chart.locator("a.pt:focus .tip").is_visible()
    page.keyboard.press("Tab")
    assert not page.evaluate("document.activeElement.closest('.chart')")
    page.keyboard.press("Shift+Tab")
    assert page.evaluate(FOCUSED).startswith("cup-2:")


def test_without_scripts_every_point_is_a_stop_and_no_button_is_there(opened: Opener) -> None:
    page = opened("maker", scripts=False).go(CUP_BORE)
    assert page.locator(".chart-wide").first.locator("a.pt").count() == 10
    assert page.locator("[tabindex='-1']:not(main), button").count() == 0
    assert not page.locator(".table-tools").first.is_visible()


def test_a_table_is_sorted_by_a_button_of_its_head(opened: Opener) -> None:
    page = opened("maker").go(CUP_BORE)
    first = column(page, 0)
    button = page.get_by_role("button", name="Reading", exact=True)
    head = page.locator("table.readings th").nth(1)
    button.focus()
    page.keyboard.press("Enter")
    assert head.get_attribute("aria-sort") == "ascending"
    rising = [float(v.split()[0].rstrip("\N{NARROW NO-BREAK SPACE}m")) for v in column(page, 1)]
    assert rising == sorted(rising) and rising[0] < rising[-1]
    assert page.evaluate("document.activeElement.textContent") == "Reading"
    page.keyboard.press("Space")
    assert head.get_attribute("aria-sort") == "descending"
    assert column(page, 0) == first  # the bore shrinks from piece to piece
    page.keyboard.press("Enter")
    assert head.get_attribute("aria-sort") is None
    assert column(page, 0) == first


def test_pieces_are_sorted_as_people_count_and_times_by_the_clock(opened: Opener) -> None:
    page = opened("maker").go(CUP_BORE)
    page.get_by_role("button", name="Piece", exact=True).click()
    assert column(page, 0) == [f"cup-{n}" for n in range(1, 11)]
    page.goto(page.url.replace("dimensions/cup-bore", "pieces/pan"))
    page.get_by_role("button", name=re.compile("^Last")).click()
    days = page.evaluate("[...document.querySelectorAll('tbody time')].map(t => t.dateTime)")
    assert days == sorted(days) and len(set(days)) > 1


def test_a_long_table_is_filtered_and_says_how_many_rows_are_left(opened: Opener) -> None:
    page = opened("maker").go(CUP_BORE)
    field = page.get_by_label("Show rows with").first
    field.fill("CUP-1")
    assert column(page, 0) == ["cup-1", "cup-10"]
    assert page.get_by_role("status").first.inner_text() == "2 of 10 rows"
    field.fill("")
    assert len(column(page, 0)) == 10
    assert page.get_by_role("status").first.inner_text() == ""


LABELS = """
() => [...document.querySelectorAll("table.readings tbody tr:first-child td")].map(
  c => getComputedStyle(c, "::before").content)
"""


def test_on_a_phone_rows_stack_with_the_name_of_each_column(opened: Opener) -> None:
    page = opened("maker", width=360, scripts=False).go(CUP_BORE)
    assert page.evaluate(LABELS)[:2] == ['"Reading"', '"Verdict"']
    boxes = [c.bounding_box() for c in page.locator("tr#cup-1 td:not(:empty)").all()]
    tops = [box["y"] for box in boxes if box]
    assert tops == sorted(set(tops)), "each under the one before"
    name = page.locator("tr#cup-1 th").bounding_box()
    assert name is not None and name["y"] < tops[0]
    page.set_viewport_size({"width": 1280, "height": 800})
    tops = [c.bounding_box()["y"] for c in page.locator("tr#cup-1 td").all()]  # type: ignore[index]
    assert len(set(tops)) == 1


def test_sorting_is_offered_where_the_heads_are_gone(opened: Opener) -> None:
    page = opened("maker", width=360).go(CUP_BORE)
    assert not page.get_by_role("button").first.is_visible()
    choice = page.get_by_label("Sort by").first
    choice.select_option(label="Reading")
    assert column(page, 0)[0] == "cup-10"
    choice.select_option(label="as it comes")
    assert column(page, 0)[0] == "cup-1"


BROKEN = """
() => [...document.querySelectorAll(".whole, time")].filter(
  e => new Set([...e.getClientRects()].map(r => r.top)).size > 1).map(e => e.textContent)
"""


@pytest.mark.parametrize("width", [360, 768])
def test_names_and_dates_never_break(opened: Opener, width: int) -> None:
    seen = opened("maker", width=width, scripts=False)
    for path in ("index.html", "instruments.html", "corrections.html", CUP_BORE, "parts/foot.html"):
        page = seen.go(path)
        assert page.locator(".whole").count() > 0 or path == "instruments.html"
        assert page.evaluate(BROKEN) == [], path


@pytest.mark.parametrize("width", [360, 480, 700, 1280])
def test_numbers_on_a_drawing_are_large_enough_for_a_finger_and_apart(
    opened: Opener, width: int
) -> None:
    """At least 24 CSS pixels both ways: WCAG 2.2, 2.5.8."""
    seen = opened("maker", width=width, scripts=False)
    for part in ("cup", "foot"):
        page = seen.go(f"parts/{part}.html")
        boxes = [b.bounding_box() for b in page.locator(".balloon").all()]
        assert boxes
        for n, box in enumerate(boxes):
            assert box is not None
            assert min(box["width"], box["height"]) >= 24, (part, box)
            for other in boxes[n + 1 :]:
                assert other is not None
                dx = box["x"] + box["width"] / 2 - other["x"] - other["width"] / 2
                dy = box["y"] + box["height"] / 2 - other["y"] - other["height"] / 2
                assert (dx * dx + dy * dy) ** 0.5 >= 23.5, (part, box, other)


SHADOWS = """
() => getComputedStyle(document.querySelector(".scroll")).backgroundAttachment
"""


def test_a_table_that_goes_on_has_a_shadow_at_its_edge(opened: Opener) -> None:
    page = opened("maker", width=768, scripts=False).go(CUP_BORE)
    assert page.evaluate(SHADOWS).startswith("local, local, scroll, scroll")


INK = """
selector => {
  const s = getComputedStyle(document.querySelector(selector));
  return [s.stroke, s.fill];
}
"""


def test_forced_colours_reach_the_pictures(browser: object, opened: Opener) -> None:
    page = opened("maker", scheme="dark", scripts=False).go(CUP_BORE)
    page.emulate_media(forced_colors="active", color_scheme="dark")
    chosen = page.evaluate("getComputedStyle(document.querySelector('h1')).color")
    assert page.evaluate(INK, ".chart .rule-limit")[0] == chosen
    assert page.evaluate(INK, ".chart .pt-good")[1] == chosen
    assert page.evaluate(INK, ".chart .trend")[0] == chosen


CONTENT = (
    "getComputedStyle(document.querySelector('details'), '::details-content').contentVisibility"
)


def test_closed_details_are_printed_without_a_script(opened: Opener) -> None:
    page = opened("maker", scripts=False).go(CUP_BORE)
    inside = page.locator("details table").first
    assert not inside.is_visible()
    page.emulate_media(media="print")
    assert page.evaluate(CONTENT) == "visible"
    box = inside.bounding_box()
    assert box is not None and box["height"] > 20


HIDDEN_FOCUS = """
() => {
  const e = document.activeElement, box = e.getBoundingClientRect();
  const clip = e.closest(".scroll")?.getBoundingClientRect();
  const inside = !clip || e.classList.contains("scroll") ||
    (box.left >= clip.left && box.right <= clip.right + 1);
  return inside && box.top >= 0 && box.bottom <= innerHeight + 1 && box.width > 0;
}
"""


def test_the_focus_is_never_hidden(opened: Opener) -> None:
    """At 768 px, where tables are scrolled: what has the focus is brought into sight."""
    page = opened("maker", width=768, motion="reduce").go("parts/cup.html")
    for _ in range(45):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement === document.body"):
            break
        tall = page.evaluate("document.activeElement.getBoundingClientRect().height > innerHeight")
        assert tall or page.evaluate(HIDDEN_FOCUS), page.evaluate(
            "document.activeElement.outerHTML.slice(0, 200)"
        )
