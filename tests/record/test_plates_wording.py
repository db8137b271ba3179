"""Drawing pictures of every kind, and numbers as the pages write them."""

import os
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest
from PIL import Image

from qlog.drawing.limits import Limits
from qlog.drawing.units import Unit
from qlog.record.keepsake.gather import keepsake
from qlog.record.keepsake.lines import Lines
from qlog.record.keepsake.source import Source
from qlog.record.pages.drawing_plates import plates, svg_size
from qlog.record.pages.gallery import Gallery
from qlog.review.picture import Picture
from qlog.review.views import ReadingView
from qlog.study.conformity.verdict import Judgement
from qlog.words.catalogue import load
from qlog.words.values import fixed, limits_text, with_unit
from tests.demo_record import Demo

ENGLISH, GERMAN = load("en"), load("de")


@pytest.mark.parametrize(
    ("head", "size"),
    [
        ('viewBox="0 0 210 148.5"', (210, 148.5)),
        ('viewBox="5,5,20,10" width="900"', (20, 10)),
        ('width="210mm" height="148mm"', (210, 148)),
        ('width="64" height="48"', (64, 48)),
    ],
)
def test_the_size_of_a_drawing_is_read_from_its_head(
    tmp_path: Path, head: str, size: tuple[float, float]
) -> None:
    path = tmp_path / "a.svg"
    path.write_text(f'<svg xmlns="http://www.w3.org/2000/svg" {head}/>', encoding="utf-8")
    assert svg_size(path) == size


@pytest.mark.parametrize("head", ["", 'width="100%" height="100%"', 'viewBox="0 0 0 0"'])
def test_a_drawing_without_a_size_is_refused(tmp_path: Path, head: str) -> None:
    path = tmp_path / "a.svg"
    path.write_text(f'<svg xmlns="http://www.w3.org/2000/svg" {head}/>', encoding="utf-8")
    with pytest.raises(ValueError, match="no viewBox"):
        svg_size(path)


def test_drawings_are_taken_as_they_are_rendered_or_left_out(shown: Demo, tmp_path: Path) -> None:
    folder, record = tmp_path / "build", tmp_path / "record"
    folder.mkdir()
    record.mkdir()
    (folder / "a.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 30 20"/>', encoding="utf-8"
    )
    Image.new("RGB", (3000, 1500), "white").save(folder / "b.png")
    (folder / "c.svg").write_text("<svg", encoding="utf-8")
    images = ("a.svg", "b.png", "c.svg", "gone.png")
    parts = tuple(
        replace(part, image=image)
        for part, image in zip(shown.picture.build.parts[:4], images, strict=True)
    )
    found = plates(replace(shown.picture.build, folder=folder, parts=parts), record)
    first, second = parts[0].id, parts[1].id
    assert found == {
        first: (f"drawings/{first}.svg", 30, 20),
        second: (f"drawings/{second}.jpg", 1920, 960),
    }
    assert sorted(p.name for p in (record / "drawings").iterdir()) == sorted(
        [f"{first}.svg", f"{second}.jpg"]
    )
    with Image.open(record / "drawings" / f"{second}.jpg") as image:
        assert image.size == (1920, 960)


@pytest.mark.skipif(os.name == "nt", reason="making a link needs a right of its own there")
@pytest.mark.parametrize("leads", ["a picture elsewhere", "a device", "a pipe"])
def test_a_drawing_that_leads_elsewhere_is_never_published(
    shown: Demo, tmp_path: Path, leads: str
) -> None:
    """A build that somebody else handed over may name a link, to publish what lies behind it."""
    folder, elsewhere = tmp_path / "build", tmp_path / "elsewhere"
    for made in (folder, elsewhere):
        made.mkdir()
    Image.new("RGB", (64, 64), "magenta").save(elsewhere / "own.png")
    if leads == "a pipe":
        os.mkfifo(folder / "cup.png")
    else:
        (folder / "cup.png").symlink_to(
            elsewhere / "own.png" if leads == "a picture elsewhere" else "/dev/zero"
        )
    Image.new("RGB", (64, 64), "grey").save(folder / "stem.png")
    build = replace(
        shown.picture.build,
        folder=folder,
        parts=tuple(
            replace(part, image=image)
            for part, image in zip(shown.picture.build.parts, ("cup.png", "stem.png"), strict=False)
        ),
    )
    record = tmp_path / "record"
    record.mkdir()
    assert set(plates(build, record)) == {build.parts[1].id}
    assert len([p for p in record.rglob("*") if p.is_file()]) == 1


def test_limits_are_written_in_words_and_in_the_language() -> None:
    both = Limits(Decimal("8.000"), Decimal("8.015"), Unit.MM)
    assert limits_text(ENGLISH, both) == "8.000 to 8.015\N{NARROW NO-BREAK SPACE}mm"
    assert limits_text(GERMAN, both) == "8,000 bis 8,015\N{NARROW NO-BREAK SPACE}mm"
    most = Limits(None, Decimal("0.8"), Unit.MICROMETRE)
    assert limits_text(ENGLISH, most) == "0.8\N{NARROW NO-BREAK SPACE}µm at most"
    least = Limits(Decimal("45"), None, Unit.DEGREE)
    assert limits_text(GERMAN, least) == "mindestens 45°"
    assert limits_text(ENGLISH, Limits(None, None, Unit.MM)) == "no limits"
    fit = Limits(Decimal("-0.029"), Decimal("0"), Unit.MM)
    assert limits_text(ENGLISH, fit).startswith("\N{MINUS SIGN}0.029 to 0.000")


def test_numbers_are_rounded_half_away_and_zero_has_no_sign() -> None:
    assert fixed(Decimal("8.0145"), 3) == "8.015"
    assert fixed(Decimal("-8.0145"), 3) == "-8.015"
    assert fixed(Decimal("-0.0004"), 3) == "0.000"
    assert fixed(0.1 + 0.2, 2) == "0.30"
    assert with_unit("45", "°") == "45°"
    assert with_unit("3", "") == "3"


def test_a_reading_over_a_limit_is_never_shown_on_it(shown: Demo) -> None:
    """foot-9 is 0.008 over; with fewer decimals it would look as if it were on the limit."""
    page = (shown.edition("maker") / "dimensions/foot-height.html").read_text(encoding="utf-8")
    assert "20.058" in page and "out high" in page


@pytest.mark.parametrize(
    ("away", "said"),
    [
        ("0.007", "a tenth of the thickness of a hair"),
        ("0.035", "half of the thickness of a hair"),
        ("0.001", "far less than the thickness of a hair"),
        ("0.08", "about the thickness of a hair"),
    ],
)
def test_closeness_is_told_by_a_hair(shown: Demo, away: str, said: str) -> None:
    picture = moved(shown.picture, Decimal(away))
    kept = keepsake(Source(picture, ENGLISH, Gallery({}, {}), (), Lines({}), {}, "", ""))
    assert said in kept.items[0].closeness


def from_middle(judged: Judgement, away: Decimal) -> Judgement:
    """The same judgement of a size as far from the middle as that."""
    middle = judged.limits.middle
    return judged if middle is None else replace(judged, value=middle + away)


def moved(picture: Picture, away: Decimal) -> Picture:
    """The same picture with every reading as far from its middle as that."""

    def read(view: ReadingView) -> ReadingView:
        judged = view.judgement
        return view if judged is None else replace(view, judgement=from_middle(judged, away))

    return replace(
        picture,
        parts=tuple(
            replace(
                view,
                series=tuple(
                    replace(s, readings=tuple(read(r) for r in s.readings)) for s in view.series
                ),
            )
            for view in picture.parts
        ),
    )
