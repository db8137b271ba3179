"""How often intervals of mean and standard deviation hold the truth, with display rounding.

    python tests/benchmarks/interval_coverage.py [--batches 20000] [--seed 1]

Invented batches: n sizes scatter normally by s display steps about a level that lies anywhere in
a step; all readings share one instrument error, rectangular over +-2 steps, which the last two
columns hold against `size_interval` with and without it. Ends with status 1 when an interval
holds less than 95 % by more than three standard errors.
"""

from __future__ import annotations

import argparse
import math
import sys

import numpy as np

from qlog.study.batch.intervals import (
    scatter_interval,
    size_interval,
)

ERROR = 2.0  # half-width of the shared error, in steps


def held(n: int, s: float, batches: int, seed: int) -> list[float]:
    """Share of batches held: plain mean, plain s, mean, s, mean with shared error, without."""
    random = np.random.Generator(np.random.PCG64([seed, n, int(1000 * s)]))
    found = np.zeros(6)
    for _ in range(batches):
        level = random.uniform(-0.5, 0.5)
        sizes = random.normal(level, s, n)
        shared = random.uniform(-ERROR, ERROR)
        plain, moved = np.rint(sizes), np.rint(sizes + shared)
        mean, scatter = float(plain.mean()), float(plain.std(ddof=1))
        other, wide = float(moved.mean()), float(moved.std(ddof=1))
        u = ERROR / math.sqrt(3)
        found += (
            level in size_interval(mean, scatter, n),
            s in scatter_interval(scatter, n),
            level in size_interval(mean, scatter, n, step=1),
            s in scatter_interval(scatter, n, step=1),
            level in size_interval(other, wide, n, step=1, shared=u),
            level in size_interval(other, wide, n, step=1),
        )
    return [float(f) / batches for f in found]


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--batches", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    error = math.sqrt(0.95 * 0.05 / given.batches)
    print(f"{given.batches} batches, standard error of 95 %: {100 * error:.2f} points")
    print("  n   s/step   as if unrounded    with rounding    shared error: in, left out")
    print("              mean      s        mean      s        mean      mean")
    missed = False
    for n in (5, 10, 20):
        for s in (0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.7, 1.0, 2.0):
            found = held(n, s, given.batches, given.seed)
            missed |= min(found[2:5]) < 0.95 - 3 * error
            print(f"{n:3} {s:7.2f}   " + "  ".join(f"{100 * f:7.1f}" for f in found), flush=True)
    sys.exit(missed)


if __name__ == "__main__":
    main()
