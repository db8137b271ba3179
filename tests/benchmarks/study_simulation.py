"""How often the findings of `qlog.study` are wrong and how often they find what is there.

Run by hand: python tests/benchmarks/study_simulation.py [batches]. Seeded; prints a table with
the standard error of every figure. Drift has its own script. All data is made up.
"""

from __future__ import annotations

import math
import random
import sys
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from qlog.drawing.limits import Limits
from qlog.drawing.units import Unit
from qlog.study.batch.capability import Capability, capability
from qlog.study.batch.comparison import setups
from qlog.study.batch.control_charts import individuals
from qlog.study.batch.mixup import Reread, swapped
from qlog.study.batch.outlier import grubbs

SEED = 2024


def rate(name: str, batches: int, trial: Callable[[random.Random], bool]) -> float:
    rng = random.Random(f"{SEED} {name}")
    hits = sum(trial(rng) for _ in range(batches))
    p = hits / batches
    print(f"{name:<64} {100 * p:6.2f} %  ± {100 * math.sqrt(p * (1 - p) / batches):.2f}")
    return p


def normal(rng: random.Random, n: int) -> list[float]:
    return [rng.gauss(0, 1) for _ in range(n)]


def rounded(values: list[float], step: float) -> list[float]:
    return [round(v / step) * step for v in values]


def outliers(batches: int) -> None:
    for n in (5, 8, 12, 20):
        rate(
            f"outlier: clean batch of {n} flagged",
            batches,
            lambda rng, n=n: grubbs(normal(rng, n)).found,  # type: ignore[misc]
        )
    for step in (0.5, 1.0, 2.0, 4.0):
        for known in (False, True):

            def trial(rng: random.Random, step: float = step, known: bool = known) -> bool:
                found = grubbs(
                    rounded(normal(rng, 8), step), step=Decimal(str(step)) if known else None
                )
                return found is not None and found.found

            told = "step told" if known else "step not told"
            rate(f"outlier: clean batch of 8, display step {step} s, {told}", batches, trial)
    for n in (8, 12):
        for step in (0.0, 0.5, 1.0):

            def dirty(rng: random.Random, n: int = n, step: float = step) -> bool:
                values = [*normal(rng, n - 1), rng.gauss(6, 1)]
                if step == 0:
                    found = grubbs(values)
                else:
                    found = grubbs(rounded(values, step), step=Decimal(str(step)))
                return found is not None and found.found and found.index == n - 1

            rate(f"outlier: one of {n} off by 6 s, display step {step} s, found", batches, dirty)


def mixed_up(batches: int) -> None:
    for dimensions in (2, 3, 4):
        for swap in (False, True):

            def trial(rng: random.Random, dimensions: int = dimensions, swap: bool = swap) -> bool:
                pieces = range(1, 9)
                rounds = []
                order = {p: p for p in pieces}
                if swap:
                    order[2], order[5] = 5, 2
                for _ in range(dimensions):
                    size = {p: rng.gauss(0, 3) for p in pieces}
                    before = {p: Decimal(repr(size[p] + rng.gauss(0, 1))) for p in pieces}
                    after = {p: Decimal(repr(size[order[p]] + rng.gauss(0, 1))) for p in pieces}
                    rounds.append(Reread(before, after, Decimal(1)))
                found = swapped(rounds)
                return found[:1] != () and found[0].pieces == (2, 5) if swap else bool(found)

            what = "true swap found" if swap else "swap seen where there is none"
            rate(
                f"mixed up: 8 pieces that differ by 3 s, {dimensions} dimensions, {what}",
                batches // 10,
                trial,
            )


def own_limits(batches: int) -> None:
    for n in (5, 10, 20):
        rate(
            f"individuals: steady batch of {n} beyond its own limits",
            batches,
            lambda rng, n=n: bool(individuals(normal(rng, n)).outside),  # type: ignore[misc]
        )


def changed_setups(batches: int) -> None:
    for n in (4, 6, 8):
        for jump in (0, 3):

            def trial(rng: random.Random, n: int = n, jump: int = jump) -> bool:
                found = setups(normal(rng, n), [v + jump for v in normal(rng, n)])
                return found is not None and found.found

            rate(f"setups: {n} + {n} pieces, jump of {jump} s found at 1 %", batches, trial)


def index_intervals(batches: int) -> None:
    for n in (10, 20):
        for cpk in (0.67, 1.33, 1.67):
            for off in (0.0, 1.0):
                half = Decimal(repr(3 * cpk + off))
                limits = Limits(-half, half, Unit.MM)

                def covered(
                    rng: random.Random,
                    n: int = n,
                    cpk: float = cpk,
                    off: float = off,
                    limits: Limits = limits,
                ) -> bool:
                    found = capability([v + off for v in normal(rng, n)], limits)
                    return isinstance(found, Capability) and cpk in found.cpk_interval

                rate(
                    f"Cpk {cpk}, {n} pieces, {off} s off the middle: interval covers",
                    batches // 2,
                    covered,
                )


if __name__ == "__main__":
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 20000
    print(f"{count} batches a case (a tenth of it for swaps, half for Cpk), seed {SEED}")
    for part in (outliers, own_limits, changed_setups, index_intervals, mixed_up):
        part(count)
