"""Charts to read by: what is drawn, what the rules say, and that they decide nothing."""

from qlog.record.charts.control_charts import control_charts_of
from qlog.record.pages.compare import compare_leaves
from qlog.study.batch.control_charts import NELSON
from qlog.words.catalogue import load
from tests.demo_record import Demo


def series(shown: Demo, id: str):  # type: ignore[no-untyped-def]
    return next(s for v in shown.picture.parts for s in v.series if s.id == id)


def test_no_control_limit_spans_two_revisions_of_a_drawing(shown: Demo) -> None:
    rim = series(shown, "foot-rim")
    found = control_charts_of("rim", rim, [{n: f"r{n}" for n in range(1, 11)}], load("en"))
    assert found is not None
    individuals, ranges, average = (f.chart.wide[0] for f in found.leaves[0])
    # By hand, pieces 6 to 10: mean 64.016, mean range 0.09 / 4: 64.016 + 3 x 0.0225 / 1.128.
    first, second = rim.study.control
    assert f"{second.control.chart.upper:.3f}" == "64.076"
    assert [m.label for m in individuals.marks if m.outlier] == []
    assert len(ranges.marks) == 8  # none across the change, none before the first
    assert len(average.marks) == 10
    middle = (individuals.marks[4].x + individuals.marks[5].x) / 2
    for stretch, place in (
        (first, lambda r: r.right <= middle),
        (second, lambda r: r.left >= middle),
    ):
        own = [r for r in individuals.rules if place(r)]
        assert [r.line.value for r in own] == [
            "control", "zone", "zone", "centre", "zone", "zone", "control",
        ]  # fmt: skip
        chart = stretch.control.chart
        assert (own[0].text, own[-1].text) == (f"{chart.upper:.3f}", f"{chart.lower:.3f}")
    assert [line.pieces for line in found.stretches] == ["1-5", "6-10"]


def test_setups_of_a_few_pieces_get_no_control_limits(shown: Demo) -> None:
    waist = series(shown, "tall-stem-waist")
    assert [(s.setup, s.pieces) for s in waist.study.control] == [(1, (1, 2, 3)), (2, (4, 5, 6))]
    assert (
        control_charts_of("waist", waist, [{n: f"r{n}" for n in range(1, 7)}], load("en")) is None
    )


def test_every_rule_stands_with_its_source_and_its_rate(shown: Demo) -> None:
    found = control_charts_of(
        "rim", series(shown, "foot-rim"), [{n: f"r{n}" for n in range(1, 11)}], load("en")
    )
    assert found is not None
    assert [r.source for r in found.rules] == [r.source for r in NELSON]
    assert [float(r.false_alarm.split()[0]) for r in found.rules] == [
        round(100 * r.false_alarm, 2) for r in NELSON
    ]
    assert [r.found for r in found.rules] == ["nowhere"] * len(NELSON)


def test_dimensions_of_one_machine_and_instrument_share_a_chart(shown: Demo) -> None:
    leaves = compare_leaves(shown.picture, load("en"))
    sections = [s for _, leaf in leaves for s in leaf]
    bores = next(s for s in sections if "bore gauge" in s.title and "boring" in s.title)
    assert [(m.part, m.name) for m in bores.members] == [
        ("Foot", "bore for the stem"), ("Cup", "socket for the candle"),
        ("Drip pan", "bore over the cup's neck"),
    ]  # fmt: skip
    assert not bores.comparable  # one scrapped pan, one drifting cup


def test_the_page_says_that_they_decide_nothing(shown: Demo) -> None:
    page = (shown.edition("maker") / "dimensions" / "cup-bore.html").read_text("utf-8")
    assert "the trend test decides what is called a drift" in page
    assert "decide nothing" in (shown.edition("maker") / "compare.html").read_text("utf-8")
