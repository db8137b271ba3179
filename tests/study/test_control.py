"""Charts to read by: setups, joined signals, bad input."""

from __future__ import annotations

from decimal import Decimal

import pytest
from scipy.stats import bartlett

from qlog.study.batch.control_charts import (
    NELSON,
    Group,
    ewma,
    individuals,
    nominal_deviations,
    signals,
)

D = Decimal


def test_no_range_is_taken_across_setups() -> None:
    joined = individuals([1, 2, 1, 11, 12, 11])
    apart = individuals([1, 2, 1, 11, 12, 11], starts=[3])
    assert joined.mean_range == 2.8 and apart.mean_range == 1
    assert apart.ranges == (None, 1, 1, None, 1, 1)
    assert apart.centre == joined.centre


def test_zone_lines_stand_at_one_and_two_sigma() -> None:
    chart = individuals([D("8.003"), D("8.005"), D("8.004"), D("8.006")])
    two_low, one_low, one_high, two_high = chart.zones
    assert chart.upper - two_high == pytest.approx(chart.sigma)
    assert one_high - chart.centre == pytest.approx(chart.sigma)
    assert chart.centre - one_low == pytest.approx(chart.sigma)
    assert two_low - chart.lower == pytest.approx(chart.sigma)


def test_points_and_ranges_outside_are_named() -> None:
    chart = individuals([0, 1, 0, 1, 0, 1, 0, 1, 20, 0, 1, 0, 1, 0])
    assert chart.outside == (8,)
    assert chart.ranges_outside == (8, 9)


def test_readings_all_alike_flag_nothing() -> None:
    chart = individuals([8.01] * 5)
    assert chart.sigma == 0 and chart.outside == () and chart.ranges_outside == ()
    assert signals([8.01] * 20, chart.centre, chart.sigma) == ()


def test_too_few_for_a_chart() -> None:
    for values, starts in (([], []), ([1], []), ([1, 2], [1])):
        with pytest.raises(ValueError, match="at least 2 readings"):
            individuals(values, starts)


def test_overlapping_windows_are_one_signal() -> None:
    found = signals([0.5] * 12, 0, 1, [NELSON[1]])
    assert [(s.first, s.last) for s in found] == [(0, 11)]
    apart = signals([0.5] * 9 + [-0.5] + [0.5] * 9, 0, 1, [NELSON[1]])
    assert [(s.first, s.last) for s in apart] == [(0, 8), (10, 18)]
    two = signals([3.5, 0, 3.5], 0, 1, [NELSON[0]])
    assert [(s.first, s.last) for s in two] == [(0, 0), (2, 2)]


def test_zone_rules_speak_as_early_as_they_can() -> None:
    found = signals([2.5, 2.5], 0, 1)
    assert [s.rule.text for s in found] == ["2 of 3 points beyond 2 sigma on one side"]


def test_every_rule_names_source_and_rate() -> None:
    for rule in NELSON:
        assert rule.source and 0 < rule.false_alarm < 0.01
    # 9 on one side: twice a half to the ninth.
    assert NELSON[1].false_alarm == round(2 * 0.5**9, 4)


def test_signals_in_a_sigma_of_their_own() -> None:
    z = [0.2, 1.5, 1.6, 1.2, 1.9, -0.3]
    plain = signals(z, 0, 1)
    scaled = signals([D(repr(8 + 0.002 * v)) for v in z], 8, 0.002)
    assert [(s.rule, s.first, s.last) for s in plain] == [(s.rule, s.first, s.last) for s in scaled]
    assert [s.rule for s in plain] == [NELSON[5]]
    with pytest.raises(ValueError, match="not negative"):
        signals(z, 0, -1)


def test_ewma_limits_widen_to_the_settled_ones() -> None:
    chart = ewma([0.0] * 40, 0, 1)
    widths = [u - lo for u, lo in zip(chart.upper, chart.lower, strict=True)]
    assert widths == sorted(widths) and widths[0] == pytest.approx(2 * 3 * 0.3)
    assert widths[-1] == pytest.approx(chart.settled_upper - chart.settled_lower, rel=1e-9)
    assert chart.outside == ()


def test_ewma_sees_a_small_lasting_shift_that_single_points_do_not() -> None:
    values = [0.1, -0.2, 0.2, -0.1, 1.6, 1.4, 1.7, 1.5, 1.6, 1.4]
    chart = ewma(values, 0, 1)
    assert chart.outside and chart.outside[0] > 4
    assert all(abs(v) < 3 for v in values)


def test_ewma_refuses_what_is_no_weight() -> None:
    for weight in (0, 1.1):
        with pytest.raises(ValueError, match="weight"):
            ewma([1], 0, 1, weight=weight)
    with pytest.raises(ValueError, match="not negative"):
        ewma([1], 0, -1)
    assert ewma([1, 2], 0, 1, weight=1).points == (1, 2)


FOOT = Group(D("20"), tuple(D(v) for v in ("20.003", "20.005", "20.002", "20.004")))
STEM = Group(D("12"), tuple(D(v) for v in ("12.004", "12.002", "12.005", "12.003")))


def test_deviations_from_nominal_share_one_chart() -> None:
    found = nominal_deviations([FOOT, STEM])
    assert found.comparable and found.p_spread is not None
    assert found.chart.values == pytest.approx(
        (0.003, 0.005, 0.002, 0.004, 0.004, 0.002, 0.005, 0.003)
    )
    assert found.chart.ranges[4] is None and found.chart.outside == ()


def test_spreads_that_differ_do_not_share_limits() -> None:
    wild = Group(D("8"), tuple(D(v) for v in ("8.3", "7.6", "8.2", "7.8", "8.4")))
    assert not nominal_deviations([FOOT, wild]).comparable


def test_the_likeness_of_spreads_is_the_reference_librarys_bartlett_test() -> None:
    bore = Group(D("8"), tuple(D(v) for v in ("8.004", "8.001", "8.006", "8.002", "8")))
    found = nominal_deviations([FOOT, STEM, bore]).p_spread
    groups = [[float(v - g.nominal) for v in g.values] for g in (FOOT, STEM, bore)]
    assert found == pytest.approx(float(bartlett(*groups).pvalue), rel=1e-9)


def test_spreads_that_cannot_be_told_are_not_held_against_the_chart() -> None:
    alike = Group(D("8"), (D("8.01"),) * 3)
    single = Group(D("30"), (D("30.01"),))
    found = nominal_deviations([FOOT, alike, single])
    assert found.p_spread is None and found.comparable
    with pytest.raises(ValueError, match="at least 2 readings"):
        nominal_deviations([single])
