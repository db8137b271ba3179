"""A dimension of many readings: its page goes on over leaves, and nothing is lost between them."""

import re
from pathlib import Path

import pytest

from qlog.logbook.facts import Done, Fact, Reading, Setup
from qlog.logbook.store import Logbook, create
from qlog.record.pages.dimension.series_page import MOST
from tests.demo_record import build, picture_of
from tests.record.test_links import parsed

PIECES = 2 * MOST + 7
PLAN = f"""
title = "Many stems"
units = "mm"
[instrument.micrometer]
name = "micrometer"
kind = "micrometer"
step = 0.001
error = 0.002
[[part]]
id = "stem"
name = "Stem"
needed = {PIECES}
  [[part.op]]
  number = 10
  name = "turn"
  [[part.dim]]
  id = "tip"
  name = "tip"
  callout = "Ø10 ±0.03"
  op = 10
  instrument = "micrometer"
  measures = "outside"
  [[part.dim]]
  id = "tip-2"
  name = "second tip"
  callout = "Ø12 ±0.03"
  op = 10
  instrument = "micrometer"
  measures = "outside"
"""


def value(piece: int) -> str:
    """Without a creep: up and down by turns, a little different each time."""
    if piece == 3:
        return "10.024"  # once far up, on the first leaf
    return f"{10 + (-1) ** piece * 0.004 + (piece * 7 % 5) * 0.001:.3f}"


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("many")
    (folder / "build.toml").write_text(PLAN, encoding="utf-8")
    create(folder / "logbook.db")
    facts: list[Fact] = []
    for piece in range(1, PIECES + 1):
        if piece == 41:
            facts.append(Setup("stem", 10, piece, "tool change"))
        facts.append(Done("stem", 10, piece))
        read = value(piece)
        facts.append(Reading("stem", 10, "tip", piece, read, read, "mm", "micrometer"))
    with Logbook(folder / "logbook.db") as log:
        entries = log.append_all(facts)
        last = entries[-1]
        right = Reading("stem", 10, "tip", PIECES, "10.000", "10.000", "mm", "micrometer")
        log.append(right, supersedes=last.id, reason="read the wrong line")
    return build(picture_of(folder), folder, "maker", folder / "out").folder


def leaves(pages: Path) -> list[Path]:
    return [pages / "dimensions" / f"stem-tip{mark}.html" for mark in ("", ".2", ".3")]


def test_every_reading_stands_once_and_in_its_order(pages: Path) -> None:
    html = "".join(leaf.read_text(encoding="utf-8") for leaf in leaves(pages))
    found = re.findall(r'<tr id="[^"]+"><th scope="row"><a href="../piece/stem-(\d+)\.html">', html)
    assert [int(piece) for piece in found] == list(range(1, PIECES + 1))
    assert not (pages / "dimensions" / "stem-tip.4.html").exists()
    # Another dimension may be called as a leaf would be.
    other = (pages / "dimensions" / "stem-tip-2.html").read_text(encoding="utf-8")
    assert "second tip" in other and 'id="h-what"' in other


def test_marks_and_corrections_lead_to_where_a_reading_stands(pages: Path) -> None:
    marks = 0
    for leaf in leaves(pages):
        page = parsed(leaf)
        inside = [url[1:] for _, url in page.urls if url.startswith("#")]
        assert set(inside) <= set(page.ids)
        marks += len(set(inside) - {"main"})
    assert marks == PIECES
    (where,) = re.findall(
        r'href="dimensions/([^"]+)"', (pages / "corrections.html").read_text(encoding="utf-8")
    )
    name, _, anchor = where.partition("#")
    assert name == "stem-tip.3.html"
    assert anchor in parsed(pages / "dimensions" / name).ids


def test_all_charts_of_a_dimension_have_one_scale(pages: Path) -> None:
    """The limits stand as far from each other on every leaf, whatever was read there."""
    heights: set[frozenset[float]] = set()
    for leaf in leaves(pages):
        html = leaf.read_text(encoding="utf-8")
        zones = re.findall(r'class="zone" d="M[\d.]+ ([\d.]+)H[\d.]+V([\d.]+)', html)
        heights.add(frozenset(round(float(bottom) - float(top), 1) for top, bottom in zones))
        assert len(re.findall(r'<nav class="leaves"', html)) == 2
    (on_every_leaf,) = heights
    assert len(on_every_leaf) == 2, "a wide chart and a narrow one"


def test_a_chart_is_described_by_what_its_own_leaf_shows(pages: Path) -> None:
    """Whoever hears the page is told what stands in the table below, not what other leaves hold."""
    told = 0
    for leaf in leaves(pages):
        html = leaf.read_text(encoding="utf-8")
        (said,) = set(re.findall(r'<desc id="stem-tip-wide-d">([^<]+)', html))
        counted = sum(int(n) for n in re.findall(r"\b(\d+) (?:good|out|not)", said))
        assert counted == html.count('href="../piece/stem-') - html.count("corrections.line")
        told += counted
    assert told == PIECES


def test_what_is_said_of_the_whole_stands_on_the_first_leaf(pages: Path) -> None:
    first, *others = (leaf.read_text(encoding="utf-8") for leaf in leaves(pages))
    for mark in ('id="h-what"', 'id="h-batch"', 'id="h-setups"'):
        assert mark in first
        assert not any(mark in html for html in others)
    assert all('id="h-control"' in html for html in (first, *others))


def test_every_time_is_written_as_html_has_it(pages: Path) -> None:
    """Three digits of a second at most (HTML standard, 2.3.5); the log's clock has six."""
    seen, moment = (
        0,
        re.compile(r"\d{4}-\d\d-\d\d(T\d\d:\d\d(:\d\d(\.\d{1,3})?)?(Z|[+-]\d\d:\d\d)?)?"),
    )
    for path in sorted(pages.rglob("*.html")):
        for when in re.findall(r'datetime="([^"]*)"', path.read_text(encoding="utf-8")):
            assert moment.fullmatch(when)
            seen += "." in when
    assert seen > PIECES
