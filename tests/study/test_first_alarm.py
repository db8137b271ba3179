"""What is left of a rate that was told because it stood out, held against scipy."""

import math

import numpy as np
import pytest
from scipy import integrate, stats

from qlog.study.drift.first_alarm import AS_ONE_LOOK, believed


@pytest.mark.parametrize("n", [8, 12, 20])
@pytest.mark.parametrize("t", [3.0, 4.5, 6.0, 9.0])
def test_the_mean_of_the_conditional_likelihood(n: int, t: float) -> None:
    """Against a fine grid and the exact noncentral t, for a finished batch of `n`."""
    df = n - 2
    critical = stats.t.isf(AS_ONE_LOOK / 2, df)

    x = np.linspace(-8, 8, 1601)
    # A normal deviate over the root of a chi-square's: averaged over the quantiles of that.
    edges = critical * np.sqrt(stats.chi2.ppf((np.arange(500) + 0.5) / 500, df) / df)[:, None]
    found = (stats.norm.sf(edges - t - x) + stats.norm.cdf(-edges - t - x)).mean(axis=0)
    weights = stats.t.pdf(x, df) / found
    mean = (weights * (t + x)).sum() / weights.sum()
    # The normal approximation takes a steady batch to have an alarm in 0.7 to 1 % (8 pieces), not
    # in 0.5 %: as the rule has, all looks and shapes together. The larger the batch the nearer.
    near = {8: 0.09, 12: 0.04, 20: 0.015}[n]
    assert believed(t, 1.0, df, 1.0, df) == pytest.approx(mean / t, abs=near)


def test_with_known_scatter_it_is_the_truncated_normal() -> None:
    """So many degrees of freedom leave a normal deviate, told where it lies past a threshold."""
    z, threshold = 3.2, stats.norm.isf(AS_ONE_LOOK / 2)

    def weight(true: float) -> float:
        told = stats.norm.sf(threshold - true) + stats.norm.cdf(-threshold - true)
        return float(stats.norm.pdf(z - true) / told)

    whole = integrate.quad(weight, z - 8, z + 8, points=[0])[0]
    mean = integrate.quad(lambda m: m * weight(m), z - 8, z + 8, points=[0])[0] / whole
    assert believed(z, 1.0, 10**7, 1.0, 10**7) == pytest.approx(mean / z, abs=1e-3)
    assert mean < 0.8 * z  # an alarm a hair above its threshold owes much to chance


@pytest.mark.parametrize(
    ("n", "found"), [(8, 0.206), (10, 0.313), (12, 0.435), (20, 0.789)]
)  # of creeps of 3 s, all looks and shapes, as tests/benchmarks/RESULTS.md has them
def test_a_batch_finds_a_creep_as_one_look_does(n: int, found: float) -> None:
    moved = 3 * math.sqrt(n * (n + 1) / (12 * (n - 1)))  # in standard errors of the slope
    critical = stats.t.isf(AS_ONE_LOOK / 2, n - 2)
    assert stats.nct.sf(critical, n - 2, moved) == pytest.approx(found, abs=0.015)


def test_what_cannot_be_chance_is_believed_and_a_sign_makes_no_difference() -> None:
    assert believed(40.0, 1.0, 18, 1.0, 18) == pytest.approx(1, abs=0.01)
    assert believed(-4.0, 1.0, 6, 0.5, 10) == believed(4.0, 1.0, 6, 0.5, 10)
    assert believed(4.0, 0.0, 6, 0.5, 10) == 1
    parts = [believed(t, 1.0, 6, 1.0, 6) for t in (2.0, 3.0, 4.0, 5.0, 7.0, 10.0)]
    assert parts == sorted(parts) and 0 < parts[0] < parts[-1] < 1
