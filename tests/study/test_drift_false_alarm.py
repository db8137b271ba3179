"""The false alarm of a whole batch: of the creep alone computed, of all shapes together counted.

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

from qlog.study.drift.looks import allowance, due, look_levels
from qlog.study.drift.shapes import (
    SETTLES_OVER,
    WEIGHT_CREEP,
    WEIGHT_JUMP,
    WEIGHT_SETTLING,
    WEIGHTS_LATE,
    jump_places,
)
from qlog.study.drift.trend_test import assess

#: Chance of a false alarm in a whole batch, at most.
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
    """Chance that any look of a steady setup says creep, were that the only shape (weight 1)."""
    alarm = 0.0
    weights = before = None
    for k, level in look_levels(order, planned):
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


def spent(order: list[int], planned: int) -> float:
    """What the looks were given: the share that came due at each, times its allowance."""
    total, before = 0.0, due(order[0] - 1, planned)
    for k, _ in look_levels(order, planned):
        now = due(order[k - 1], planned)
        total += allowance(k) * (now - before)
        before = now
    return total


@pytest.mark.parametrize("pool_df", [0, 30], ids=["own s", "pooled s"])
@pytest.mark.parametrize("n", [5, 6, 7, 8, 10, 12, 16, 20, 25, 30])
def test_what_looks_have_in_common_is_counted_once(n: int, pool_df: int) -> None:
    order = list(range(1, n + 1))
    alarm, given = false_alarm(order, n, pool_df), spent(order, n)
    # The normal approximation is this good, and that is in the allowances.
    assert 0.8 * given < alarm <= given * 1.06
    # The plain sum of the levels would be far too careful.
    if n >= 16:
        assert sum(level for _, level in look_levels(order, n)) > 1.2 * alarm


@pytest.mark.parametrize("missing", [{2}, {4, 7}, {6, 7, 8, 9}, {1, 2, 12}])
def test_missing_pieces_do_not_raise_it(missing: set[int]) -> None:
    order = [piece for piece in range(1, 13) if piece not in missing]
    alarm, given = false_alarm(order, 12, 0), spent(order, 12)
    assert 0.7 * given < alarm <= given * 1.06


def regressors(order: NDArray[np.float64], first: int) -> list[tuple[float, NDArray[np.float64]]]:
    """The weights and shapes of the tests at one look, written down anew."""
    k = len(order)
    places = jump_places(k)
    found = [(WEIGHT_CREEP, order)]
    found += [(w, np.maximum(order - order[int(part * k) - 1], 0)) for part, w in WEIGHTS_LATE]
    found.append((WEIGHT_SETTLING, np.exp(-(order - first) / SETTLES_OVER[1])))
    found += [(WEIGHT_JUMP / len(places), (np.arange(k) >= j) * 1.0) for j in places]
    return found


def spoken(values: NDArray[np.float64], order: list[int], planned: int, first: int) -> NDArray:
    """For each row of readings, whether any look of the setup speaks up (own scatter)."""
    ever = np.zeros(len(values), bool)
    for k, level in look_levels(order, planned, first):
        y = values[:, :k] - values[:, :k].mean(axis=1, keepdims=True)
        total = (y * y).sum(axis=1)
        for weight, shape in regressors(np.array(order[:k], float), first):
            v = shape - shape.mean()
            if v @ v < 1e-9:
                continue
            explained = (y @ v) ** 2 / (v @ v)
            critical = stats.t.isf(level * weight / 2, k - 2)
            ever |= explained > critical**2 * (total - explained) / (k - 2)
    return ever


CASES = {
    "8 pieces": (8, [(1, 8)], ()),
    "12 pieces": (12, [(1, 12)], ()),
    "12 pieces, 4 and 7 not read": (12, [(1, 12)], (4, 7)),
    "12 pieces, two setups": (12, [(1, 6), (7, 12)], ()),
    "20 pieces": (20, [(1, 20)], ()),
    "20 pieces, three setups": (20, [(1, 7), (8, 14), (15, 20)], ()),
}


@pytest.mark.parametrize("case", CASES.values(), ids=CASES.keys())
def test_all_shapes_together_keep_the_promise(
    case: tuple[int, list[tuple[int, int]], tuple[int, ...]],
) -> None:
    planned, setups, missing = case
    rng = np.random.default_rng(planned)
    batches = 40_000
    ever = np.zeros(batches, bool)
    for first, last in setups:
        order = [piece for piece in range(first, last + 1) if piece not in missing]
        ever |= spoken(rng.standard_normal((batches, len(order))), order, planned, first)
    error = np.sqrt(PROMISED / batches)
    assert 0.6 * PROMISED < ever.mean() < PROMISED + 2 * error


def test_the_rule_written_down_anew_agrees_with_the_rule() -> None:
    rng = np.random.default_rng(11)
    order = [2, 3, 4, 6, 7, 8, 9, 11, 12, 14]
    movement = 0.9 * rng.standard_normal((60, 1)) * np.maximum(np.array(order) - 6, 0)
    values = rng.standard_normal((60, 10)) + movement
    anew = spoken(values, order, 14, 1)
    assert 0.1 < anew.mean() < 0.9
    for row, said in zip(values.tolist(), anew, strict=True):
        assert assess(order, row, planned=14, first=1).found == said
