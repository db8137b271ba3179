"""Simulate parts cut by one tool, and count how often the machine is said to drift.

    python tests/benchmarks/machine_drift.py --batches 20000 --seed 1

Readings are independent normals of standard deviation 1 about the target of their part, with a
movement of the machine, or a way of aiming each part, on top. Every set in which a look speaks is
given to `study_machine` itself; a set in which none speaks cannot be said to drift. Learnt scatter
is that of an earlier build, drawn anew for every set. Prints a markdown table with standard
errors; status 1 where a requirement is missed by more than two of them.
"""

from __future__ import annotations

import argparse
import sys
import time
from decimal import Decimal
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from qlog.study.drift.machine import MachinePoint, study_machine
from qlog.study.drift.trend_test import Pooled
from tests.benchmarks.drift_simulation import Array, Report, spoken

#: Degrees of freedom of a learnt scatter: an earlier build of two batches of eleven, say.
LEARNT = 18


def drifts(
    values: Array, each: int, pool: tuple[Array, int] | None, *, ever: bool = False
) -> np.ndarray:
    """Whether each set of parts, `each` pieces a part, is said to drift: at the end, or ever."""
    n = values.shape[1]
    order = range(1, n + 1)
    said = np.zeros(len(values), bool)
    may = spoken(values, order, n)
    if pool is not None:  # what neither scatter makes speak, no choice between the two does
        joined = spoken(values, order, n, 1, pool)
        may = np.where((may > 0) & (joined > 0), np.minimum(may, joined), np.maximum(may, joined))
    for row in np.flatnonzero(may):
        points = [
            MachinePoint(str(i // each), Decimal(repr(float(v)))) for i, v in enumerate(values[row])
        ]
        learnt = None if pool is None else Pooled(float(np.sqrt(pool[0][row] / pool[1])), pool[1])
        for read in range(int(may[row]) if ever else n, n + 1):
            found = study_machine(points[:read], planned=n, learnt=learnt)
            said[row] |= found is not None and found.speaks
    return said


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--batches", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    count, rng = options.batches, np.random.default_rng(options.seed)
    start, report = time.monotonic(), Report()
    print("| parts and pieces | said to drift | required | |\n|---|---|---|---|")
    for parts, each in ((4, 3), (3, 4), (6, 3), (2, 4)):
        n = parts * each
        ramp = np.arange(n) / (n - 1)
        noise = rng.standard_normal((count, n))
        pool = rng.chisquare(LEARNT, count), LEARNT
        name = f"{parts} parts of {each}"
        for scatter, known in (("own scatter", None), (f"learnt too ({LEARNT})", pool)):
            report.row(f"{name}, steady, {scatter}", drifts(noise, each, known, ever=True),
                       most=0.01)  # fmt: skip
            for size in (3, 5):
                report.row(f"{name}, creep of {size} s over all, {scatter}",
                           drifts(noise + size * ramp, each, known))  # fmt: skip
        jump = noise + 3.0 * (np.arange(n) >= n // 2 + 1)
        report.row(f"{name}, jump of 3 s inside a part", drifts(jump, each, None))
        for apart in (0.5, 1.0):
            aims = apart * np.repeat(rng.standard_normal((count, parts)), each, axis=1)
            report.row(f"{name}, steady, parts aimed {apart} s apart", drifts(noise + aims, each,
                       None, ever=True))  # fmt: skip
    print(f"\n{count} sets a case, seed {options.seed}, {time.monotonic() - start:.0f} s; "
          f"{report.missed} requirements missed.")  # fmt: skip
    return int(report.missed > 0)


if __name__ == "__main__":
    sys.exit(main())
