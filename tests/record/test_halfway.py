"""A record in the middle of a build: forecast, doubts and gaps, in the words of the pages."""

from collections.abc import Callable
from pathlib import Path

import pytest

from qlog.logbook.facts import Disposition, Done, Fact, Gap, Reading, Setup, Shipment
from qlog.logbook.store import Logbook, create
from qlog.record.pages import maker
from qlog.record.pages.gallery import Gallery
from qlog.record.pages.part_pages import PartPage
from qlog.record.pages.phrases import phrases
from qlog.review.picture import Picture
from qlog.words.catalogue import load
from tests.demo_record import Demo, build, picture_of
from tests.record.golden_text import text_of

ENGLISH = load("en")
MADE = "2026-06-06T15:{:02d}:00+02:00"


def plain(text: str) -> str:
    """The text with its narrow blanks as common ones."""
    return text.replace("\N{NARROW NO-BREAK SPACE}", " ")


def read(part: str, op: int, dimension: str, piece: int, value: str, how: str) -> Reading:
    return Reading(part, op, dimension, piece, value, value, "mm", how)


@pytest.fixture
def halfway(shown: Demo, tmp_path: Path) -> Callable[..., Picture]:
    """The example's plan with a few entries of its own; invented, like all of it."""
    folder = tmp_path / "halfway"
    folder.mkdir()
    (folder / "build.toml").write_text(shown.picture.build.source, encoding="utf-8")
    create(folder / "logbook.db")

    def made(*facts: Fact) -> Picture:
        with Logbook(folder / "logbook.db") as logbook:
            times = [MADE.format(n) for n in range(len(facts))]
            logbook.append_all(facts, made=times)
        return picture_of(folder)

    return made


def cups(*values: str) -> list[Fact]:
    return [
        fact
        for n, value in enumerate(values, 1)
        for fact in (
            Done("cup", 10, n),
            Done("cup", 20, n),
            read("cup", 20, "bore", n, value, "bore-gauge"),
        )
    ]


#: Least squares by hand: slope -0.143 / 28 = -0.00511; piece 9 at 22.02457 - 5 x 0.00511.
DRIFTING = ("22.040", "22.035", "22.029", "22.025", "22.019", "22.015", "22.009")


def test_the_forecast_names_the_piece_that_would_leave(
    halfway: Callable[..., Picture], tmp_path: Path
) -> None:
    picture = halfway(*cups(*DRIFTING))
    built = build(picture, picture.build.folder, "maker", tmp_path / "out")
    page = (built.folder / "dimensions/cup-bore.html").read_text(encoding="utf-8")
    said = plain(text_of(page))
    assert "It is shrinking by about 0.0051 mm a piece since piece 1." in said
    assert "That is the way a worn tool goes." in said
    assert "At this rate piece 9 would be 21.999 mm, past the limit of 22.000 mm." in said
    assert "One good piece is left until then." in said
    assert page.count('class="trend forecast"') >= 2  # one in each of two charts, and the key's
    assert 'class="piece-text ahead"' not in page, "coming pieces are on the axis already"
    index = plain(text_of((built.folder / "index.html").read_text(encoding="utf-8")))
    assert "# Drifting" in index and "piece 9 would be 21.999 mm" in index


def test_a_second_setup_is_told_apart_and_compared(halfway: Callable[..., Picture]) -> None:
    values = ("22.040", "22.041", "22.039", "22.040", "22.010", "22.011", "22.009", "22.010")
    facts = cups(*values)
    picture = halfway(*facts, Setup("cup", 20, 5, "tool change"))
    series_page = next(
        s for part in _parts(picture) for s in part.series_pages if s.key == "cup-bore"
    )
    assert series_page.setups == (
        "Setup 1, pieces 1 to 4: first setup",
        "Setup 2, pieces 5 to 10: tool change",
    )
    assert any(
        "From setup 1 to setup 2 the mean moved by" in s for s in series_page.layers.sentences
    )
    drawn = series_page.leaves[0].chart
    assert drawn is not None
    (chart,) = drawn.wide
    assert [d.cause for d in chart.dividers] == ["", "tool change"]
    assert chart.path.count("M") == 2


def _parts(picture: Picture) -> tuple[PartPage, ...]:
    whole, _ = maker.pages(picture, ENGLISH, Gallery({}, {}), {})
    return whole[0].context["parts"]  # type: ignore[return-value]


def test_findings_are_said_in_the_record_s_own_words(halfway: Callable[..., Picture]) -> None:
    facts: list[Fact] = [Done("pan", 10, n) for n in range(1, 10)]
    facts += [read("pan", 10, "outside", n, "60.01", "caliper") for n in range(1, 9)]
    facts += [read("pan", 10, "hub", n, "5.000", "micrometer") for n in range(2, 9)]
    facts += [
        Gap("pan", 10, "hub", 1, "cannot", "face is not square yet"),
        read("pan", 10, "outside", 9, "60.15", "caliper"),
        *(Disposition("pan", n, 10, "scrap", "dropped") for n in (1, 2, 3)),
        Shipment("box 1", "out", "pan", 30, 4, "someone"),
    ]
    picture = halfway(*facts)
    said = {p.kind: plain(p.text) for p in phrases(picture.findings, picture, ENGLISH)}
    assert said["out"] == ("pan-9, outside diameter: 60.15 mm, out high (59.9 to 60.1 mm)")
    assert (
        said["reading_missing"]
        == "Drip pan, thickness of the hub: no reading of piece 9 after operation 10"
    )
    assert said["short"] == "Drip pan: 6 good, 8 needed"
    assert said["photo_missing"] == "Drip pan, 10 turn the dish and part off: 1 photo missing"
    assert said["sent_out"] == "Drip pan: piece 4 is sent out and not back"
    for phrase in phrases(picture.findings, picture, ENGLISH):
        assert phrase.href == "" or phrase.href.split("/")[0] in ("dimensions", "pieces", "parts")
    german = phrases(picture.findings, picture, load("de"))
    assert {p.kind: plain(p.text) for p in german}["out"] == (
        "pan-9, outside diameter: 60,15 mm, zu groß (59,9 bis 60,1 mm)"
    )


def test_blanks_are_told_apart(halfway: Callable[..., Picture]) -> None:
    picture = halfway(
        Done("pan", 10, 1),
        Done("pan", 10, 2),
        Done("pan", 10, 3),
        read("pan", 10, "hub", 1, "5.000", "micrometer"),
        Gap("pan", 10, "hub", 2, "skipped", "chuck full"),
        Gap("pan", 10, "hub", 3, "cannot", "burr"),
        Done("pan", 10, 4),
        Disposition("pan", 5, 10, "scrap", "dropped"),
    )
    series_page = next(s for p in _parts(picture) for s in p.series_pages if s.key == "pan-hub")
    words = [row.slot_word for row in series_page.rows[:6]]
    assert words == [
        "read",
        "skipped on purpose",
        "cannot be measured",
        "missing: the operation is done, the reading is not there",
        "scrapped before",
        "not yet",
    ]
    assert [row.why for row in series_page.rows[1:3]] == ["chuck full", "burr"]


def test_an_empty_logbook_makes_a_whole_record(
    halfway: Callable[..., Picture], tmp_path: Path
) -> None:
    picture = halfway()
    for edition in ("maker", "recipient"):
        built = build(picture, picture.build.folder, edition, tmp_path / edition)  # type: ignore[arg-type]
        assert built.pages > 10
        assert (built.folder / "index.html").is_file()
    text = text_of((tmp_path / "maker/dimensions/cup-bore.html").read_text(encoding="utf-8"))
    assert "not read yet" in text
