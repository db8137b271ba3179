"""Conformity statements: the worked examples of JCGM 106:2012 and the factor of ISO 14253-1."""

from __future__ import annotations

import math
from decimal import Decimal

import pytest
from scipy.integrate import quad
from scipy.stats import gamma, norm

from qlog.drawing.decision import DecisionRule, Rule
from qlog.drawing.limits import Limits
from qlog.drawing.units import Unit
from qlog.study.conformity.verdict import Verdict, conformance_probability, guard_factor, judge

D = Decimal


def test_guard_band_at_95_percent() -> None:
    # ISO 14253-1:2017: 1.65 u for one limit.
    assert guard_factor(D("0.95")) == D("1.65")


def test_zener_diode() -> None:
    # JCGM 106:2012, 7.4: -5.47 V, u = 0.05 V, at most -5.40 V (figures from memory).
    p = conformance_probability(D("-5.47"), D("0.05"), Limits(None, D("-5.40"), Unit.NONE))
    assert round(p, 2) == 0.92


def test_speed_trap() -> None:
    # JCGM 106:2012, 8.3.3: u = 2 % of the speed, limit 100 km/h, over it with 99.9 %
    # from 107 km/h on (figures from memory).
    limit = Limits(None, D(100), Unit.NONE)

    def verdict(speed: int) -> Verdict:
        return judge(
            D(speed),
            limit,
            decision=DecisionRule(Rule.GUARDED, D("0.999")),
            uncertainty=D(speed) * D("0.02"),
        ).verdict

    assert verdict(107) is Verdict.HIGH
    assert verdict(106) is Verdict.NOT_PROVEN


def test_guard_band_of_two_standard_uncertainties() -> None:
    # JCGM 106:2012, 8.3.2: the smallest conformance probability is then 0.977 (from memory).
    p = conformance_probability(D(8), D(1), Limits(None, D(10), Unit.MM))
    assert round(p, 3) == 0.977


@pytest.mark.parametrize(
    ("accepted_to", "risk", "tolerance"), [(2.0, 0.008, 0.0005), (1.67, 0.001, 0.00005)]
)
def test_runout_of_bearings(accepted_to: float, risk: float, tolerance: float) -> None:
    # JCGM 106:2012, 9.5.4: runout spread as gamma(4, 1/4), limit 2, u = 0.25: 4.2 % are out, and
    # 0.8 % are out and accepted; 0.1 % with the acceptance limit at 1.67.
    runout = gamma(4, scale=1 / 4)
    assert round(float(runout.sf(2)), 3) == 0.042
    limit = Limits(None, D(str(accepted_to)), Unit.NONE)

    def accepted(true: float) -> float:
        # Chance of reading within the acceptance limit: the same integral seen from the piece.
        return conformance_probability(D(repr(true)), D("0.25"), limit)

    consumer, _ = quad(lambda x: runout.pdf(x) * accepted(x), 2, 6)
    assert abs(consumer - risk) < tolerance


@pytest.mark.parametrize("value", ["7.99", "8.0001", "8.0075", "8.015", "8.03"])
def test_against_the_normal_distribution_of_scipy(value: str) -> None:
    limits = Limits(D("8"), D("8.015"), Unit.MM)
    expected = norm.cdf(8.015, float(value), 0.004) - norm.cdf(8, float(value), 0.004)
    found = conformance_probability(D(value), D("0.004"), limits)
    assert math.isclose(found, float(expected), rel_tol=1e-9, abs_tol=1e-12)
