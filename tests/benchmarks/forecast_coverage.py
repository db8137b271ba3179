"""How the forecast of a setup comes true: intervals, chances, crossings, slopes at the first alarm.

    python tests/benchmarks/forecast_coverage.py --batches 20000 --seed 1

Made-up normal readings of standard deviation 1 on movements of known shape, each batch given to
`assess` and `forecast` themselves; every batch is asked about after several pieces and for several
limits. Prints markdown tables with standard errors, and ends with status 1 when a requirement
is missed by more than two of them.
"""

from __future__ import annotations

import argparse
import math
import sys
import time
from collections import Counter, defaultdict
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from qlog.study.drift.forecast import forecast
from qlog.study.drift.trend_test import assess

Movement = Callable[[float], float]
PLANNED = 20
READ = (8, 12, 16)
#: Of so many batches one is asked for the chance of all coming pieces as well, the slowest part.
TOGETHER = 4
#: How often each shape comes where all are counted together: as `shapes` takes it beforehand.
SHAPES: dict[str, tuple[float, Movement]] = {
    "level": (2.0, lambda _: 0.0),
    "creep, 3 s over the batch": (1.0, lambda i: 3 * i / 19),
    "late creep, 3 s from the middle": (1.0, lambda i: 3 * max(0.0, i - 9.5) / 9.5),
    "jump of 3 s in the middle": (0.5, lambda i: 3.0 * (i >= 10)),
    "settling of 5 s, 1.5 pieces": (0.5, lambda i: 5 * math.exp(-i / 1.5)),
    "run-in, 3 s and 3 s": (0.2, lambda i: 3 * i / 19 - 3 * math.exp(-i / 1.5)),
}
#: A chance said and whether it came true, by what it is about, by shape and readings.
Said = dict[str, dict[tuple[str, int], list[tuple[float, bool]]]]


def share(hits: float, of: int) -> tuple[float, float]:
    part = hits / of if of else math.nan
    return part, math.sqrt(part * (1 - part) / of) if of else math.nan


def batches_of(name: str, count: int, length: int, rng: np.random.Generator) -> np.ndarray:
    movement = np.array([SHAPES[name][1](i) for i in range(length)])
    return movement + rng.standard_normal((count, length))


def coverage(batches: int, rng: np.random.Generator) -> int:
    """Shapes told of finished batches, and what was forecast of them after 8, 12 and 16 pieces."""
    told: dict[str, Counter[str]] = {name: Counter() for name in SHAPES}
    held: dict[tuple[str, int], list[int]] = {(name, r): [0, 0] for name in SHAPES for r in READ}
    said: Said = {what: defaultdict(list) for what in ("next", "last", "all together")}
    for name in SHAPES:
        for number, values in enumerate(batches_of(name, batches, PLANNED, rng).tolist()):
            whole = assess(range(1, PLANNED + 1), values, planned=PLANNED)
            told[name][whole.shape.value] += 1
            middle, half = rng.uniform(-1, 1), rng.uniform(2.5, 6)
            low, high = Decimal(middle - half), Decimal(middle + half)
            together = number % TOGETHER == 0
            for read in READ:
                ahead = forecast(
                    assess(range(1, read + 1), values[:read], planned=PLANNED),
                    planned=PLANNED, lower=low, upper=high, joint=together,
                )  # fmt: skip
                assert ahead is not None
                inside = [low <= value <= high for value in values[read:]]
                case = (name, read)
                for i, (what, place) in enumerate((("next", 0), ("last", -1))):
                    coming = ahead.coming[place]
                    held[case][i] += coming.low <= values[read:][place] <= coming.high
                    said[what][case].append((coming.chance_inside or 0.0, inside[place]))
                if together:
                    said["all together"][case].append((ahead.chance_all or 0.0, all(inside)))
    print("| readings | found | creep | late creep | run-in | jump | settling |")
    print("|---|---|---|---|---|---|---|")
    for name, counts in told.items():
        found = batches - counts["level"]
        parts = [
            f"{counts[shape] / max(found, 1):.0%}"
            for shape in ("creep", "late creep", "run-in", "jump", "settling")
        ]
        print(f"| {name} | {found / batches:.1%} | {' | '.join(parts)} |")
    print(
        "\n| readings | read | interval of the next piece holds | of the last piece (>= 93 %) | |"
    )
    print("|---|---|---|---|---|")
    missed = 0
    for (name, read), (near, far) in held.items():
        (a, ea), (b, eb) = share(near, batches), share(far, batches)
        met = b + 2 * eb >= 0.93
        missed += not met
        print(f"| {name} | {read} | {a:.1%} ± {ea:.1%} | {b:.1%} ± {eb:.1%} |"
              f" {'met' if met else 'missed'} |")  # fmt: skip
    return missed + chances(said)


def chances(said: Said) -> int:
    """Chances said to be inside, beside how often it came: no less often than was said."""
    print("\n| readings | read | next inside: said, came | last: said, came |"
          " all together: said, came |")  # fmt: skip
    print("|---|---|---|---|---|")
    for case in said["next"]:
        pairs = [np.mean(np.array(of[case], float), axis=0) for of in said.values()]
        cells = " | ".join(f"{a:.1%}, {b:.1%}" for a, b in pairs)
        print(f"| {case[0]} | {case[1]} | {cells} |")
    print("\n| all shapes | said | said on average | came | (no less than said) |"
          " shape that came least often against what was said |")  # fmt: skip
    print("|---|---|---|---|---|---|")
    missed = 0
    for what, of in said.items():
        rows = np.array([(SHAPES[n][0], i, chance, came) for i, ((n, _), pairs) in
                         enumerate(of.items()) for chance, came in pairs], float)  # fmt: skip
        names = [f"{name}, {read} read" for name, read in of]
        for tenth in range(10):
            within = rows[(rows[:, 2] * 10).clip(0, 9.999).astype(int) == tenth]
            if len(within) < 100:
                continue
            weights = within[:, 0] / within[:, 0].sum()
            chance, came = weights @ within[:, 2], weights @ within[:, 3]
            error = math.sqrt(came * (1 - came) * weights @ weights)
            met = came + 2 * error >= chance
            missed += not met
            worst = min(
                (float(np.mean(those[:, 3] - those[:, 2])), names[i])
                for i in range(len(names))
                if len(those := within[within[:, 1] == i]) >= min(100, len(within) // len(names))
            )
            print(f"| {what} | {tenth * 10} to {tenth * 10 + 10} % | {chance:.1%} |"
                  f" {came:.1%} ± {error:.1%} | {'met' if met else 'missed'} |"
                  f" {worst[1]}: {100 * worst[0]:+.0f} points |")  # fmt: skip
    return missed


def crossings(batches: int, rng: np.random.Generator) -> int:
    """Late creeps that are found at the 15th piece; told are the expected piece and the stretch."""
    missed = 0
    print("\n| late creep from piece 10, 15 read | expected piece within one | too late |"
          " told within one piece | too late | (>= 60 %) |")  # fmt: skip
    print("|---|---|---|---|---|---|")
    past = (17, 18, 20)
    for rate in (0.5, 0.75, 1.0):
        counts = {ahead: [0, 0, 0, 0] for ahead in past}
        told = tried = 0
        while told < batches and tried < 20 * batches:
            tried += 1
            values = [rate * max(0, i - 9) + rng.standard_normal() for i in range(15)]
            drift = assess(range(1, 16), values, planned=PLANNED)
            if not drift.goes_on:
                continue
            told += 1
            for ahead, count in counts.items():
                # The piece of that number is the first one past the limit.
                outlook = forecast(drift, planned=PLANNED, lower=None,
                                   upper=Decimal(rate * (ahead - 10.5)), joint=False)  # fmt: skip
                assert outlook is not None
                leaves = outlook.leaves or 999
                first, last = outlook.between or (leaves - 1, leaves + 1)
                for i, hit in enumerate((abs(leaves - ahead) <= 1, leaves > ahead + 1,
                                         first <= ahead <= last, first > ahead)):  # fmt: skip
                    count[i] += hit
        for ahead, (point, late, hits, behind) in counts.items():
            (a, ea), (b, eb) = share(hits, told), share(point, told)
            met = a + 2 * ea >= 0.6 or ahead != 18
            missed += not met
            print(f"| {rate} s a piece, past with piece {ahead} ({told} found) | {b:.1%} ± {eb:.1%}"
                  f" | {late / told:.1%} | {a:.1%} ± {ea:.1%} | {behind / told:.1%} |"
                  f" {('met' if met else 'missed') if ahead == 18 else 'for reading'} |",
                  flush=True)  # fmt: skip
    called = foretold = wrongly = found = 0
    for values in (-batches_of("settling of 5 s, 1.5 pieces", batches, 14, rng)).tolist():
        drift = assess(range(1, 15), values, planned=PLANNED)
        if not drift.found:
            continue
        found += 1
        outlook = forecast(drift, planned=PLANNED, lower=None, upper=Decimal("2.5"), joint=False)
        assert outlook is not None
        leaves = outlook.leaves is not None and outlook.leaves <= PLANNED
        called += drift.shape == "settling"
        foretold += leaves
        wrongly += leaves and drift.shape == "settling"
    missed += wrongly > 0
    a, ea = share(foretold, found)
    print(f"| settling of 5 s, limit at 2.5 s, 14 read ({found} found, {called} of them told as a"
          f" settling): crossing foretold | {a:.1%} ± {ea:.1%} | | | | {wrongly} of the settlings:"
          f" {'missed' if wrongly else 'met'} |", flush=True)  # fmt: skip
    return missed


def first_alarms(batches: int, rng: np.random.Generator) -> None:
    print("\n| creep over the batch | pieces | change overstated at the first alarm: line | told |")
    print("|---|---|---|---|")
    for ramp in (3, 5):
        for n in (8, 12, 20):
            plain, told = [], []
            movement = ramp * np.arange(n) / (n - 1)
            for values in (movement + rng.standard_normal((batches, n))).tolist():
                # What was found after a piece stays found: the finished batch knows the first one.
                read = assess(range(1, n + 1), values, planned=n).found_at
                if read is None:
                    continue
                drift = assess(range(1, read + 1), values[:read], planned=n)
                assert drift.found
                if drift.goes_on and drift.line is not None:
                    plain.append(drift.line.slope * (n - 1) - ramp)
                    told.append((drift.change or 0) * drift.shrink * (n - 1) / (read - 1) - ramp)
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
    missed = coverage(options.batches, rng) + crossings(options.batches, rng)
    first_alarms(options.batches, rng)
    print(f"\n{options.batches} batches a case, seed {options.seed}, {time.process_time():.0f} s of"
          f" processor; {missed} requirements missed.")  # fmt: skip
    return int(missed > 0)


if __name__ == "__main__":
    sys.exit(main())
