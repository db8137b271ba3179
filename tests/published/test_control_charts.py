"""Charts to read by: worked examples of the NIST/SEMATECH e-Handbook, published rates of rules."""

from __future__ import annotations

import csv
import math
import random
from decimal import Decimal
from itertools import permutations, product
from pathlib import Path

import pytest

from qlog.study.batch.control_charts import (
    D2,
    D4,
    NELSON,
    RunRule,
    _one_side,
    _steady_run,
    _zigzag,
    ewma,
    individuals,
    signals,
)

DATA = Path(__file__).parent / "data"


def test_constants_of_the_tables() -> None:
    with (DATA / "control_chart_constants.csv").open(encoding="utf-8", newline="") as file:
        table = {r["constant"]: r for r in csv.DictReader(file) if r["n"] == "2"}
    assert str(D2) == table["d2"]["published_table_value"]
    assert str(D4) == table["D4"]["published_table_value"]


def test_individuals_of_the_flow_rates() -> None:
    # NIST/SEMATECH e-Handbook 6.3.2.2.
    data = ["49.6", "47.6", "49.9", "51.3", "47.8", "51.2", "52.6", "52.4", "53.6", "52.1"]
    chart = individuals(map(Decimal, data))
    assert round(chart.centre, 2) == 50.81
    assert round(chart.mean_range, 4) == 1.8778
    assert round(chart.upper, 4) == 55.8041
    assert round(chart.lower, 4) == 45.8159
    assert chart.outside == () and chart.ranges_outside == ()


def test_ewma_of_the_handbook() -> None:
    # NIST/SEMATECH e-Handbook 6.3.2.4: weight 0.3, target 50, s 2.0539. The printed lower limit
    # 47.4115 is 47.41157 before rounding.
    data = [52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5]
    data += [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]
    printed = [50.60, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33]
    printed += [50.11, 49.36, 49.52, 50.05, 49.38, 49.92, 50.73, 51.23, 51.94, 51.99]
    chart = ewma(data, 50, 2.0539, weight=0.3)
    assert [round(p, 2) for p in chart.points] == printed
    assert round(chart.settled_upper, 4) == 52.5884
    assert abs(chart.settled_lower - 47.4115) < 1e-4
    assert chart.outside == ()


# Chance per position of a steady process with known sigma; definitions Nelson 1984, values exact.
RATES = [0.0026998, 0.00390625, 0.00277778, 0.00457364, 0.00305831, 0.00553184, 0.00326098]
RATES += [0.00010277]


def test_stated_false_alarm_rates() -> None:
    stated = [rule.false_alarm for rule in NELSON]
    assert stated == [round(rate, 4) for rate in RATES]


def tail(z: float) -> float:
    return 0.5 * math.erfc(z / math.sqrt(2))


# Cuts that tell the zones apart, and a value within each.
ZONES = [
    (-3.5, tail(3)),
    (-2.5, tail(2) - tail(3)),
    (-1.5, tail(1) - tail(2)),
    (-0.5, 0.5 - tail(1)),
    (0.5, 0.5 - tail(1)),
    (1.5, tail(1) - tail(2)),
    (2.5, tail(2) - tail(3)),
    (3.5, tail(3)),
]


@pytest.mark.parametrize("index", [0, 4, 5])
def test_zone_rules_fire_as_often_as_published(index: int) -> None:
    # Every pattern of zones in the window, with its probability.
    rule = NELSON[index]
    rate = math.fsum(
        math.prod(p for _, p in window)
        for window in product(ZONES, repeat=rule.points)
        if rule.test([z for z, _ in window])
    )
    assert math.isclose(rate, RATES[index], rel_tol=1e-5)


@pytest.mark.parametrize(("index", "sides"), [(1, (-0.5, 0.5)), (6, (0.5, 1.5)), (7, (0.5, 1.5))])
def test_runs_fire_as_often_as_published(index: int, sides: tuple[float, float]) -> None:
    rule = NELSON[index]
    chance = {0.5: 0.5, -0.5: 0.5}
    if index > 1:
        chance = {0.5: 1 - 2 * tail(1), 1.5: 2 * tail(1)}
    rate = math.fsum(
        math.prod(chance[z] for z in window)
        for window in product(sides, repeat=rule.points)
        if rule.test(window)
    )
    assert math.isclose(rate, RATES[index], rel_tol=1e-4)


def test_orderings_fire_as_often_as_published() -> None:
    # Six rising or falling: 2 of 6! orders.
    rising = sum(_steady_run(6)(order) for order in permutations(range(6)))
    assert rising == 2
    assert math.isclose(rising / math.factorial(6), RATES[2], rel_tol=1e-5)
    # Up and down in turn: twice the zigzag number (OEIS A000111): 1385 for 8, 199360981 for 14.
    assert sum(_zigzag(8)(order) for order in permutations(range(8))) == 2 * 1385
    assert math.isclose(2 * 199360981 / math.factorial(14), RATES[3], rel_tol=1e-5)
    assert NELSON[3].points == 14 and NELSON[2].points == 6


def test_a_rule_needs_its_whole_window_and_respects_sides() -> None:
    def fires(rule: RunRule, *z: float) -> bool:
        return bool(signals(z, 0, 1, [rule]))

    nine, six, fourteen = NELSON[1], NELSON[2], NELSON[3]
    assert not fires(nine, *[0.1] * 8) and fires(nine, *[0.1] * 9)
    # A point on the centre breaks the run, on either side.
    assert not fires(nine, *[0.1] * 4, 0, *[0.1] * 4)
    assert fires(nine, *[-0.1] * 9) and not fires(nine, *[-0.1] * 4, 0, *[-0.1] * 4)
    assert not fires(six, 1, 2, 3, 4, 5) and fires(six, 1, 2, 3, 4, 5, 6)
    assert not fires(six, 1, 2, 3, 3, 4, 5) and not fires(six, 5, 4, 3, 3, 2, 1)
    assert fires(six, 6, 5, 4, 3, 2, 1)
    assert not fires(fourteen, *[1, -1] * 6, 1) and fires(fourteen, *[1, -1] * 7)
    two_of_three = NELSON[4]
    assert fires(two_of_three, 2.1, 0, 2.1) and not fires(two_of_three, 2.1, 0, -2.1)
    assert not fires(two_of_three, 2.1, 0, 0, 2.1)
    assert fires(NELSON[0], 3.01) and not fires(NELSON[0], 3.0)
    assert fires(NELSON[0], -3.01) and not fires(NELSON[0], -3.0)


#: The four rules of the Western Electric Statistical Quality Control Handbook, 1956: three of
#: them stand among the eight, the fourth with eight points instead of nine.
FOUR = (
    *(NELSON[k] for k in (0, 4, 5)),
    RunRule("8 points in a row on one side of the centre", 8, 0.0078, "1956", _one_side(8)),
)


@pytest.mark.parametrize(
    ("rules", "shift", "published"),
    # Champ and Woodall 1987, Technometrics 29, 393-399: points until an alarm, on average. All four
    # in a steady process: read in an open encyclopedia's page on the rules; in a shifted one (in
    # sigma): from memory; the first with one of the others, steady and shifted: Table 1 as the
    # documentation of R's package spc repeats it.
    [
        ((0, 1, 2, 3), 0.0, 91.75), ((0, 1, 2, 3), 1.0, 9.22),
        ((0, 1), 0.0, 225.44), ((0, 1), 1.0, 20.01), ((0, 1), 2.0, 3.65),
        ((0, 2), 0.0, 166.05), ((0, 2), 1.0, 12.66), ((0, 2), 2.0, 3.68),
        ((0, 3), 0.0, 152.73), ((0, 3), 1.0, 14.58), ((0, 3), 2.0, 4.89),
    ],
)  # fmt: skip
def test_rules_together(rules: tuple[int, ...], shift: float, published: float) -> None:
    rng, runs, lengths = random.Random(20), 1500, []
    used = [FOUR[k] for k in rules]
    for _ in range(runs):
        window: list[float] = []
        length = 0
        while True:
            length += 1
            window = [*window[-7:], rng.gauss(shift, 1)]
            if any(rule.test(window[-rule.points :]) for rule in used):
                break
        lengths.append(length)
    mean = sum(lengths) / runs
    error = math.sqrt(sum((v - mean) ** 2 for v in lengths) / runs) / math.sqrt(runs)
    assert abs(mean - published) < 3.5 * error
    assert error < 0.03 * published


def test_a_point_beyond_three_sigma_comes_every_370_points() -> None:
    # NIST/SEMATECH e-Handbook 6.3.2: 0.0027 a point, one in 371 as printed (370.4 exactly).
    rate = 2 * tail(3)
    assert round(rate, 4) == NELSON[0].false_alarm == 0.0027
    assert round(1 / rate, 1) == 370.4


#: Points until an alarm, on average, by weight and width of the limits, for shifts of the mean in
#: sigma, as the documentation of R's package spc repeats the original tables. The first two: Lucas
#: and Saccucci 1990, Technometrics 32, Table 3; the others: Crowder 1987, Technometrics 29, Table
#: 1, but for one value (0.5 at 1.25) that the documentation marks as a misprint.
EWMA_RUNS = [
    (0.50, 3.071, {0: 500, 0.25: 255, 0.5: 88.8, 0.75: 35.9, 1: 17.5, 1.5: 6.53, 2: 3.63, 2.5: 2.50,
                   3: 1.93, 3.5: 1.58, 4: 1.34, 5: 1.07}),
    (0.03, 2.437, {0: 500, 0.25: 76.7, 0.5: 29.3, 0.75: 17.6, 1: 12.6, 1.5: 8.07, 2: 5.99,
                   2.5: 4.80, 3: 4.03, 3.5: 3.49, 4: 3.11, 5: 2.55}),
    (0.50, 2.0, {0: 26.45, 0.25: 20.12, 0.5: 11.89, 0.75: 7.29, 1: 4.91, 1.5: 2.80, 2: 1.94,
                 2.5: 1.51, 3: 1.26, 4: 1.05}),
    (0.05, 2.0, {0: 127.53, 0.25: 43.94, 0.5: 18.97, 0.75: 11.64, 1: 8.38, 1.25: 6.56, 1.5: 5.41,
                 2: 4.04, 2.5: 3.26, 3: 2.76, 4: 2.15}),
]  # fmt: skip


def run_length(weight: float, half: float, shift: float, states: int = 401) -> float:
    """Points until an EWMA that starts in the middle leaves -+ half: Brook and Evans 1972.

    The way between the limits is cut into states; the chance from one to the next is normal.
    """
    import numpy as np
    from scipy.special import ndtr

    step = 2 * half / states
    middles = -half + step * (np.arange(states) + 0.5)
    edges = -half + step * np.arange(states + 1)
    reach = ndtr((edges[None, :] - (1 - weight) * middles[:, None]) / weight - shift)
    chances = np.diff(reach, axis=1)
    lengths = np.linalg.solve(np.eye(states) - chances, np.ones(states))
    return float(lengths[states // 2])


@pytest.mark.parametrize(("weight", "width", "published"), EWMA_RUNS)
def test_ewma_limits_give_the_published_run_lengths(
    weight: float, width: float, published: dict[float, float]
) -> None:
    chart = ewma([0.0], 0, 1, weight=weight, width=width)
    assert chart.settled_lower == -chart.settled_upper
    for shift, runs in published.items():
        found = run_length(weight, chart.settled_upper, shift)
        assert found == pytest.approx(runs, rel=2e-3, abs=6e-3), (shift, found, runs)
