"""Contrast inside the charts, which axe does not look at: WCAG 2.2, 1.4.3 and 1.4.11.

Relative luminance and contrast ratio as WCAG 2.2 defines them.
"""

import re

import pytest

from tests.browser.conftest import Opener, Scheme
from tests.demo_record import Demo

#: Text, and the ground it stands on: the page, the tolerance zone, or the mark that holds it.
TEXTS = """
() => [...document.querySelectorAll("main svg text")].filter(t => t.textContent.trim()).map(t => {
  const mark = t.closest(".balloon");
  const page = getComputedStyle(document.body).backgroundColor;
  const grounds = mark
    ? [getComputedStyle(mark.querySelector("circle, path")).fill]
    : [page];
  return [t.textContent, getComputedStyle(t).fill, grounds];
})
"""
#: Marks that carry meaning, against the page and the tolerance zone that they may lie on.
MARKS = """
() => {
  const page = getComputedStyle(document.body).backgroundColor;
  const zone = document.querySelector(".chart .zone");
  const grounds = [page].concat(zone ? [getComputedStyle(zone).fill] : []);
  const found = [];
  const add = (selector, property) => {
    for (const e of document.querySelectorAll(selector)) {
      found.push([selector, getComputedStyle(e)[property], grounds]);
    }
  };
  add(".chart .rule-limit", "stroke");
  add(".chart .rule-control", "stroke");
  add(".chart .trend", "stroke");
  add(".chart .divider", "stroke");
  add(".chart .bar", "stroke");
  add(".chart .outlier", "stroke");
  add(".chart .gone", "stroke");
  add(".chart .pt-good", "fill");
  add(".chart .pt-high", "fill");
  add(".chart .pt-low", "fill");
  add(".chart .pt-open", "stroke");
  add(".chart .pt-fail", "stroke");
  add("main .shape-good", "color");
  add("main .shape-high", "color");
  add("main .shape-open", "color");
  return found;
}
"""


def luminance(colour: str) -> float:
    channels = [float(v) for v in re.findall(r"[\d.]+", colour)[:3]]
    linear = [
        c / 255 / 12.92 if c / 255 <= 0.04045 else ((c / 255 + 0.055) / 1.055) ** 2.4
        for c in channels
    ]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_formula_gives_the_known_ratios() -> None:
    """Black on white is 21, #767676 on white just passes 4.5 (WCAG 2.2, contrast ratio)."""
    assert contrast("rgb(0, 0, 0)", "rgb(255, 255, 255)") == pytest.approx(21)
    assert 4.5 < contrast("rgb(118, 118, 118)", "rgb(255, 255, 255)") < 4.6
    assert contrast("rgb(119, 119, 119)", "rgb(255, 255, 255)") < 4.5


@pytest.mark.parametrize("media", ["screen", "print"])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_charts_can_be_read(opened: Opener, shown: Demo, scheme: Scheme, media: str) -> None:
    seen = opened("maker", scheme=scheme)
    seen.page.emulate_media(media="print" if media == "print" else "screen", color_scheme=scheme)
    weak, texts, marks = [], 0, 0
    pages = [p for p in shown.pages("maker") if p.startswith(("dimensions/", "parts/"))]
    plain = scheme == "light" and media == "screen"
    # Colours come from the style sheet: what every page draws is looked at once, by daylight.
    for path in [*pages, "fits.html"] if plain else [*pages[::4], "fits.html"]:
        page = seen.go(path)
        for text, colour, grounds in page.evaluate(TEXTS):
            texts += 1
            weak += [(path, text, colour, g) for g in grounds if contrast(colour, g) < 4.5]
        for name, colour, grounds in page.evaluate(MARKS):
            marks += 1
            weak += [(path, name, colour, g) for g in grounds if contrast(colour, g) < 3]
    assert texts > 200 and marks > 200
    assert weak == []
