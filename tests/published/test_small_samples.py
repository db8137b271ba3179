"""Small batches: factors, tests and intervals against tables, worked examples and libraries."""

from __future__ import annotations

import math
from decimal import Decimal

import pytest
from scipy import stats

from qlog.drawing.limits import Limits
from qlog.drawing.units import Unit
from qlog.study.batch.capability import Capability, capability, cpk_at_least
from qlog.study.batch.comparison import before_and_after, setups
from qlog.study.batch.counts import at_most, binomial_interval
from qlog.study.batch.intervals import s_factors, size_interval
from qlog.study.batch.outlier import OutlierSide, grubbs
from qlog.study.batch.summary import summarise


def test_grubbs_worked_example() -> None:
    # NIST/SEMATECH e-Handbook 1.3.5.17.1: G = 2.4687 (cut, not rounded), critical 2.032.
    data = ["199.31", "199.53", "200.19", "200.82", "201.92", "201.95", "202.18", "245.57"]
    found = grubbs(map(Decimal, data), side=OutlierSide.HIGH)
    assert found is not None and found.found
    assert (found.index, found.value) == (7, Decimal("245.57"))
    assert math.floor(found.g * 1e4) / 1e4 == 2.4687
    assert round(found.critical, 3) == 2.032


def scaled(n: int, mean: float, s: float) -> list[float]:
    """n readings with that mean and standard deviation."""
    shape = [i - (n - 1) / 2 for i in range(n)]
    root = math.sqrt(sum(v * v for v in shape) / (n - 1))
    return [mean + s * v / root for v in shape]


def test_capability_of_the_handbook() -> None:
    # NIST/SEMATECH e-Handbook 6.1.6: limits 8 and 20, mean 16, s 2 (the example from memory; the
    # indices follow from their definitions: 12 / 12, 4 / 6, 8 / 6).
    limits = Limits(Decimal(8), Decimal(20), Unit.MM)
    found = capability(scaled(50, 16, 2), limits)
    assert isinstance(found, Capability)
    assert found.cp is not None and found.cpu is not None and found.cpl is not None
    assert round(found.cp, 4) == 1
    assert round(found.cpu, 4) == round(found.cpk, 4) == 0.6667
    assert round(found.cpl, 4) == 1.3333


def test_interval_of_cp() -> None:
    # An exercise of Montgomery, Introduction to Statistical Quality Control: n = 20, limits 38 and
    # 62, s = 1.75. Cp 2.29 and the upper end 3.01 (from the rounded 2.29) were read in a worked
    # solution, which takes a wrong quantile for the lower end; that one is by scipy.
    limits = Limits(Decimal(38), Decimal(62), Unit.MM)
    found = capability(scaled(20, 50, 1.75), limits)
    assert isinstance(found, Capability)
    assert found.cp is not None and found.cp_interval is not None
    assert round(found.cp, 2) == 2.29
    rounded = 2.29 / found.cp
    assert round(found.cp_interval.high * rounded, 2) == 3.01
    ends = [found.cp * math.sqrt(stats.chi2.ppf(q, 19) / 19) for q in (0.025, 0.975)]
    assert [found.cp_interval.low, found.cp_interval.high] == pytest.approx(ends, rel=1e-9)


def test_bound_of_cpk_against_the_noncentral_t() -> None:
    # Exact for one limit: 3 sqrt(n) Cpk is a non-central t. 1.33 from 8 pieces proves 0.71.
    assert round(cpk_at_least(1.33, 8), 2) == 0.71
    for n in (8, 10, 20):
        for cpk in (0.67, 1.0, 1.33, 1.67):
            bound = cpk_at_least(cpk, n)
            t = 3 * math.sqrt(n) * cpk
            attained = stats.nct.cdf(t, n - 1, 3 * math.sqrt(n) * bound)
            assert 0.940 < attained < 0.952


@pytest.mark.parametrize("n", [1, 4, 8, 20])
def test_binomial_interval_against_scipy(n: int) -> None:
    for found in range(n + 1):
        expected = stats.binomtest(found, n).proportion_ci(0.95, "exact")
        interval = binomial_interval(found, n)
        assert math.isclose(interval.low, expected.low, rel_tol=1e-9, abs_tol=1e-12)
        assert math.isclose(interval.high, expected.high, rel_tol=1e-9)
        one_sided = stats.binomtest(found, n, alternative="less").proportion_ci(0.95, "exact")
        assert math.isclose(at_most(found, n), one_sided.high, rel_tol=1e-9)


def test_binomial_interval_against_statsmodels() -> None:
    from statsmodels.stats.proportion import proportion_confint

    for found, n in ((0, 8), (1, 10), (7, 12), (20, 20)):
        low, high = proportion_confint(found, n, method="beta")
        interval = binomial_interval(found, n)
        assert math.isclose(interval.low, low, rel_tol=1e-9, abs_tol=1e-12)
        assert math.isclose(interval.high, high, rel_tol=1e-9)


def test_rule_of_three() -> None:
    # None of n: about 3 / n at 95 % (Hanley and Lippman-Hand 1983, JAMA 249, 1743).
    assert abs(at_most(0, 100) - 0.03) < 0.0005
    assert round(at_most(0, 8), 3) == 0.312


FIRST = [8.003, 8.005, 8.004, 8.006, 8.002]
SECOND = [8.009, 8.012, 8.008, 8.013, 8.010, 8.011, 8.007]


def test_setups_against_scipy() -> None:
    found = setups(FIRST, SECOND)
    assert found is not None
    expected = stats.ttest_ind(SECOND, FIRST, equal_var=False)
    interval = expected.confidence_interval(0.95)
    assert math.isclose(found.t, expected.statistic, rel_tol=1e-9)
    assert math.isclose(found.dof, expected.df, rel_tol=1e-9)
    assert math.isclose(found.p, expected.pvalue, rel_tol=1e-8)
    assert math.isclose(found.interval.low, interval.low, rel_tol=1e-9)
    assert math.isclose(found.interval.high, interval.high, rel_tol=1e-9)


def test_before_and_after_against_scipy() -> None:
    after = [8.0015, 8.004, 8.002, 8.0045, 8.000]
    found = before_and_after(list(zip(FIRST, after, strict=True)))
    assert found is not None
    expected = stats.ttest_rel(after, FIRST)
    interval = expected.confidence_interval(0.95)
    assert math.isclose(found.t, expected.statistic, rel_tol=1e-9)
    assert math.isclose(found.p, expected.pvalue, rel_tol=1e-8)
    assert math.isclose(found.interval.low, interval.low, rel_tol=1e-9)
    assert math.isclose(found.interval.high, interval.high, rel_tol=1e-9)


def test_interval_of_the_mean_against_statsmodels() -> None:
    from statsmodels.stats.weightstats import DescrStatsW

    low, high = DescrStatsW(SECOND).tconfint_mean()
    found = summarise(SECOND)
    assert found.s is not None
    interval = size_interval(float(found.mean), float(found.s), found.n)
    assert math.isclose(interval.low, low, rel_tol=1e-10)
    assert math.isclose(interval.high, high, rel_tol=1e-10)


def test_interval_of_s_with_zarr13() -> None:
    # The gear data of NIST/SEMATECH e-Handbook 1.3.5.8 (n = 100, s = 0.006278908) and the wafers of
    # 7.2.3 (n = 10, s = 13.97): intervals of 95 % as printed in the documentation of the
    # mathematics library of Boost, read there.
    for n, s, printed in ((100, 0.006278908, (0.00551, 0.00729)), (10, 13.97, (9.60906, 25.50377))):
        low, high = s_factors(n)
        assert (round(s * low, 5), round(s * high, 5)) == printed
