"""Pages of a large build: split where they would be too long, and drawn small where they repeat."""

import re
from types import SimpleNamespace

from hypothesis import given
from hypothesis import strategies as st

from qlog.record.charts.multiples import multiple
from qlog.record.pages.compare import MOST
from qlog.record.pages.page import leaf_path, split
from tests.demo_record import Demo


@given(st.lists(st.integers(1, 40), max_size=30), st.integers(1, 60))
def test_leaves_hold_everything_in_its_order_and_no_more_than_they_may(
    weights: list[int], most: int
) -> None:
    leaves = split(weights, lambda w: w, most)
    assert [w for leaf in leaves for w in leaf] == weights
    assert all(sum(leaf) <= most or len(leaf) == 1 for leaf in leaves)
    assert len(leaves) == 1 or all(leaves)


def test_the_first_leaf_has_the_name_of_the_page() -> None:
    assert [leaf_path("parts.html", n) for n in (1, 2, 12)] == [
        "parts.html", "parts-2.html", "parts-12.html"
    ]  # fmt: skip


def numbers(path: str) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in re.findall(r"([\d.]+) ([\d.]+)", path)]


def test_a_multiple_stands_on_the_scale_of_its_group() -> None:
    """Two setups: two strokes; the values in their places; what lies outside has a ring."""
    values = [[0.0, 0.004], [-0.002, 0.01]]
    lines = ((0.008, "control"), (-0.008, "control"), (0.001, "centre"))
    drawn = multiple(values, [3], lines, (-0.02, 0.02), lambda v: f"{v:.3f}")
    assert drawn.run.count("M") == 2 and drawn.run.count("L") == 2
    dots = numbers(drawn.dots)
    assert [x for x, _ in dots] == sorted(x for x, _ in dots)
    middle, unit = dots[0][1], (dots[0][1] - dots[1][1]) / 0.004
    for (_, y), value in zip(dots, [0.0, 0.004, -0.002, 0.01], strict=True):
        assert abs(middle - unit * value - y) < 0.2
    assert drawn.rings == (dots[3],)
    assert [r.text for r in drawn.rules] == ["0.008", "0.001", "-0.008"]
    assert all(0 < r.text_y < drawn.height for r in drawn.rules)


def test_every_dimension_that_is_cut_alike_is_compared_once(shown: Demo) -> None:
    page = (shown.edition("maker") / "compare.html").read_text(encoding="utf-8")
    wanted = [s.id for view in shown.picture.deviations for s in view.series]
    assert 0 < len(wanted) < MOST
    drawn = re.findall(r'<p class="multiple-name"><a href="dimensions/([\w-]+)\.html">', page)
    assert drawn == wanted
    counted = [int(n) for n in re.findall(r'<p class="soft">(\d+) readings?', page)]
    assert sum(counted) == sum(
        len(pieces) for view in shown.picture.deviations for pieces in view.pieces
    )


def test_scrapped_pieces_stand_apart_in_what_is_compared(shown: Demo) -> None:
    """pan-6 of the example was bored too large and scrapped: no control limit comes from it."""
    (series,) = [s for s in shown.picture.part("pan").series if s.id == "pan-bore-op20"]
    assert 6 in series.gone and 6 in {r.piece for r in series.readings}
    points = {
        (s.id, piece)
        for v in shown.picture.deviations
        for s, pieces in zip(v.series, v.pieces, strict=True)
        for piece in pieces
    }
    assert ("pan-bore-op20", 5) in points and ("pan-bore-op20", 6) not in points
    page = (shown.edition("maker") / "parts" / "pan.html").read_text(encoding="utf-8")
    assert "8 good; scrapped: 1 out high" in page


def test_operations_done_out_of_order_for_one_reason_are_one_line() -> None:
    from qlog.record.pages.maker import overrides
    from qlog.words.catalogue import load

    def piece(number: int, why: str) -> SimpleNamespace:
        return SimpleNamespace(number=number, cells=[SimpleNamespace(op=20, override=why)])

    pieces = [piece(n, "it was forgotten" if n % 3 == 0 else "") for n in range(1, 31)]
    pieces[3] = piece(4, "the drill was away")
    part = SimpleNamespace(part=SimpleNamespace(id="cup"), pieces=pieces)
    lines = overrides(SimpleNamespace(parts=[part]), load("en"))  # type: ignore[arg-type]
    assert lines == [
        "cup 3, 6, 9, 12, 15, 18, 21, 24, 27, 30, operation 20: it was forgotten",
        "cup-4, operation 20: the drill was away",
    ]
