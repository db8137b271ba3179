"""The false alarm of a whole batch, computed without simulation.

With steady normal readings the correlation r of size and order after each piece is a Markov
chain: the next r depends on the present one and on how far the new reading lies from the mean of
the earlier ones, measured in their scatter, and that ratio is a Student t independent of all
before (Basu's theorem). A pool only adds degrees of freedom to the scatter. So the chance that
no look speaks up is found by carrying the distribution of r over a fine grid from look to look.
"""

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import stats

from qlog.study.drift.trend_test import ALLOWANCE, FIRST_LOOK, look_levels

PROMISED = 0.01
CELLS = 80  # 480 change the chance by less than 0.01 percentage points


def below(
    r: NDArray[np.float64], before: NDArray[np.float64], keep: float, gain: float, df: int
) -> NDArray[np.float64]:
    """P(next r <= r) for each present r; the new reading enters as an angle, tan = its t."""
    a = keep * before[:, None]
    size, shift = np.hypot(a, gain), np.arctan2(a, gain)

    def angle_below(angle: NDArray[np.float64]) -> NDArray[np.float64]:
        inside = np.clip(angle, -np.pi / 2, np.pi / 2)
        return np.asarray(stats.t.cdf(np.tan(inside) * np.sqrt(df), df))

    # r is size * sin(angle + shift), over half a turn of which parts of two rises can be seen.
    rise = np.arcsin(np.clip(r[None, :] / size, -1, 1))
    above = angle_below(np.pi - rise - shift) - angle_below(rise - shift)
    return 1 - above - angle_below(-np.pi - rise - shift)


def false_alarm(order: list[int], planned: int, pool_df: int) -> float:
    """Chance that any look of a steady setup says trend."""
    alarm = 0.0
    weights = before = None
    for k, level in enumerate(look_levels(order, planned), start=FIRST_LOOK):
        df = k - 2 + pool_df
        t = stats.t.isf(level / 2, df)
        edge = np.arcsin(t / np.sqrt(df + t * t))  # r = sin(angle), t = sqrt(df) tan(angle)
        angles = np.linspace(-edge, edge, CELLS + 1)
        edges = np.sin(angles)
        if weights is None or before is None:
            share = stats.t.cdf(np.tan(np.arcsin(edges)) * np.sqrt(df), df)
            alarm += level
            weights = np.diff(share)
        else:
            x = np.array(order[:k], float)
            sxx, sxx_before = (((p - p.mean()) ** 2).sum() for p in (x, x[:-1]))
            keep = np.sqrt(sxx_before / sxx)
            step = below(edges, before, keep, np.sqrt(1 - keep**2), df)
            alarm += float(weights @ (1 - (step[:, -1] - step[:, 0])))
            weights = weights @ np.diff(step, axis=1)
        before = np.sin((angles[1:] + angles[:-1]) / 2)
    return alarm


@pytest.mark.parametrize("pool_df", [0, 30], ids=["own s", "pooled s"])
@pytest.mark.parametrize("n", range(5, 31))
def test_whole_batch_stays_below_one_percent(n: int, pool_df: int) -> None:
    alarm = false_alarm(list(range(1, n + 1)), n, pool_df)
    # Nothing to spare would be suspicious as well: the looks share most of their readings, so
    # the sum of their levels is an upper bound that is reached only where there is one look.
    assert 0.4 * ALLOWANCE < alarm <= ALLOWANCE * (1 + 1e-6) < PROMISED
    if n == FIRST_LOOK:
        assert alarm == pytest.approx(ALLOWANCE)


@pytest.mark.parametrize("missing", [{2}, {4, 7}, {6, 7, 8, 9}, {1, 2, 12}])
def test_missing_pieces_do_not_raise_it(missing: set[int]) -> None:
    order = [piece for piece in range(1, 13) if piece not in missing]
    assert 0.3 * ALLOWANCE < false_alarm(order, 12, 0) <= ALLOWANCE * (1 + 1e-6)


def test_the_chain_agrees_with_plain_counting() -> None:
    # 40,000 made-up batches of 8: the chain's chance must lie within three standard errors.
    rng = np.random.default_rng(5)
    values = rng.standard_normal((40_000, 8))
    spoke = np.zeros(len(values), bool)
    for k, level in enumerate(look_levels(range(1, 9), 8), start=FIRST_LOOK):
        x = np.arange(k) - (k - 1) / 2
        y = values[:, :k] - values[:, :k].mean(axis=1, keepdims=True)
        r = y @ x / np.sqrt((x @ x) * (y * y).sum(axis=1))
        t = r * np.sqrt((k - 2) / (1 - r * r))
        spoke |= np.abs(t) > stats.t.isf(level / 2, k - 2)
    share = spoke.mean()
    error = np.sqrt(share * (1 - share) / len(values))
    assert abs(share - false_alarm(list(range(1, 9)), 8, 0)) < 3 * error
