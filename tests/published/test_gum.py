"""Uncertainty: the worked examples H.1 and H.5 of the GUM (JCGM 100:2008) and its t table."""

from __future__ import annotations

import math
from decimal import Decimal

import pytest
import uncertainties

from qlog.study.conformity.uncertainty import Component, Distribution, budget, component, two_digits
from qlog.study.gauge.repeatability import one_way

D = Decimal

# H.1, end gauge of 50 mm: lengths in nm, temperatures in K, expansion per K.
LENGTH = D("50000623")
ALPHA = D("11.5e-6")


def h1() -> list[Component]:
    standard = component("standard", D(25), Distribution.NORMAL, dof=18)
    difference = budget(
        [
            component("repeated observations", D("5.8"), Distribution.MEASURED, dof=24),
            component("comparator, random", D("3.9"), Distribution.NORMAL, dof=5),
            component("comparator, systematic", D("6.7"), Distribution.NORMAL, dof=8),
        ]
    )
    return [
        standard,
        component("difference", difference.combined, Distribution.NORMAL, dof=difference.dof),
        component(
            "difference of expansion",
            D("1e-6"),
            Distribution.RECTANGULAR,
            sensitivity=LENGTH * D("0.1"),
            dof=50,
        ),
        component(
            "difference of temperature",
            D("0.05"),
            Distribution.RECTANGULAR,
            sensitivity=LENGTH * ALPHA,
            dof=2,
        ),
    ]


def test_h1_end_gauge() -> None:
    parts = h1()
    assert [round(float(c.contribution), 1) for c in parts] == [25.0, 9.7, 2.9, 16.6]
    # 25.6 effective degrees of freedom for the difference (H.1.6), from its rounded 9.7 nm.
    assert round(parts[1].dof * (9.7 / float(parts[1].u)) ** 4, 1) == 25.6
    found = budget(parts, coverage=0.99)
    assert round(float(found.combined)) == 32
    assert two_digits(found.combined) == 32
    assert math.floor(found.dof * 10) / 10 == 16.7  # 16.75, printed 16.7
    assert round(found.k, 2) == 2.92
    # The GUM expands its rounded 32 nm: 93 nm.
    assert round(found.k * 32) == 93
    assert abs(float(found.expanded) - 92.5) < 0.1
    assert math.isclose(sum(found.share(c) for c in found.components), 1, rel_tol=1e-12)


# H.5, a Zener voltage standard: mean of 5 readings on each of 10 days, V, and their standard
# deviation, microvolt (Table H.9, read as others typed it for the tests of an open-source
# uncertainty calculator; the sums below are the published ones).
DAYS = [
    ("10.000172", 60),
    ("10.000116", 77),
    ("10.000013", 111),
    ("10.000144", 101),
    ("10.000106", 67),
    ("10.000031", 93),
    ("10.000060", 80),
    ("10.000125", 73),
    ("10.000163", 88),
    ("10.000041", 86),
]


def test_h5_days_against_readings_of_a_day() -> None:
    # Any five readings with the mean and the standard deviation of their day will do.
    shape = [D(-1), D(-1), D(0), D(1), D(1)]
    groups = [[D(mean) + D(s).scaleb(-6) * x for x in shape] for mean, s in DAYS]
    found = one_way(groups)
    assert round(found.mean, 6) == 10.000097
    # s of the daily means 57 uV, pooled s within a day 85 uV.
    assert round(math.sqrt(found.between.mean_square / 5) * 1e6) == 57
    assert round(found.s_within * 1e6) == 85
    assert found.between.f is not None
    # The GUM's 2.25 comes from the rounded 57 and 85.
    assert abs(found.between.f - 5 * 57**2 / 85**2) < 0.015
    assert (found.between.dof, found.within.dof) == (9, 40)
    assert math.isclose(
        found.s_between,
        math.sqrt((found.between.mean_square - found.within.mean_square) / 5),
        rel_tol=1e-12,
    )


@pytest.mark.parametrize(
    ("dof", "k"),
    [(1, 12.71), (2, 4.30), (5, 2.57), (10, 2.23), (20, 2.09), (50, 2.01), (math.inf, 1.96)],
)
def test_coverage_factor_of_table_g2(dof: float, k: float) -> None:
    # GUM Table G.2, 95 %; read in NIST Technical Note 1297, Table B.1, which is the same table.
    found = budget([component("s", D(1), Distribution.MEASURED, dof=dof)])
    assert round(found.k, 2) == k


@pytest.mark.parametrize(
    ("distribution", "factor"),
    [  # GUM 4.3.7 and 4.3.9: 0.577 and 0.408 of the half-width; H.1.3.4: 0.707
        (Distribution.RECTANGULAR, 0.577),
        (Distribution.TRIANGULAR, 0.408),
        (Distribution.ARCSINE, 0.707),
        (Distribution.NORMAL, 1),
        (Distribution.MEASURED, 1),
    ],
)
def test_divisors(distribution: Distribution, factor: float) -> None:
    assert round(float(component("bounds", D(1), distribution).u), 3) == factor


def test_display_step() -> None:
    # GUM F.2.2.1: u = 0.29 of the step.
    found = component("step", D("0.01") / 2, Distribution.RECTANGULAR)
    assert round(float(found.u / D("0.01")), 2) == 0.29


def test_thermal_expansion_coefficient_of_nist() -> None:
    # NIST Technical Note 1900, example E13: a bar of 1.4999 m at 288.15 K and 1.5021 m at
    # 373.10 K; alpha = (L1 - L0) / (L0 (T1 - T0)) = 1.73e-5 per kelvin, u = 1.8e-6, U = 3.4e-6 at
    # 95 %. The inputs were read in public input files of this example, the published results are
    # from memory; the propagation is held against the library `uncertainties` as well.
    l0, l1, t0, t1 = (Decimal(v) for v in ("1.4999", "1.5021", "288.15", "373.10"))
    apart = t1 - t0
    alpha = (l1 - l0) / (l0 * apart)
    assert round(alpha * 10**5, 2) == Decimal("1.73")
    found = budget(
        [
            component(
                "L0", Decimal("0.0001"), Distribution.NORMAL, sensitivity=l1 / (l0**2 * apart)
            ),
            component("L1", Decimal("0.0002"), Distribution.NORMAL, sensitivity=1 / (l0 * apart)),
            component("T0", Decimal("0.02"), Distribution.NORMAL, sensitivity=alpha / apart),
            component("T1", Decimal("0.05"), Distribution.NORMAL, sensitivity=alpha / apart),
        ]
    )
    assert round(found.combined * 10**6, 1) == Decimal("1.8")
    assert round(found.expanded * 10**6, 1) == Decimal("3.4")
    sizes = [uncertainties.ufloat(v, u) for v, u in
             ((1.4999, 0.0001), (1.5021, 0.0002), (288.15, 0.02), (373.10, 0.05))]  # fmt: skip
    spread = (sizes[1] - sizes[0]) / (sizes[0] * (sizes[3] - sizes[2]))
    assert float(found.combined) == pytest.approx(spread.std_dev, rel=1e-9)
