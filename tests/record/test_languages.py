"""The same record in German: every page in that language, numbers and dates as it writes them."""

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

from qlog.record.pages.method import SOURCES
from tests.demo_record import EDITIONS, Demo, build, picture_of
from tests.record.golden_text import text_of

#: English words of the interface that German does not have.
ENGLISH = re.compile(
    r"\b(the|and|of|with|piece|pieces|reading|readings|not|this|were|is|photo missing)\b"
)


@pytest.fixture(scope="module")
def german(shown: Demo, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    picture = picture_of(shown.folder, language="de")
    base = tmp_path_factory.mktemp("german")
    return {e: build(picture, shown.folder, e, base / e).folder for e in EDITIONS}


@pytest.mark.parametrize("edition", EDITIONS)
def test_pages_say_that_they_are_german(german: dict[str, Path], edition: str) -> None:
    for path in german[edition].rglob("*.html"):
        assert '<html lang="de"' in path.read_text(encoding="utf-8")


def test_numbers_have_decimal_commas_and_dates_german_months(german: dict[str, Path]) -> None:
    text = text_of((german["maker"] / "dimensions/cup-bore.html").read_text(encoding="utf-8"))
    assert "22,045 mm" in text
    assert "16. Mai 2026" in text
    assert "22.045" not in text
    chart = (german["maker"] / "dimensions/cup-bore.html").read_text(encoding="utf-8")
    assert "obere Grenze" in chart and "22,050" in chart


def test_what_a_reading_was_is_told_of_its_piece_with_decimal_commas(
    german: dict[str, Path], shown: Demo
) -> None:
    corrected = [
        (reading, correction)
        for view in shown.picture.parts
        for series in view.series
        for reading in series.readings
        for correction in reading.corrections
    ]
    assert any("." in correction.typed for _, correction in corrected)
    for reading, c in corrected:
        page = german["maker"] / "piece" / f"{reading.part}-{reading.piece}.html"
        old, new = (text.replace(".", ",") for text in (c.typed, c.became))
        assert f"von {old} auf {new} korrigiert" in text_of(page.read_text(encoding="utf-8"))


def test_tables_for_programs_keep_the_decimal_point(german: dict[str, Path], shown: Demo) -> None:
    """JSON is for programs; the CSV opens in a spreadsheet that writes numbers with a comma."""
    ours = (german["maker"] / "readings.json").read_bytes()
    assert ours == (shown.edition("maker") / "readings.json").read_bytes()
    row = (german["maker"] / "readings.csv").read_text(encoding="utf-8-sig").splitlines()[1]
    assert ";14,007;" in row  # the value; beside it stands what was typed, as text


def test_the_pages_of_the_gift_have_german_names(german: dict[str, Path]) -> None:
    folder = german["recipient"]
    pages = {p.relative_to(folder).as_posix() for p in folder.rglob("*.html")}
    assert pages == {
        "index.html", "brief.html", "stuecke.html", "entstehung.html", "pflege.html",
        "reparatur.html", "woerter.html", "ueber.html",
        *(f"Stuecke/no-{n}.html" for n in range(1, 9)),
        *(f"Reparatur/{p}.html" for p in ("foot", "tall-stem", "low-stem", "cup", "drip-pan")),
    }  # fmt: skip
    for name in ("ZUERST LESEN.txt", "stimme.mp3", "masse.csv", "masse.json"):
        assert (folder / name).is_file(), name
    assert "masse.csv" in (folder / "ZUERST LESEN.txt").read_text(encoding="utf-8")


def texts_in(value: object) -> Iterator[str]:
    """Every text of a TOML table, keys of the object record included."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, list):
        for one in value:
            yield from texts_in(one)
    elif isinstance(value, dict):
        for key, one in value.items():
            yield from (key, *texts_in(one))


def own_words(shown: Demo) -> list[str]:
    """What the plan and the logbook say in their own words, the longest first."""
    said = set(SOURCES) | set(texts_in(tomllib.loads(shown.picture.build.source)))
    said |= {p.strip() for text in list(said) for p in text.split("\n")}
    for written in (shown.folder / "letter").glob("*.txt"):
        said |= set(written.read_text(encoding="utf-8").split("\n"))
        said.add(" / ".join(written.read_text(encoding="utf-8").split("\n")[-3:]))
    said |= {p.caption for p in shown.picture.photos}
    for view in shown.picture.parts:
        for holder in (*view.ops, *view.pieces):
            said |= {note.fact.text for note in holder.notes}
        for piece in view.pieces:
            said |= {d.fact.why for d in piece.dispositions}
            said |= {cell.override for cell in piece.cells}
        said |= {e.fact.why for e in view.remade}
        for series in view.series:
            said |= {setup.cause for setup in series.setups}
            for reading in series.readings:
                said |= {reading.note, *(c.reason for c in reading.corrections)}
    for instrument in shown.picture.instruments:
        said |= {check.fact.note for check in instrument.checks}
    for item in shown.picture.items:
        said |= set(item.notes)
    return sorted((s for s in said if len(s) > 3), key=len, reverse=True)


@pytest.mark.parametrize("edition", EDITIONS)
def test_no_interface_text_is_left_in_english(
    german: dict[str, Path], shown: Demo, edition: str
) -> None:
    own = own_words(shown)
    left = []
    for path in sorted(german[edition].rglob("*.html")):
        text = text_of(path.read_text(encoding="utf-8"))
        for words in own:
            text = text.replace(words, "")
        left += [(path.name, line) for line in text.splitlines() if ENGLISH.search(line)]
    assert left == [], "\n".join(map(str, left))
