"""Kendall's trend test against published tables and worked examples."""

from itertools import accumulate, permutations

import numpy as np
import pytest
from scipy import stats

from qlog.study.drift.kendall import EXACT_UP_TO, kendall, score_counts

LEVELS = (0.10, 0.05, 0.025, 0.01, 0.005, 0.001)


@pytest.mark.parametrize(
    ("n", "printed"),
    # Critical values of Kendall's tau, one-sided: the least tau whose tail is within the level.
    # Read in an open table of upper critical values; three digits.
    [
        (4, (1.0, 1.0)),
        (7, (0.524, 0.619, 0.714, 0.810, 0.905, 1.0)),
        (8, (0.429, 0.571, 0.643, 0.714, 0.786, 0.857)),
        (10, (0.378, 0.467, 0.511, 0.600, 0.644, 0.778)),
        (12, (0.303, 0.394, 0.455, 0.545, 0.576, 0.667)),
        (20, (0.221, 0.274, 0.326, 0.379, 0.421, 0.495)),
        (30, (0.172, 0.218, 0.255, 0.301, 0.333, 0.393)),
        (50, (0.127, 0.162, 0.192, 0.228, 0.251, 0.300)),
    ],
)
def test_exact_tails_agree_with_a_printed_table(n: int, printed: tuple[float, ...]) -> None:
    counts = score_counts(n)
    tails = dict(zip(sorted(counts, reverse=True), accumulate(
        counts[score] for score in sorted(counts, reverse=True)), strict=True))  # fmt: skip
    everything = sum(counts.values())
    for level, tau in zip(LEVELS, printed, strict=False):
        least = min(score for score, tail in tails.items() if tail <= level * everything)
        assert round(least / (n * (n - 1) / 2), 3) == tau


def test_worked_example_by_hand() -> None:
    # Mann-Kendall by hand, 14 values: S = 54 from 72 rising, 18 falling and 1 tied pair,
    # variance 332.667, Z = 2.9058, one-sided p = 0.0018.
    # Source: lecture notes of a college course in statistics, read in the open.
    values = [12.9, 14.8, 13.2, 15.7, 13.8, 15.6, 12.9, 11.0, 17.3, 15.9, 19.0, 18.3, 20.1, 21.7]
    found = kendall(range(1, 15), values)
    assert (found.n, found.rising, found.falling, found.score) == (14, 72, 18, 54)
    assert found.variance == pytest.approx(332.6667, abs=5e-5)
    assert found.z == pytest.approx(2.9058, abs=5e-5)
    assert stats.norm.sf(found.z) == pytest.approx(0.0018, abs=5e-5)
    # The exact tail with the tie lies between the untied ones on either side of S = 54, and below
    # the normal one, which is too wide so far out.
    counts = score_counts(14)
    above, below = (
        sum(count for s, count in counts.items() if s >= least) / sum(counts.values())
        for least in (55, 53)
    )
    assert above < found.p_upper < below < 0.0018


def test_without_ties_scipy_says_the_same() -> None:
    values = [8.003, 8.001, 8.006, 8.004, 8.009, 8.007, 8.012, 8.010, 8.002]
    found = kendall(range(1, 10), values)
    reference = stats.kendalltau(range(9), values, method="exact")
    assert found.p == pytest.approx(reference.pvalue, rel=1e-12)
    upper = stats.kendalltau(range(9), values, method="exact", alternative="greater")
    assert found.p_upper == pytest.approx(upper.pvalue, rel=1e-12)
    lower = stats.kendalltau(range(9), values, method="exact", alternative="less")
    assert found.p_lower == pytest.approx(lower.pvalue, rel=1e-12)


def test_the_pairwise_slope_is_that_of_scipy() -> None:
    order = [1, 2, 4, 5, 7, 8]
    values = [8.003, 8.001, 8.006, 8.004, 8.009, 8.012]
    assert kendall(order, values).slope == pytest.approx(
        stats.theilslopes(values, order).slope, rel=1e-9
    )


@pytest.mark.parametrize(
    "values", [[1, 1, 2, 3, 3, 3], [2, 1, 2, 1, 2], [1, 1, 1, 2], [5, 5, 5], [1, 2, 3, 3, 2, 1, 4]]
)
def test_with_ties_counting_every_order_says_the_same(values: list[int]) -> None:
    found = kendall(range(1, len(values) + 1), values)
    scores = []
    for arranged in permutations(values):
        pairs = [(a, b) for j, b in enumerate(arranged) for a in arranged[:j]]
        scores.append(sum((b > a) - (b < a) for a, b in pairs))
    assert found.p_upper == pytest.approx(
        sum(s >= found.score for s in scores) / len(scores), rel=1e-12
    )
    assert found.p == pytest.approx(
        sum(abs(s) >= abs(found.score) for s in scores) / len(scores), rel=1e-12
    )
    # The variance with ties is that of all orders.
    assert found.variance == pytest.approx(sum(s * s for s in scores) / len(scores), rel=1e-12)


@pytest.mark.parametrize("n", [EXACT_UP_TO, EXACT_UP_TO + 1, 90])
def test_long_batches_agree_with_the_exact_count_of_scipy(n: int) -> None:
    # Beyond the stated length the normal approximation stands in for the count.
    rng = np.random.default_rng(n)
    for drift in (0.0, 0.01211, 0.02017):
        values = rng.permutation(n) * 1.0 + drift * n * np.arange(n)
        found = kendall(range(1, n + 1), values.tolist())
        exact = stats.kendalltau(np.arange(n), values, method="exact").pvalue
        assert found.p == pytest.approx(exact, rel=1e-9 if n <= EXACT_UP_TO else 0.05, abs=5e-4)
