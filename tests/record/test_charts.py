"""Charts: every value in its place, limits where they belong, writings that do not touch."""

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from qlog.record.charts import chart as charts
from qlog.record.charts.chart import (
    Band,
    Chart,
    ChartData,
    Level,
    LimitStretch,
    LineKind,
    Point,
    Shape,
    Stretch,
    Trend,
)
from qlog.record.charts.wrapped import draw_rows

LAYOUTS = (charts.WIDE, charts.NARROW)


def data(values: list[float | None], **more: object) -> ChartData:
    points = tuple(
        None if v is None else Point(str(n), v, Shape.GOOD, f"piece {n}", bar=0.002)
        for n, v in enumerate(values, 1)
    )
    given_: dict[str, object] = {
        "levels": (Level(8.015, "8.015", "upper"), Level(8.0, "8.000", "lower")),
        "upper": 8.015,
        "lower": 8.0,
        **more,
    }
    return ChartData(
        points=points,
        number=lambda value, decimals: f"{value:.{decimals}f}",
        unit="mm",
        **given_,  # type: ignore[arg-type]
    )


def value_at(chart: Chart, y: float) -> float:
    """The value that a height stands for, read off the two limits."""
    upper, lower = (r for r in chart.rules if r.line is LineKind.LIMIT)
    return 8.0 + (lower.y - y) / (lower.y - upper.y) * 0.015


@pytest.mark.parametrize("layout", LAYOUTS)
def test_points_stand_at_their_values_in_the_order_of_making(layout: charts.ChartPaper) -> None:
    values = [8.001, 8.004, None, 8.012, 8.019]
    chart = charts.draw(data(values), layout)
    assert [m.label for m in chart.marks] == ["1", "2", "4", "5"]
    for mark, value in zip(chart.marks, [v for v in values if v is not None], strict=True):
        assert value_at(chart, mark.y) == pytest.approx(value, abs=5e-5)
        assert chart.left < mark.x < chart.right
        assert mark.column < mark.x < mark.column + mark.column_width
        assert mark.bar_top is not None and mark.bar_bottom is not None
        assert value_at(chart, mark.bar_top) == pytest.approx(value + 0.002, abs=5e-5)
        assert value_at(chart, mark.bar_bottom) == pytest.approx(value - 0.002, abs=5e-5)
    xs = [m.x for m in chart.marks]
    assert xs == sorted(xs)
    assert xs[2] - xs[1] == pytest.approx(2 * (xs[1] - xs[0]), abs=0.2)


@pytest.mark.parametrize("layout", LAYOUTS)
def test_the_zone_lies_between_the_limits_or_runs_to_the_edge(layout: charts.ChartPaper) -> None:
    both = charts.draw(data([8.004, 8.006]), layout)
    assert both.zone_top == both.rules[0].y and both.zone_bottom == both.rules[1].y
    upper = charts.draw(
        data([0.4, 0.5], levels=(Level(0.8, "0.8", "upper"),), upper=0.8, lower=None), layout
    )
    assert upper.zone_top == upper.rules[0].y and upper.zone_bottom == upper.bottom
    none = charts.draw(data([0.4, 0.5], levels=(), upper=None, lower=None), layout)
    assert none.zone_top is None


def test_a_line_is_never_drawn_across_a_new_setup_or_a_gap_in_it() -> None:
    chart = charts.draw(
        data(
            [8.001, 8.003, 8.002, 8.004],
            stretches=(Stretch(0, 1, "setup 1"), Stretch(2, 3, "setup 2", "re-sharpened")),
        ),
        charts.WIDE,
    )
    assert chart.path.count("M") == 2 and chart.path.count("L") == 2
    first, second = chart.dividers
    assert first.x is None
    assert second.x is not None
    assert chart.marks[1].x < second.x < chart.marks[2].x


def test_a_trend_and_its_forecast_meet_at_the_last_piece() -> None:
    trend = Trend(0, 2, 8.001, 8.009, ahead=4, at_ahead=8.017)
    chart = charts.draw(data([8.001, 8.005, 8.009], trends=(trend,), ahead=("4", "5")), charts.WIDE)
    drawn, forecast = chart.segments
    assert not drawn.forecast and forecast.forecast
    assert (drawn.x2, drawn.y2) == (forecast.x1, forecast.y1)
    assert value_at(chart, forecast.y2) == pytest.approx(8.017, abs=5e-5)
    assert [a.text for a in chart.ahead] == ["4", "5"]
    assert chart.ahead[-1].x == forecast.x2
    assert chart.top <= forecast.y2 <= chart.bottom


@given(st.lists(st.floats(-1e3, 1e3), min_size=1, max_size=30), st.sampled_from(LAYOUTS))
def test_everything_stays_inside_the_plot(values: list[float], layout: charts.ChartPaper) -> None:
    chart = charts.draw(data(list(values)), layout)
    for mark in chart.marks:
        assert chart.top <= mark.y <= chart.bottom
        assert chart.left <= mark.x <= chart.right
        assert mark.column_width >= layout.room - 0.1
    for rule in chart.rules:
        assert chart.top <= rule.y <= chart.bottom


def test_alike_values_without_limits_still_have_a_scale() -> None:
    chart = charts.draw(data([5.0, 5.0, 5.0], levels=(), upper=None, lower=None), charts.NARROW)
    assert len({m.y for m in chart.marks}) == 1
    assert chart.top < chart.marks[0].y < chart.bottom


def test_nothing_read_is_nothing_to_draw() -> None:
    with pytest.raises(ValueError, match="at least one reading"):
        charts.draw(data([None, None]), charts.WIDE)


@given(st.floats(-1e6, 1e6), st.floats(1e-6, 1e6), st.integers(2, 8))
def test_ticks_are_round_and_inside(low: float, width: float, about: int) -> None:
    high = low + width
    if not high > low:
        return
    values, decimals = charts.round_values(low, high, about)
    assert len(values) <= 2.6 * about + 1
    for value in values:
        slack = width * 1e-6 + 4 * math.ulp(max(abs(low), abs(high)))
        assert low - slack <= value <= high + slack
    if len(values) > 1:
        step = values[1] - values[0]
        power = 10.0 ** math.floor(math.log10(step) + 1e-4)
        # Far from zero the difference of two values is only as fine as the floats are.
        if math.ulp(values[-1]) < step * 1e-5:
            assert round(step / power) in (1, 2, 5)
            assert decimals == max(0, -round(math.log10(power)))


def test_ticks_need_a_stretch() -> None:
    with pytest.raises(ValueError, match="no values"):
        charts.round_values(1.0, 1.0, 5)


@given(st.lists(st.floats(0, 400), max_size=12), st.floats(1, 30))
def test_writings_are_moved_apart_and_keep_their_order(places: list[float], least: float) -> None:
    moved = charts.spread(sorted(places), least)
    assert len(moved) == len(places)
    for a, b in pairwise(moved):
        assert b - a >= least - 1e-6
    if moved:
        assert sum(moved) / len(moved) == pytest.approx(sum(places) / len(places), abs=1e-6)


def test_a_strip_shows_every_tolerance_in_the_same_place() -> None:
    one = charts.strip([(8.004, Shape.GOOD), (8.02, Shape.HIGH)], 8.0, 8.015)
    two = charts.strip([(100.0, Shape.GOOD)], 99.8, 100.2)
    other = charts.strip([(22.02, Shape.GOOD)], 22.0, 22.05)
    assert (two.low_x, two.high_x) == (other.low_x, other.high_x)
    assert one.high_x is not None and one.dots[0].x > one.high_x
    assert one.dots[0].shape is Shape.HIGH
    assert one.good.count("h0") == 1
    bare = charts.strip([(1.0, Shape.GOOD)], None, None)
    assert bare.low_x is None and 0 < float(bare.good[1:].split()[0]) < bare.width


def test_spans_share_one_scale() -> None:
    asked, worst = charts.spans([(175.7, 176.3), (175.72, 176.28)], [176.06])
    assert asked.x1 < worst.x1 < worst.x2 < asked.x2
    assert (asked.bound_1, asked.bound_2) == (asked.x1, asked.x2) == (worst.bound_1, worst.bound_2)
    assert asked.dots == () and worst.x1 < worst.dots[0] < worst.x2
    assert charts.spans([]) == ()
    assert [b.length for b in charts.bars([0.5, 0.25])] == [400, 200]


@pytest.mark.parametrize("layout", LAYOUTS)
def test_a_long_batch_goes_on_below_at_the_same_size_and_scale(layout: charts.ChartPaper) -> None:
    values: list[float | None] = [8.001 + 0.0002 * n for n in range(50)]
    rows = draw_rows(data(values), layout)
    assert len(rows) > 1
    assert {row.width for row in rows} == {layout.width}
    assert [m.label for row in rows for m in row.marks] == [str(n) for n in range(1, 51)]
    read = [value_at(row, m.y) for row in rows for m in row.marks]
    assert read == pytest.approx(values, abs=5e-5)
    assert max(len(row.marks) for row in rows) - min(len(row.marks) for row in rows) < len(rows)


def test_a_row_shows_what_stands_over_its_own_pieces() -> None:
    """Setup, control limits, brackets and a trend are cut where the row ends, at their values."""
    values: list[float | None] = [8.0 + 0.0002 * n for n in range(40)]
    control = Level(8.009, "8.009", "control limit", LineKind.CONTROL, 0, 24)
    whole = data(
        values,
        levels=(Level(8.015, "8.015", "upper"), Level(8.0, "8.000", "lower"), control),
        stretches=(Stretch(0, 24, "setup 1"), Stretch(25, 39, "setup 2", "new tool")),
        bands=(Band(0, 9, "micrometer", 0), Band(10, 39, "caliper", 0)),
        trends=(Trend(0, 39, 8.0, 8.0078, ahead=41, at_ahead=8.0082),),
        ahead=("41", "42"),
    )
    first, last = draw_rows(whole, charts.WIDE)
    assert [d.text for d in first.dividers] == ["setup 1"]
    assert [(d.text, d.x is None) for d in last.dividers] == [("setup 1", True), ("setup 2", False)]
    cut = next(r for r in last.rules if r.line is LineKind.CONTROL)
    assert cut.right == last.dividers[1].x
    assert [b.text for b in first.bands] == ["micrometer", "caliper"]
    assert [b.text for b in last.bands] == ["caliper"]
    line, onward = last.segments
    assert value_at(last, line.y1) == pytest.approx(values[21], abs=5e-5)
    assert value_at(last, onward.y2) == pytest.approx(8.0082, abs=5e-5)
    assert [a.text for a in last.ahead] == ["41", "42"] and first.ahead == ()


def test_a_row_read_by_older_limits_does_not_name_todays() -> None:
    older = LimitStretch(0, 24, 8.001, 8.012, "8.001", "8.012")
    newer = LimitStretch(25, 49, 8.0, 8.015, "", "")
    first, _, last = draw_rows(data([8.006] * 50, steps=(older, newer)), charts.WIDE)
    assert not first.rules and [z.upper_text for z in first.zones] == ["8.012"]
    assert [r.text for r in last.rules] == ["8.015", "8.000"] and not last.zones
    assert last.zone_top is not None


def test_rows_without_a_reading_are_left_out_unless_something_is_forecast() -> None:
    values: list[float | None] = [8.004] * 5 + [None] * 45
    assert len(draw_rows(data(values), charts.WIDE)) == 1
    with pytest.raises(ValueError, match="at least one reading"):
        draw_rows(data([None] * 50), charts.WIDE)
