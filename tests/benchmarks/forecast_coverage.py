"""How the forecast of a setup comes true: intervals, crossings, slopes at the first alarm.

    python tests/benchmarks/forecast_coverage.py --batches 1000 --seed 1

Made-up normal readings of standard deviation 1 on movements of known shape, each batch given to
`assess` and `forecast` themselves. Prints markdown tables with standard errors, and ends with
status 1 when a requirement is missed by more than two of them.
"""

from __future__ import annotations

import argparse
import math
import sys
from collections import Counter
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from qlog.study.drift.forecast import forecast
from qlog.study.drift.trend_test import assess

Movement = Callable[[float], float]
PLANNED = 20
SHAPES: dict[str, Movement] = {
    "level": lambda _: 0.0,
    "creep, 3 s over the batch": lambda i: 3 * i / 19,
    "late creep, 3 s from the middle": lambda i: 3 * max(0.0, i - 9.5) / 9.5,
    "jump of 3 s in the middle": lambda i: 3.0 * (i >= 10),
    "settling of 5 s, 1.5 pieces": lambda i: 5 * math.exp(-i / 1.5),
    "run-in, 3 s and 3 s": lambda i: 3 * i / 19 - 3 * math.exp(-i / 1.5),
}


def share(hits: int, of: int) -> tuple[float, float]:
    part = hits / of if of else math.nan
    return part, math.sqrt(part * (1 - part) / of) if of else math.nan


def coverage(batches: int, rng: np.random.Generator) -> int:
    missed = 0
    print("| readings | read | interval of the next piece holds | of the last piece (>= 93 %) | |")
    print("|---|---|---|---|---|")
    for name, movement in SHAPES.items():
        for read in (8, 12, 16):
            near = far = 0
            for _ in range(batches):
                values = [movement(i) + rng.standard_normal() for i in range(read)]
                drift = assess(range(1, read + 1), values, planned=PLANNED)
                ahead = forecast(drift, planned=PLANNED, lower=None, upper=None, joint=False)
                assert ahead is not None
                first, last = ahead.coming[0], ahead.coming[-1]
                near += first.low <= movement(read) + rng.standard_normal() <= first.high
                far += last.low <= movement(PLANNED - 1) + rng.standard_normal() <= last.high
            (a, ea), (b, eb) = share(near, batches), share(far, batches)
            met = b + 2 * eb >= 0.93
            missed += not met
            print(f"| {name} | {read} | {a:.1%} ± {ea:.1%} | {b:.1%} ± {eb:.1%} |"
                  f" {'met' if met else 'missed'} |", flush=True)  # fmt: skip
    return missed


def told(batches: int, rng: np.random.Generator) -> None:
    """Which shape is told of a finished batch of 20, where something was found."""
    print("| readings | found | creep | late creep | run-in | jump | settling |")
    print("|---|---|---|---|---|---|---|")
    for name, movement in SHAPES.items():
        counts: Counter[str] = Counter()
        for _ in range(batches):
            values = [movement(i) + rng.standard_normal() for i in range(PLANNED)]
            drift = assess(range(1, PLANNED + 1), values, planned=PLANNED)
            counts[drift.shape.value] += 1
        found = batches - counts["level"]
        parts = [
            f"{counts[shape] / max(found, 1):.0%}"
            for shape in ("creep", "late creep", "run-in", "jump", "settling")
        ]
        print(f"| {name} | {found / batches:.1%} | {' | '.join(parts)} |", flush=True)
    print()


def crossings(batches: int, rng: np.random.Generator) -> int:
    """Late creeps that are found at the 15th piece; told are the expected piece and the stretch."""
    missed = 0
    print("\n| late creep from piece 10, 15 read | expected piece within one | too late |"
          " told within one piece | too late | (>= 60 %) |")  # fmt: skip
    print("|---|---|---|---|---|---|")
    for rate in (0.5, 0.75, 1.0):
        for ahead in (17, 18, 20):
            point = late = hits = behind = told = tried = 0
            limit = rate * (ahead - 10.5)  # the piece of that number is the first one past it
            while told < batches and tried < 20 * batches:
                tried += 1
                values = [rate * max(0, i - 9) + rng.standard_normal() for i in range(15)]
                drift = assess(range(1, 16), values, planned=PLANNED)
                if not drift.goes_on:
                    continue
                outlook = forecast(
                    drift, planned=PLANNED, lower=None, upper=Decimal(str(limit)), joint=False
                )
                assert outlook is not None
                told += 1
                leaves = outlook.leaves or 999
                point += abs(leaves - ahead) <= 1
                late += leaves > ahead + 1
                first, last = outlook.between or (leaves - 1, leaves + 1)
                hits += first <= ahead <= last
                behind += first > ahead
            (a, ea), (b, eb) = share(hits, told), share(point, told)
            met = a + 2 * ea >= 0.6 or ahead != 18
            missed += not met
            print(f"| {rate} s a piece, past with piece {ahead} ({told} found) | {b:.1%} ± {eb:.1%}"
                  f" | {late / told:.1%} | {a:.1%} ± {ea:.1%} | {behind / told:.1%} |"
                  f" {('met' if met else 'missed') if ahead == 18 else 'for reading'} |",
                  flush=True)  # fmt: skip
    hits = told = 0
    for _ in range(batches):
        values = [-5 * math.exp(-i / 1.5) + rng.standard_normal() for i in range(14)]
        drift = assess(range(1, 15), values, planned=PLANNED)
        ahead = forecast(drift, planned=PLANNED, lower=None, upper=Decimal("2.5"), joint=False)
        assert ahead is not None
        told += drift.found
        hits += drift.found and ahead.leaves is not None and ahead.leaves <= PLANNED
    a, ea = share(hits, told)
    print(f"| settling of 5 s, limit at 2.5 s, 14 read ({told} found): crossing foretold |"
          f" {a:.1%} ± {ea:.1%} | | for reading |", flush=True)  # fmt: skip
    return missed


def first_alarms(batches: int, rng: np.random.Generator) -> None:
    print("\n| creep over the batch | pieces | change overstated at the first alarm: line | told |")
    print("|---|---|---|---|")
    for ramp in (3, 5):
        for n in (8, 12, 20):
            plain, told = [], []
            for _ in range(batches):
                values = [ramp * i / (n - 1) + rng.standard_normal() for i in range(n)]
                for read in range(5, n + 1):
                    drift = assess(range(1, read + 1), values[:read], planned=n)
                    if drift.found:
                        if drift.goes_on and drift.line is not None and drift.slope is not None:
                            plain.append(drift.line.slope * (n - 1) - ramp)
                            told.append(
                                (drift.change or 0) * drift.shrink * (n - 1) / (read - 1) - ramp
                            )
                        break
            if not told:
                continue
            error = np.std(told) / math.sqrt(len(told))
            print(f"| {ramp} s | {n} | {np.mean(plain):+.2f} s | {np.mean(told):+.2f} ±"
                  f" {error:.2f} s |", flush=True)  # fmt: skip


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--batches", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    rng = np.random.default_rng(options.seed)
    told(options.batches, rng)
    missed = coverage(options.batches, rng) + crossings(options.batches, rng)
    first_alarms(max(options.batches // 5, 50), rng)
    print(f"\n{options.batches} batches a case, seed {options.seed}; {missed} requirements missed.")
    return int(missed > 0)


if __name__ == "__main__":
    sys.exit(main())
