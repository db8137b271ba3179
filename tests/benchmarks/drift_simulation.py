"""Simulate whole batches and count how often the drift test speaks up.

    python tests/benchmarks/drift_simulation.py --batches 50000 --seed 1

Prints a markdown table of estimate, standard error and requirement, and exits 1 where a
requirement is missed by more than two standard errors, or where the vectorised rule of this
script and `qlog.study.drift.trend_test.assess` disagree on any of the batches given to both.

Readings are independent normals of standard deviation 1, made up by the generator. A false alarm
counts when the test, asked again after every piece, says "trend" at any time in the batch; a
ramp counts as found when the finished batch is said to have a trend. The pool of 30 degrees of
freedom is five siblings of eight pieces each, read on the same display.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy import stats

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import qlog.study.drift.trend_test as drift_module
from qlog.study.drift.trend_test import (
    FIRST_LOOK,
    POOL_REFUTED,
    DriftStatus,
    Pooled,
    assess,
    look_levels,
)

Array = NDArray[np.float64]
CROSS_CHECKED = 25


@dataclass(frozen=True)
class Outcome:
    """Per batch: trend said at any time, trend said of the finished batch, piece found at."""

    ever: NDArray[np.bool_]
    finished: NDArray[np.bool_]
    found_at: NDArray[np.int64]


def sums(values: Array, order: Sequence[int]) -> tuple[Array, Array, float]:
    x = np.asarray(order, float) - np.mean(order)
    sxx = float((x * x).sum())
    centred = values - values.mean(axis=1, keepdims=True)
    slope = centred @ x / sxx
    squares = np.maximum((centred * centred).sum(axis=1) - slope**2 * sxx, 0)
    return slope, squares, sxx


def rule(
    values: Array,
    order: Sequence[int],
    planned: int,
    *,
    step: float | None = None,
    pools: Sequence[tuple[Array, int]] | None = None,
    first: int = 1,
    must_matter: bool = False,
) -> Outcome:
    """The rule of `assess` on many batches at once.

    `pools` holds for every look the pool's sum of squares (per batch) and its df, as it stood
    when that piece had been read.
    """
    count, n = values.shape
    levels = look_levels(order, planned, first)
    floor = (step or 0.0) / np.sqrt(12)
    tests = range(FIRST_LOOK, n + 1)
    parts = [sums(values[:, :k], order[:k]) for k in tests]
    ever = np.zeros(count, bool)
    finished = np.zeros(count, bool)
    found_at = np.zeros(count, np.int64)
    for now, k_now in enumerate(tests):
        slope_now, squares_now, _ = parts[now]
        if pools is None:
            extra, extra_df = np.zeros(count), np.zeros(count)
        else:
            pool_squares, pool_df = pools[now]
            with np.errstate(divide="ignore", invalid="ignore"):
                ratio = (squares_now / (k_now - 2)) / (pool_squares / pool_df)
            used = ~(ratio > stats.f.isf(POOL_REFUTED, k_now - 2, pool_df))
            extra, extra_df = np.where(used, pool_squares, 0.0), np.where(used, pool_df, 0)
        finished = np.zeros(count, bool)
        found_at = np.zeros(count, np.int64)
        # Without a pool an earlier look says the same at every later time.
        for look in range(now + 1):
            slope, squares, sxx = parts[look]
            df = tests[look] - 2 + extra_df
            s = np.maximum(np.sqrt((squares + extra) / df), floor)
            critical = critical_t(levels[look], df)
            hit = np.abs(slope) * np.sqrt(sxx) > critical * s
            found_at = np.where(hit & ~finished, order[tests[look] - 1], found_at)
            finished |= hit
        said = finished
        if must_matter:
            change = np.abs(slope_now) * (order[k_now - 1] - order[0])
            said = finished & (change >= 2 * (step or 0.0))
        ever |= said
        finished = said
    return Outcome(ever, finished, found_at)


_CRITICAL: dict[tuple[float, int], float] = {}


def critical_t(level: float, df: Array | NDArray[np.int64]) -> Array:
    kinds = np.unique(df)
    result = np.zeros(df.shape)
    for kind in kinds:
        key = (level, int(kind))
        if key not in _CRITICAL:
            _CRITICAL[key] = float(stats.t.isf(level / 2, kind))
        result[df == kind] = _CRITICAL[key]
    return result


def rounded(values: Array, step: float | None, rng: np.random.Generator) -> Array:
    if step is None:
        return values
    phase = rng.uniform(0, step, (values.shape[0], 1))
    return np.asarray(np.round((values + phase) / step) * step)


def sibling_pool(count: int, step: float | None, rng: np.random.Generator) -> tuple[Array, int]:
    squares = np.zeros(count)
    for _ in range(5):
        squares += sums(rounded(rng.standard_normal((count, 8)), step, rng), range(1, 9))[1]
    return squares, 30


class Report:
    """The table, and whether everything held."""

    def __init__(self) -> None:
        self.missed = 0
        self.disagreements = 0
        self.compared = 0
        print("| case | pieces | estimate | standard error | required | |")
        print("|---|---|---|---|---|---|")

    def line(
        self, case: str, pieces: str, hits: NDArray[np.bool_], *, most: float = 1, least: float = 0
    ) -> None:
        share = float(hits.mean())
        error = float(np.sqrt(max(share * (1 - share), 1e-12) / hits.size))
        required = f"≤ {most:.1%}" if most < 1 else f"≥ {least:.0%}" if least else "for reading"
        word = ""
        if most < 1 or least:
            word = "met" if least <= share <= most else "within its error"
            if share - 2 * error > most or share + 2 * error < least:
                word = "MISSED"
                self.missed += 1
        print(
            f"| {case} | {pieces} | {share:.2%} | {error:.2%} | {required} | {word} |", flush=True
        )

    def compare(
        self,
        outcome: Outcome,
        values: Array,
        order: Sequence[int],
        planned: int,
        rng: np.random.Generator,
        *,
        step: float | None = None,
        pool: tuple[Array, int] | None = None,
        first: int = 1,
        must_matter: bool = False,
    ) -> None:
        """Give some batches, half of them with a trend said, to `assess` itself."""
        said = np.flatnonzero(outcome.found_at)
        some = rng.choice(values.shape[0], CROSS_CHECKED, replace=False)
        for i in {*some.tolist(), *said[:CROSS_CHECKED].tolist()}:
            pooled = None
            if pool is not None:
                pooled = Pooled(float(np.sqrt(pool[0][i] / pool[1])), pool[1])
            drift = assess(
                order, values[i].tolist(), planned=planned, step=step, pooled=pooled, first=first
            )
            self.compared += 1
            same = (drift.found_at or 0) == outcome.found_at[i]
            if must_matter:
                same &= (drift.status is DriftStatus.DRIFTING) == bool(outcome.finished[i])
            self.disagreements += not same


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--batches", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=1)
    args = parser.parse_args()
    rng = np.random.default_rng(args.seed)
    count = args.batches
    began = time.monotonic()
    report = Report()

    for case, step, most in (
        ("steady", None, 0.010),
        ("steady, display step 1 s", 1.0, 0.015),
    ):
        for with_pool in (False, True):
            for n in range(5, 31):
                order = range(1, n + 1)
                values = rounded(rng.standard_normal((count, n)), step, rng)
                pool = sibling_pool(count, step, rng) if with_pool else None
                pools = [pool] * (n - FIRST_LOOK + 1) if pool else None
                outcome = rule(values, order, n, step=step, pools=pools)
                label = f"{case}, {'pooled s (30)' if with_pool else 'own s'}"
                report.line(label, str(n), outcome.ever, most=most)
                report.compare(outcome, values, order, n, rng, step=step, pool=pool)

    for size, with_pool, needs in (
        (3, False, {8: 0.17, 12: 0.30, 20: 0.60}),
        (3, True, {8: 0.35, 12: 0.50, 20: 0.75}),
        (5, False, {8: 0, 12: 0, 20: 0}),
        (5, True, {8: 0.90, 12: 0, 20: 0}),
    ):
        for n, least in needs.items():
            order = range(1, n + 1)
            values = rng.standard_normal((count, n)) + np.linspace(0, size, n)
            pool = sibling_pool(count, None, rng) if with_pool else None
            pools = [pool] * (n - FIRST_LOOK + 1) if pool else None
            outcome = rule(values, order, n, pools=pools)
            label = f"ramp of {size} s, {'pooled s (30)' if with_pool else 'own s'}"
            report.line(label, str(n), outcome.finished, least=least)
            report.compare(outcome, values, order, n, rng, pool=pool)

    more_cases(report, count, rng)
    spending_powers(min(count, 20_000), rng)
    print()
    print(
        f"{count} batches a case, seed {args.seed}, {time.monotonic() - began:.0f} s; "
        f"{report.compared} batches given to assess() too, {report.disagreements} disagreed; "
        f"{report.missed} requirements missed."
    )
    return 1 if report.missed or report.disagreements else 0


def more_cases(report: Report, count: int, rng: np.random.Generator) -> None:
    """What the plain cases leave out: gaps, setups, a growing pool, coarse displays, other laws."""
    for n in (8, 12, 20):
        # The same pieces are missing in all batches of a block, another choice in each block.
        hits = []
        for _ in range(20):
            kept = np.flatnonzero(rng.uniform(size=n) > 0.2) + 1
            order = kept.tolist()
            if len(order) < FIRST_LOOK:
                continue
            values = rng.standard_normal((count // 20, len(order)))
            outcome = rule(values, order, n)
            hits.append(outcome.ever)
            report.compare(outcome, values, order, n, rng)
        report.line(
            "steady, one piece in five without a reading", str(n), np.concatenate(hits), most=0.01
        )

    for n, starts in ((12, (1, 7)), (20, (1, 7, 14)), (30, (1, 11, 21))):
        ever = np.zeros(count, bool)
        for first, end in zip(starts, (*starts[1:], n + 1), strict=True):
            order = range(first, end)
            values = rng.standard_normal((count, len(order)))
            outcome = rule(values, order, n, first=first)
            ever |= outcome.ever
            report.compare(outcome, values, order, n, rng, first=first)
        report.line(f"steady, {len(starts)} setups, whole batch", str(n), ever, most=0.01)

    for n in (8, 12, 20):
        order = range(1, n + 1)
        values = rng.standard_normal((count, n))
        siblings = rng.standard_normal((3, count, n))
        pools = []
        for k in range(FIRST_LOOK, n + 1):
            squares = np.sum([sums(s[:, :k], range(1, k + 1))[1] for s in siblings], axis=0)
            pools.append((squares, 3 * (k - 2)))
        outcome = rule(values, order, n, pools=pools)
        report.line(
            "steady, pool of 3 siblings growing with the batch", str(n), outcome.ever, most=0.01
        )
        report.compare(outcome, values, order, n, rng, pool=pools[-1])

    for ratio in (0.8, 0.67, 1.5):
        for n in (8, 12, 20):
            values = rng.standard_normal((count, n))
            squares, df = sibling_pool(count, None, rng)
            pools = [(squares * ratio**2, df)] * (n - FIRST_LOOK + 1)
            outcome = rule(values, range(1, n + 1), n, pools=pools)
            report.line(
                f"steady, siblings that scatter {ratio} times as much", str(n), outcome.ever
            )

    for step in (2.0, 4.0):
        for n in (8, 12, 20):
            order = range(1, n + 1)
            values = rounded(rng.standard_normal((count, n)), step, rng)
            outcome = rule(values, order, n, step=step, must_matter=True)
            report.line(
                f"steady, display step {step:.0f} s, change of two steps said",
                str(n),
                outcome.ever,
                most=0.01,
            )
            report.compare(outcome, values, order, n, rng, step=step, must_matter=True)

    for law, draw in (
        ("uniform", lambda shape: rng.uniform(-1, 1, shape)),
        ("long-tailed (t, 4 df)", lambda shape: rng.standard_t(4, shape)),
        ("skew (exponential)", lambda shape: rng.exponential(1, shape)),
    ):
        for n in (8, 12, 20):
            outcome = rule(draw((count, n)), range(1, n + 1), n)
            report.line(f"steady, {law} readings, own s", str(n), outcome.ever)

    for size, name in ((0, "steady"), (3, "ramp of 3 s")):
        for n in (8, 12, 20):
            values = rng.standard_normal((count, n)) + np.linspace(0, size, n)
            always = np.zeros(count, bool)
            for k in range(FIRST_LOOK, n + 1):
                slope, squares, sxx = sums(values[:, :k], range(1, k + 1))
                t = np.abs(slope) * np.sqrt(sxx / (squares / (k - 2)))
                always |= t > stats.t.isf(0.005, k - 2)
            report.line(f"{name}, every look at 1 % (not this rule)", str(n), always)


def spending_powers(count: int, rng: np.random.Generator) -> None:
    """What other powers of the spending function do: ramps found, and how soon a steep one."""
    print()
    print(
        "| power | ramp of 3 s found, own s, 8 / 12 / 20 pieces | pooled s (30) | "
        "1 s a piece, pooled s: found at piece, on average, of 12 / 20 |"
    )
    print("|---|---|---|---|")
    chosen = drift_module.SPENDING_POWER
    for power in (1, 2, 3, 4, 5, 6):
        drift_module.SPENDING_POWER = power
        cells = []
        for with_pool in (False, True):
            found = []
            for n in (8, 12, 20):
                values = rng.standard_normal((count, n)) + np.linspace(0, 3, n)
                pools = [sibling_pool(count, None, rng)] * (n - FIRST_LOOK + 1)
                outcome = rule(values, range(1, n + 1), n, pools=pools if with_pool else None)
                found.append(f"{outcome.finished.mean():.1%}")
            cells.append(" / ".join(found))
        pieces = []
        for n in (12, 20):
            values = rng.standard_normal((count, n)) + np.arange(n)
            pools = [sibling_pool(count, None, rng)] * (n - FIRST_LOOK + 1)
            found_at = rule(values, range(1, n + 1), n, pools=pools).found_at
            pieces.append(f"{found_at[found_at > 0].mean():.1f}")
        here = " (chosen)" if power == chosen else ""
        print(f"| {power}{here} | {cells[0]} | {cells[1]} | {' / '.join(pieces)} |", flush=True)
    drift_module.SPENDING_POWER = chosen


if __name__ == "__main__":
    raise SystemExit(main())
