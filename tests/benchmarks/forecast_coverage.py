"""Simulate whether the forecast's 95 % interval holds the coming piece 95 times in a hundred.

    python tests/benchmarks/forecast_coverage.py --batches 50000 --seed 1

Prints a markdown table and exits 1 where a required coverage lies more than half a percentage
point and two standard errors off 95 %, where the joint chance does not come true as often as it
says, or where the vectorised formulas of this script and `forecast` differ on any of
the batches given to both.

Readings are independent normals of standard deviation 1 about a level or a straight line, made up
by the generator. Required: the level on steady batches and the line on drifting ones, each as the
code chooses it, and each formula by itself. For reading: ramps that the trend test cannot always
see, where a level is carried on that is none - the honest price of not crying drift too early.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

import numpy as np
from drift_simulation import Array, rule, sibling_pool, sums  # also finds the package
from scipy import stats

from qlog.study.drift.forecast import COVERAGE, Model, chance_all_in, forecast
from qlog.study.drift.trend_test import (
    FIRST_LOOK,
    LEVEL_POOL_REFUTED,
    POOL_REFUTED,
    Fit,
    Pooled,
    assess,
)

TOLERATED = 0.005
CROSS_CHECKED = 40


@dataclass(frozen=True)
class Intervals:
    """Lower and upper ends per batch."""

    low: Array
    high: Array


def intervals(
    values: Array, order: Sequence[int], piece: int, pool: tuple[Array, int] | None, line: bool
) -> Intervals:
    """The interval of `piece` from every batch, from a line or from a level."""
    n = len(order)
    slope, about_line, sxx = sums(values, order)
    mean = values.mean(axis=1)
    away = piece - float(np.mean(order))
    df = n - 2 if line else n - 1
    squares = about_line if line else ((values - mean[:, None]) ** 2).sum(axis=1)
    extra, extra_df = np.zeros(len(values)), np.zeros(len(values))
    if pool is not None:
        least = stats.f.isf(POOL_REFUTED if line else LEVEL_POOL_REFUTED, df, pool[1])
        refuted = squares / df / (pool[0] / pool[1]) > least
        extra = np.where(refuted, 0.0, pool[0])
        extra_df = np.where(refuted, 0, pool[1])
    s = np.sqrt((squares + extra) / (df + extra_df))
    expected = mean + slope * away if line else mean
    spread = s * np.sqrt(1 + 1 / n + (away**2 / sxx if line else 0))
    reach = stats.t.isf((1 - COVERAGE) / 2, df + extra_df) * spread
    return Intervals(expected - reach, expected + reach)


def joint_chance(count: int, rng: np.random.Generator) -> int:
    """Hold the chance for all remaining pieces against how often they all are in.

    With limits a fixed number of s from what was fitted, the chance said is the same in every
    batch and must come true as often as it says. Limits fixed in the drawing are for reading:
    there the uncertainty of a short batch is averaged in, and a capable process is said to be
    less sure than one who knew its true scatter would say.
    """
    missed = 0
    print()
    print("| limits | read, planned | carried on | chance said | all in | standard error | |")
    print("|---|---|---|---|---|---|---|")
    for half in (2.0, 3.5):
        for n, planned, is_line in ((5, 10, False), (8, 12, False), (8, 12, True), (12, 20, True)):
            values = rng.standard_normal((count, planned))
            order = range(1, n + 1)
            slope, about_line, sxx = sums(values[:, :n], order)
            mean = values[:, :n].mean(axis=1)
            coming = np.arange(n + 1, planned + 1)
            if is_line:
                s = np.sqrt(about_line / (n - 2))
                off = values[:, n:] - mean[:, None] - slope[:, None] * (coming - (n + 1) / 2)
                fit = Fit(n, (n + 1) / 2, 0.0, 0.0, sxx, 1.0, n - 2)
            else:
                s = values[:, :n].std(axis=1, ddof=1)
                off = values[:, n:] - mean[:, None]
                fit = Fit(n, (n + 1) / 2, 0.0, 0.0, np.inf, 1.0, n - 1)
            said = chance_all_in(fit, coming.tolist(), lower=-half, upper=half)
            share = float(np.all(np.abs(off) <= half * s[:, None], axis=1).mean())
            error = np.sqrt(share * (1 - share) / count)
            off_mark = abs(share - said) > 3 * error
            missed += off_mark
            print(
                f"| fit ± {half} s | {n}, {planned} | {'line' if is_line else 'level'} | "
                f"{said:.2%} | {share:.2%} | {error:.2%} | {'MISSED' if off_mark else 'met'} |",
                flush=True,
            )
    for half in (2.0, 3.0):
        for n, planned in ((8, 12), (12, 20)):
            trials = min(count, 500)
            said_all = np.zeros(trials)
            happened = np.zeros(trials, bool)
            for i in range(trials):
                values = rng.standard_normal(planned)
                drift = assess(range(1, n + 1), values[:n].tolist(), planned=planned)
                outlook = forecast(
                    drift, planned=planned, lower=Decimal(str(-half)), upper=Decimal(str(half))
                )
                assert outlook is not None and outlook.chance_all is not None
                said_all[i] = outlook.chance_all
                happened[i] = np.all(np.abs(values[n:]) <= half)
            share = float(happened.mean())
            error = np.sqrt(share * (1 - share) / trials)
            print(
                f"| truth ± {half} s | {n}, {planned} | as the test says | {said_all.mean():.2%} | "
                f"{share:.2%} | {error:.2%} | for reading |",
                flush=True,
            )
    return missed


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--batches", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=1)
    args = parser.parse_args()
    rng = np.random.default_rng(args.seed)
    count, began = args.batches, time.monotonic()
    missed = compared = disagreed = 0
    print("| readings | read | piece | carried on | coverage | standard error | required | |")
    print("|---|---|---|---|---|---|---|---|")

    def line(case: str, n: int, piece: int, model: str, inside: Array, required: bool) -> None:
        nonlocal missed
        share = float(inside.mean())
        error = float(np.sqrt(share * (1 - share) / inside.size))
        word = ""
        if required:
            off = abs(share - COVERAGE) - TOLERATED
            missed += off > 2 * error
            word = "met" if off <= 0 else "within its error" if off <= 2 * error else "MISSED"
        wanted = "95 ± 0.5 %" if required else "for reading"
        print(
            f"| {case} | {n} | {piece} | {model} | {share:.2%} | {error:.2%} | {wanted} | {word} |",
            flush=True,
        )

    for with_pool in (False, True):
        label = "pooled s (30)" if with_pool else "own s"
        for n in (5, 8, 12, 20):
            order = range(1, n + 1)
            for ahead in (1, 4):
                piece = n + ahead
                for ramp, name in (
                    (0.0, "steady"),
                    (3.0, "ramp of 3 s"),
                    (5.0, "ramp of 5 s"),
                    (40.0, "ramp of 40 s"),
                ):
                    rate = ramp / (n - 1)
                    values = rng.standard_normal((count, n)) + rate * np.arange(n)
                    new = rng.standard_normal(count) + rate * (piece - 1)
                    pool = sibling_pool(count, None, rng) if with_pool else None
                    pools = [pool] * (n - FIRST_LOOK + 1) if pool else None
                    found = rule(values, order, n + 4, pools=pools).found_at > 0
                    by_line = intervals(values, order, piece, pool, line=True)
                    by_level = intervals(values, order, piece, pool, line=False)
                    low = np.where(found, by_line.low, by_level.low)
                    high = np.where(found, by_line.high, by_level.high)
                    chosen = (low <= new) & (new <= high)
                    if ramp == 0:
                        inside = (by_level.low <= new) & (new <= by_level.high)
                        line(f"{name}, {label}", n, piece, "level", inside, True)
                        line(f"{name}, {label}", n, piece, "as the test says", chosen, True)
                    elif ramp == 40:
                        inside = (by_line.low <= new) & (new <= by_line.high)
                        line(f"{name}, {label}", n, piece, "line", inside, True)
                        # Five readings with two degrees of freedom cannot always show even this.
                        certain = bool(found.mean() > 0.9999)
                        line(f"{name}, {label}", n, piece, "as the test says", chosen, certain)
                    elif ahead == 1:
                        line(f"{name}, {label}", n, piece, "as the test says", chosen, False)
                    some = rng.choice(count, CROSS_CHECKED // 2, replace=False).tolist()
                    some += np.flatnonzero(found)[: CROSS_CHECKED // 2].tolist()
                    for i in some:
                        pooled = None
                        if pool is not None:
                            pooled = Pooled(float(np.sqrt(pool[0][i] / pool[1])), pool[1])
                        drift = assess(order, values[i].tolist(), planned=n + 4, pooled=pooled)
                        said = forecast(drift, planned=n + 4, lower=None, upper=None)
                        compared += 1
                        if said is None:
                            disagreed += 1
                            continue
                        got = said.coming[ahead - 1]
                        disagreed += not (
                            (said.model is Model.LINE) == bool(found[i])
                            and got.piece == piece
                            and np.allclose((got.low, got.high), (low[i], high[i]), atol=1e-8)
                        )

    missed += joint_chance(count, rng)
    print()
    print(
        f"{count} batches a case, seed {args.seed}, {time.monotonic() - began:.0f} s; "
        f"{compared} batches given to forecast() too, {disagreed} disagreed; "
        f"{missed} requirements missed."
    )
    return 1 if missed or disagreed else 0


if __name__ == "__main__":
    raise SystemExit(main())
