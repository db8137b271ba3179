"""One sign, one meaning: no two signs of the pages are drawn alike."""

import re
from collections import Counter
from pathlib import Path

from qlog.logbook.facts import Reading
from qlog.record.charts.chart import WIDE, Band, ChartData, Point, Shape, draw
from tests.demo_record import Demo

MACROS = (Path(__file__).parents[2] / "site_templates" / "shared" / "macros.html").read_text(
    encoding="utf-8"
)


def drawn(macro: str) -> dict[str, str]:
    body = MACROS.split(f"macro {macro}(", 1)[1].split("endmacro", 1)[0]
    return dict(re.findall(r'name == "(\w+)" %\}(<[^{]+)', body))


def test_no_two_signs_are_drawn_alike() -> None:
    signs = drawn("shape")
    assert {"good", "high", "low", "open", "fail", "gone", "bad", "drift", "warn", "evidence"} <= (
        signs.keys()
    )
    alike = {"due": "good"}  # one circle, filled for done and dashed for due
    kept = {name: path for name, path in signs.items() if name not in alike}
    assert len(set(kept.values())) == len(kept), sorted(kept.items())


def test_a_failed_check_is_a_square_everywhere() -> None:
    assert "h11v11h-11Z" in drawn("shape")["fail"]
    assert '<path d="M-5-5h10v10h-10Z"/>' in MACROS.split("macro chart_shape(")[1]


def test_used_as_it_is_is_not_called_out_of_limits(shown: Demo) -> None:
    """foot-9 of the example is out high and used as it is."""
    page = (shown.edition("maker") / "index.html").read_text(encoding="utf-8")
    noted = page.split('id="h-note"', 1)[1]
    assert "used as it is, reason logged" in noted


def test_findings_have_the_sign_of_their_group(shown: Demo) -> None:
    page = (shown.edition("maker") / "index.html").read_text(encoding="utf-8")
    for section in re.findall(r'<h2 id="h-(\w+)".*?</section>', page, re.S):
        body = page.split(f'id="h-{section}"', 1)[1].split("</section>", 1)[0]
        found = set(re.findall(r'class="shape shape-(\w+)"', body))
        assert not found or found == {section}


def test_a_bracket_holds_its_pieces_and_is_named_where_there_is_room() -> None:
    points = tuple(Point(str(n), 1.0 + n % 2, Shape.GOOD, "") for n in range(10))
    bands = (Band(0, 6, "micrometer", 0), Band(7, 7, "three-point bore gauge", 0))
    chart = draw(ChartData(points, (), lambda v, d: f"{v:.{d}f}", "mm", bands=bands), WIDE)
    first, second = chart.bands
    assert first.left < chart.marks[0].x < chart.marks[6].x < first.left + first.width
    assert second.left > first.left + first.width
    assert (first.text, second.text) == ("micrometer", "")
    assert chart.bottom < first.y < chart.axis_y < chart.height


def test_the_sign_of_not_proven_stands_for_nothing_else() -> None:
    """A diamond is a reading too near a limit: not a missing photo, nor a doubtful instrument."""
    maker = Path(__file__).parents[2] / "site_templates" / "maker"
    named = [
        (path.name, name)
        for path in maker.glob("*.html")
        for name in re.findall(r'm\.(?:verdict|shape)\("(\w+)"', path.read_text(encoding="utf-8"))
    ]
    assert ("part.html", "evidence") in named and ("instruments.html", "warn") in named
    assert [page for page, name in named if name == "open"] == []


def test_a_scrapped_piece_is_called_so_and_not_out_of_limits(shown: Demo) -> None:
    """pan-6 of the example came out too large and was scrapped: nothing is left to settle."""
    page = (shown.edition("maker") / "index.html").read_text(encoding="utf-8")
    assert '<span class="finding-kind">scrapped</span>' in page.split('id="h-note"', 1)[1]
    assert "out of limits" not in page


def test_an_instrument_counts_every_reading_that_it_took(shown: Demo) -> None:
    """On pieces, beside another instrument, for computed sizes, on finished items, and on pieces
    that were made anew since.
    """
    taken: Counter[str | None] = Counter()
    for view in shown.picture.parts:
        for series in view.series:
            for reading in series.readings:
                taken.update(r.instrument for r in (reading.raws or (reading, *reading.beside)))
        before = [e.fact for of in view.earlier.values() for e in of]
        taken.update(fact.instrument for fact in before if isinstance(fact, Reading))
    taken.update(e.fact.instrument for item in shown.picture.items for e in item.sizes)
    page = (shown.edition("maker") / "instruments.html").read_text(encoding="utf-8")
    for instrument in shown.picture.build.instruments:
        own = page.split(f'id="{instrument.id}"', 1)[1].split("</article>", 1)[0]
        (said,) = re.findall(r"<dt>Readings taken</dt><dd>(\d+)", own)
        assert int(said) == taken[instrument.id], instrument.id
    assert taken["bore-gauge"] > 40 and taken["height-gauge"] > 0
