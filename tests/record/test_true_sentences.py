"""Every sentence to the recipient is the maker's own, or computed and true, or not there."""

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.conftest import Ran, run_qlog
from tests.demo_record import build, picture_of
from tests.record.golden_text import text_of

#: Invented. Weights are milled; each item is one weight, or a weight and a stem.
PLAN = """
title = "Three candlesticks"
units = "{unit}"

[instrument.mike]
name = "micrometer"
kind = "micrometer"
step = {step}
{error}

[[part]]
id = "weight"
name = "Weight"
needed = 3
spare = 1
  [[part.op]]
  number = 10
  name = "Mill it"
  kind = "milling"
  [[part.dim]]
  id = "width"
  name = "width"
  callout = "{width}"
  op = 10
  instrument = "mike"
  [[part.dim]]
  id = "length"
  name = "length"
  callout = "{length}"
  op = 10
  instrument = "mike"
  [[part.dim]]
  id = "depth"
  name = "depth"
  callout = "{depth}"
  op = 10
  instrument = "mike"

[[part]]
id = "stem"
name = "Stem"
needed = 3
  [[part.op]]
  number = 10
  name = "Cut it"

[[item]]
id = "candlestick"
name = "Candlestick"
count = 3
takes = {{ weight = 1{stem} }}
"""
METRIC = {
    "unit": "mm", "step": "0.001", "error": "error = 0.002",
    "width": "20 +-0.05", "length": "40 +-0.05", "depth": "10 +-0.05",
}  # fmt: skip
INCH = {
    "unit": "in", "step": "0.0001", "error": "error = 0.0001",
    "width": ".8000 +-.0020", "length": "1.6000 +-.0020", "depth": ".4000 +-.0020",
}  # fmt: skip


@pytest.fixture
def made(tmp_path: Path) -> Callable[..., Callable[[str], str]]:
    """Builds with three items of a weight, the weights' readings given; answers a page's text."""

    def make(
        readings: dict[str, str], *, stem: bool = False, assembled: int = 3, **plan: str
    ) -> Callable[[str], str]:
        folder = tmp_path / "b"
        assert run_qlog("new", str(folder)).status == 0
        values = {**METRIC, **plan, "stem": ", stem = 1" if stem else ""}
        (folder / "build.toml").write_text(PLAN.format(**values), encoding="utf-8")

        def q(*words: str, stdin: str = "") -> Ran:
            return run_qlog("--build", str(folder), *words, stdin=stdin)

        for dimension, typed in readings.items():
            ran = q("read", "weight", "10", dimension, stdin="\n".join(typed.split()) + "\n")
            assert ran.status in (0, 1), ran.err
        assert q("done", "weight", "10", "1-3").status == 0
        assert q("done", "stem", "10", "1-3").status == 0
        for n in range(1, assembled + 1):
            pieces = [f"weight-{n}"] + [f"stem-{n}"] * stem
            ran = q("assemble", f"candlestick-{n}", *pieces)
            assert ran.status == 0, ran.err
        picture = picture_of(folder)
        edition = build(picture, folder, "recipient", tmp_path / "out").folder

        def page(name: str) -> str:
            text = text_of((edition / name).read_text(encoding="utf-8"))
            return " ".join(text.replace("\N{NARROW NO-BREAK SPACE}", " ").split())

        return page

    return make


APART = {"width": "20.001 20.013 20.030", "length": "40.000 40.001 40.000"}
ALIKE = {"width": "20.001 20.002 20.030", "length": "40.000 40.001 40.000"}
TOGETHER = "from each of its siblings it differs in at least one"
EQUAL = "By its sizes it cannot be told from"


def test_items_are_told_apart_only_after_each_was_compared_with_each(
    made: Callable[..., Callable[[str], str]],
) -> None:
    page = made(APART)
    assert (
        "Of the three alike, this one measures the least here: weight, width (20.001 mm)."
        in page("items/candlestick-1.html")
    )
    assert TOGETHER in page("items/candlestick-2.html")
    assert (
        "Of the three alike, this one measures the most here: weight, width (20.030 mm)."
        in page("items/candlestick-3.html")
    )


def test_two_that_measuring_cannot_tell_apart_are_said_to_be_equal(
    made: Callable[..., Callable[[str], str]],
) -> None:
    page = made(ALIKE)
    assert f"{EQUAL} Candlestick 2" in page("items/candlestick-1.html")
    assert f"{EQUAL} Candlestick 1" in page("items/candlestick-2.html")
    assert EQUAL not in page("items/candlestick-3.html")
    assert "Of the three alike, this one measures the most here" in page("items/candlestick-3.html")


def test_without_a_known_uncertainty_nothing_is_said_of_a_difference(
    made: Callable[..., Callable[[str], str]],
) -> None:
    page = made(APART, error="")
    for said in (TOGETHER, EQUAL, "three alike"):
        assert said not in page("items/candlestick-1.html")


def test_one_size_is_enough_to_recognise_a_thing_by(
    made: Callable[..., Callable[[str], str]],
) -> None:
    page = made({"width": APART["width"]})
    assert "Of the three alike, this one measures the least here: weight, width" in page(
        "items/candlestick-1.html"
    )


def test_without_measurements_nothing_is_said_of_them(
    made: Callable[..., Callable[[str], str]],
) -> None:
    page = made({})
    text = page("items.html") + page("items/candlestick-1.html") + page("index.html")
    for word in ("measured", "line beside", "no two", "No other", "alike", "fingerprint"):
        assert word not in text, word
    assert "recognise" not in page("items/candlestick-1.html")


def test_no_way_of_making_is_claimed_that_the_maker_did_not_write(
    made: Callable[..., Callable[[str], str]],
) -> None:
    page = made(APART)
    pages = ("index.html", "items.html", "items/candlestick-1.html", "repair/weight.html")
    text = " ".join(page(name) for name in pages)
    for word in ("turned", "hand", "bar of metal", "lathe", "stands still"):
        assert word not in text, word
    assert "Mill it" in page("repair/weight.html"), "whoever makes one more gets the route"
    with pytest.raises(FileNotFoundError):  # the route's names alone are no story
        page("story.html")


def test_an_item_of_one_piece_is_never_put_together(
    made: Callable[..., Callable[[str], str]],
) -> None:
    page = made(APART, assembled=1)
    for n in (1, 2, 3):
        assert "together" not in page(f"items/candlestick-{n}.html").replace("taken together", "")
    assert "Chosen for the set on" in page("items/candlestick-1.html")


def test_an_item_of_two_pieces_says_what_the_log_says(
    made: Callable[..., Callable[[str], str]],
) -> None:
    page = made(APART, stem=True, assembled=2)
    assert "Put together on" in page("items/candlestick-2.html")
    assert "The log does not say yet what it is put together from." in page(
        "items/candlestick-3.html"
    )


def test_only_complete_items_count_as_finished(made: Callable[..., Callable[[str], str]]) -> None:
    page = made(APART, stem=True, assembled=2)
    assert "two finished things" in page("about.html")
    assert "were made" not in page("items.html")
    assert "Three things, each with a page of its own." in page("items.html")


def test_closeness_counts_inches_too(made: Callable[..., Callable[[str], str]]) -> None:
    """Of .0001, .0003 and .0012 in from the middle, two lie within 0.0003 in (0.0076 mm)."""
    page = made(
        {"width": ".8001 .8001 .8001", "length": "1.6003 1.6 1.6", "depth": ".4012 .4 .4"}, **INCH
    )
    said = page("items/candlestick-1.html")
    assert "Half of its 3 measured lengths were read within .0003 in of the middle" in said
    assert "about a ninth of the thickness of a hair" in said


def test_closeness_is_not_told_of_two_sizes(made: Callable[..., Callable[[str], str]]) -> None:
    assert "hair" not in made(APART)("items/candlestick-1.html")
