"""What can be known of a creep's rate at its first alarm, and what Bayes' theorem promises.

    python tests/benchmarks/first_alarm.py --batches 12000 --seed 7 --processes 2

Made-up creeps, each batch given to `assess` itself up to its first alarm. For a plain creep the
piece of the alarm, the mean, the slope and the standard deviation about the line hold all that is
to be known of the rate, whatever rule gave the alarm (Fisher's factorisation; a rule that looks
at the readings alone does not enter the likelihood). An estimate that does not depend on unit and
sign is then the line's change times a number h(piece, t). The first table has the least root mean
square error, at the worst of the rates, that any such estimate can have whose bias stays within
a bound at all of them: a convex programme over h in cells of piece and t. The second holds what is
told against rates that are, among the batches with an alarm, one as frequent as another.
Rates above 8 s have a quarter of the batches. Prints markdown.
"""

from __future__ import annotations

import argparse
import sys
from multiprocessing import Pool
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import LinearConstraint, NonlinearConstraint, minimize

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from qlog.study.drift.trend_test import assess

PIECES = (8, 12, 20)
RATES = (3, 4, 5, 6, 8)
EVENLY = range(17)
BOUNDS = (np.inf, 0.4, 0.3, 0.2, 0.1)
CELLS = (8, 16)
Rows = NDArray[np.float64]


def alarms(case: tuple[int, int, int, int]) -> Rows:
    """First alarms of creeps: piece, |t| of the line, its change over the batch, change told."""
    rate, n, batches, seed = case
    rng = np.random.default_rng((seed, rate, n))
    values = rate * np.arange(n) / (n - 1) + rng.standard_normal((batches, n))
    found = []
    for row in values.tolist():
        read = assess(range(1, n + 1), row, planned=n).found_at
        drift = None if read is None else assess(range(1, read + 1), row[:read], planned=n)
        if drift is None or read is None or drift.line is None or not drift.goes_on:
            continue
        line, change = drift.line, drift.change or 0.0
        told = change * drift.shrink * (n - 1) / (read - 1)
        t = abs(line.slope) * np.sqrt(line.sxx) / line.s
        found.append((read, t, line.slope * (n - 1), told))
    return np.array(found, float).reshape(-1, 4)


def cells_of(rows: Rows, n: int, edges: list[Rows]) -> NDArray[np.int64]:
    """The cell of each alarm: a third of pieces, and t among its alarms."""
    third = _third(rows, n)
    starts = np.cumsum([0, *(len(e) + 1 for e in edges)])
    return np.array(
        [starts[g] + np.searchsorted(edges[g], t) for g, t in zip(third, rows[:, 1], strict=True)]
    )


def _third(rows: Rows, n: int) -> NDArray[np.int64]:
    """At the last piece, in the last quarter before it, or sooner."""
    return np.where(rows[:, 0] == n, 0, np.where(rows[:, 0] >= 0.75 * n, 1, 2))


def least_error(cases: dict[int, Rows], n: int, count: int, bound: float) -> tuple[float, float]:
    """The least worst root mean square error under a bound on the bias, and the bias at worst."""
    every = np.concatenate([cases[rate] for rate in RATES])
    edges = [
        np.quantile(every[_third(every, n) == g, 1], np.linspace(0, 1, count + 1)[1:-1])
        for g in range(3)
    ]
    size = sum(len(e) + 1 for e in edges)
    means, squares = [], []
    for rate in RATES:
        cell, change = cells_of(cases[rate], n, edges), cases[rate][:, 2]
        means.append(np.bincount(cell, change, size) / len(change))
        squares.append(np.bincount(cell, change**2, size) / len(change))
    m, q, r = np.array(means), np.array(squares), np.array(RATES, float)

    def errors(x: Rows) -> Rows:
        h, z = x[:-1], x[-1]
        mean_square: Rows = q @ h**2 - 2 * r * (m @ h) + r**2
        slack: Rows = z - mean_square
        return slack

    def slopes(x: Rows) -> Rows:
        return np.hstack([-2 * q * x[:-1] + 2 * r[:, None] * m, np.ones((len(r), 1))])

    limits: list[NonlinearConstraint | LinearConstraint] = [
        NonlinearConstraint(errors, 0, np.inf, jac=slopes)
    ]
    if np.isfinite(bound):
        wide = np.hstack([m, np.zeros((len(r), 1))])
        limits.append(LinearConstraint(wide, r - bound, r + bound))
    start = np.append(np.ones(size), 9.0)
    gradient = np.append(np.zeros(size), 1.0)
    best = minimize(lambda x: x[-1], start, jac=lambda _: gradient, method="SLSQP",  # type: ignore[call-overload]
                    constraints=limits, options={"maxiter": 500})  # fmt: skip
    if not best.success:
        raise RuntimeError(best.message)
    return float(np.sqrt(best.x[-1])), float(np.abs(m @ best.x[:-1] - r).max())


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--batches", type=int, default=2000)
    parser.add_argument("--seed", type=int, default=7)
    parser.add_argument("--processes", type=int, default=1)
    options = parser.parse_args()
    jobs = [
        (rate, n, options.batches if rate <= max(RATES) else options.batches // 4, options.seed)
        for n in PIECES
        for rate in EVENLY
    ]
    with Pool(options.processes) as pool:
        rows = dict(zip([(n, r) for r, n, *_ in jobs], pool.map(alarms, jobs, 1), strict=True))
    print("| pieces, creeps of 3 to 8 s | told: worst error, worst bias | least error, any bias |"
          " bias at most 0.4 s | 0.3 s | 0.2 s | 0.1 s |")  # fmt: skip
    print("|---|---|---|---|---|---|---|")
    for n in PIECES:
        cases = {rate: rows[n, rate] for rate in RATES}
        off = [(float(np.sqrt(np.mean((c[:, 3] - r) ** 2))), float(np.mean(c[:, 3]) - r))
               for r, c in cases.items()]  # fmt: skip
        worst = max(e for e, _ in off), max((b for _, b in off), key=abs)
        told = []
        for bound in BOUNDS:
            both = [least_error(cases, n, count, bound) for count in CELLS]
            least = f" (bias {both[1][1]:.2f} s)" if np.isinf(bound) else ""
            told.append(f"{both[0][0]:.2f}, {both[1][0]:.2f} s{least}")
        print(f"| {n} | {worst[0]:.2f} s, {worst[1]:+.2f} s | {' | '.join(told)} |")
    print(f"\n| pieces | {' | '.join(f'{r} s' for r in EVENLY if r)} | all alike |")
    print("|---" * (len(EVENLY) + 1) + "|")
    for n in PIECES:
        bias = [float(np.mean(rows[n, r][:, 3]) - r) for r in EVENLY if r]
        line = [float(np.mean(rows[n, r][:, 2]) - r) for r in EVENLY if r]
        print(f"| {n} | {' | '.join(f'{b:+.2f}' for b in bias)} | {np.mean(bias):+.2f} s"
              f" (line {np.mean(line):+.2f}) |")  # fmt: skip
    print(f"\n{options.batches} batches a case, seed {options.seed}.")


if __name__ == "__main__":
    main()
