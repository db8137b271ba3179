"""How the forecast of a setup comes true: intervals, chances, crossings, slopes at the first alarm.

    python tests/benchmarks/forecast_coverage.py --batches 20000 --seed 1 --processes 2

Made-up normal readings of standard deviation 1 on movements of known shape, each batch given to
`assess` and `forecast` themselves; every batch is asked about after several pieces and for several
limits. The batches are made by the hundred; `--minutes` stops before the next hundred once so much
time has passed. Prints markdown tables with standard errors, and ends with status 1 when a
requirement is missed by more than two of them.
"""

from __future__ import annotations

import argparse
import math
import sys
import time
from collections import Counter, defaultdict
from collections.abc import Callable
from dataclasses import dataclass, field
from decimal import Decimal
from multiprocessing import Pool
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from qlog.study.drift.forecast import Forecast, forecast
from qlog.study.drift.trend_test import assess

Movement = Callable[[float], float]
PLANNED = 20
READ = (8, 12, 16)
HUNDRED = 100
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
SAID = ("next", "last", "all together")
RATES = (0.5, 0.75, 1.0)
PAST = (17, 18, 20)
RAMPS = [(ramp, n) for ramp in (2, 3, 4, 5, 6) for n in (8, 12, 20)]
#: So many pieces after the first alarm the limit is passed.
AFTER_ALARM = 3


@dataclass
class Seen:
    """What so many batches of every case showed.

    `said` holds by what a chance is about, shape and readings: the chance, and whether it came.
    `overstated` holds by creep and pieces what the line and what is told had too much, and whether
    the crossing was told within one piece, or too late.
    """

    batches: int = 0
    counts: Counter[tuple[object, ...]] = field(default_factory=Counter)
    said: dict[tuple[str, str, int], list[tuple[float, bool]]] = field(
        default_factory=lambda: defaultdict(list)
    )
    overstated: dict[tuple[int, int], list[tuple[float, ...]]] = field(
        default_factory=lambda: defaultdict(list)
    )

    def add(self, other: Seen) -> None:
        self.batches += other.batches
        self.counts.update(other.counts)
        for key, pairs in other.said.items():
            self.said[key] += pairs
        for case, differences in other.overstated.items():
            self.overstated[case] += differences


def hundred(seeds: tuple[int, int]) -> Seen:
    """A hundred batches of every case; the random numbers begin anew for every hundred."""
    rng = np.random.default_rng(seeds)
    seen = Seen(HUNDRED)
    for name in SHAPES:
        followed(name, seen, rng)
    for rate in RATES:
        crossing(rate, seen, rng)
    settling(seen, rng)
    for ramp, n in RAMPS:
        first_alarm(ramp, n, seen, rng)
    return seen


def made(movement: Movement, length: int, rng: np.random.Generator) -> list[list[float]]:
    moved = np.array([movement(i) for i in range(length)])
    return (moved + rng.standard_normal((HUNDRED, length))).tolist()  # type: ignore[no-any-return]


def followed(name: str, seen: Seen, rng: np.random.Generator) -> None:
    """Shapes told of finished batches, and what was forecast of them after 8, 12 and 16 pieces."""
    for number, values in enumerate(made(SHAPES[name][1], PLANNED, rng)):
        whole = assess(range(1, PLANNED + 1), values, planned=PLANNED)
        seen.counts[name, "told", whole.shape.value] += 1
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
            for what, place in (("next", 0), ("last", -1)):
                coming = ahead.coming[place]
                held = coming.low <= values[read:][place] <= coming.high
                seen.counts[name, what, read] += held
                seen.said[what, name, read].append((coming.chance_inside or 0.0, inside[place]))
            if together:
                seen.said["all together", name, read].append((ahead.chance_all or 0.0, all(inside)))


def crossing(rate: float, seen: Seen, rng: np.random.Generator) -> None:
    """Late creeps that are found at the 15th piece; told are the expected piece and the stretch."""
    for values in made(lambda i: rate * max(0, i - 9), 15, rng):
        drift = assess(range(1, 16), values, planned=PLANNED)
        if not drift.goes_on:
            continue
        seen.counts[rate, "found"] += 1
        for past in PAST:
            # The piece of that number is the first one past the limit.
            limit = Decimal(rate * (past - 10.5))
            outlook = forecast(drift, planned=PLANNED, lower=None, upper=limit, joint=False)
            assert outlook is not None
            leaves = outlook.leaves or 999
            first, last = stretch(outlook)
            seen.counts[rate, past, "point"] += abs(leaves - past) <= 1
            seen.counts[rate, past, "late"] += leaves > past + 1
            seen.counts[rate, past, "stretch"] += first <= past <= last
            seen.counts[rate, past, "behind"] += first > past


def stretch(outlook: Forecast) -> tuple[int, int]:
    """The pieces among which the crossing is told; else the expected one, give or take one."""
    leaves = outlook.leaves or 999
    return outlook.between or (leaves - 1, leaves + 1)


def settling(seen: Seen, rng: np.random.Generator) -> None:
    """A settling that was found, and whether a crossing was foretold of it all the same."""
    for values in made(lambda i: -5 * math.exp(-i / 1.5), 14, rng):
        drift = assess(range(1, 15), values, planned=PLANNED)
        if not drift.found:
            continue
        outlook = forecast(drift, planned=PLANNED, lower=None, upper=Decimal("2.5"), joint=False)
        assert outlook is not None
        foretold = outlook.leaves is not None and outlook.leaves <= PLANNED
        called = drift.shape == "settling"
        seen.counts["settling", "found"] += 1
        seen.counts["settling", "called"] += called
        seen.counts["settling", "foretold"] += foretold
        seen.counts["settling", "wrongly"] += foretold and called


def first_alarm(ramp: int, n: int, seen: Seen, rng: np.random.Generator) -> None:
    for values in made(lambda i: ramp * i / (n - 1), n, rng):
        # What was found after a piece stays found: the finished batch knows the first one.
        read = assess(range(1, n + 1), values, planned=n).found_at
        if read is None:
            continue
        drift = assess(range(1, read + 1), values[:read], planned=n)
        assert drift.found
        if drift.goes_on and drift.line is not None:
            told = (drift.change or 0) * drift.shrink * (n - 1) / (read - 1)
            past = read + AFTER_ALARM
            limit = Decimal(ramp * (past - 1.5) / (n - 1))
            outlook = forecast(drift, planned=past + 5, lower=None, upper=limit, joint=False)
            assert outlook is not None
            first, last = stretch(outlook)
            line = drift.line.slope * (n - 1)
            seen.overstated[ramp, n].append(
                (line - ramp, told - ramp, first <= past <= last, first > past)
            )


def share(hits: float, of: int) -> tuple[float, float]:
    part = hits / of if of else math.nan
    return part, math.sqrt(part * (1 - part) / of) if of else math.nan


def tell_shapes(seen: Seen) -> None:
    kinds = ("creep", "late creep", "run-in", "jump", "settling")
    print(f"| readings | found | {' | '.join(kinds)} |")
    print("|---|---|---|---|---|---|---|")
    for name in SHAPES:
        found = seen.batches - seen.counts[name, "told", "level"]
        parts = [f"{seen.counts[name, 'told', kind] / max(found, 1):.0%}" for kind in kinds]
        print(f"| {name} | {found / seen.batches:.1%} | {' | '.join(parts)} |")


def tell_intervals(seen: Seen) -> int:
    print("\n| readings | read | interval of the next piece holds | of the last piece (>= 93 %) |"
          " |")  # fmt: skip
    print("|---|---|---|---|---|")
    missed = 0
    for name in SHAPES:
        for read in READ:
            (a, ea), (b, eb) = (
                share(seen.counts[name, what, read], seen.batches) for what in ("next", "last")
            )
            met = b + 2 * eb >= 0.93
            missed += not met
            print(f"| {name} | {read} | {a:.1%} ± {ea:.1%} | {b:.1%} ± {eb:.1%} |"
                  f" {'met' if met else 'missed'} |")  # fmt: skip
    return missed


def tell_chances(seen: Seen) -> int:
    """Chances said to be inside, beside how often it came: no less often than was said."""
    print("\n| readings | read | next inside: said, came | last: said, came |"
          " all together: said, came |")  # fmt: skip
    print("|---|---|---|---|---|")
    for name in SHAPES:
        for read in READ:
            pairs = [np.mean(np.array(seen.said[what, name, read], float), axis=0) for what in SAID]
            cells = " | ".join(f"{a:.1%}, {b:.1%}" for a, b in pairs)
            print(f"| {name} | {read} | {cells} |")
    print("\n| all shapes | said | said on average | came | (no less than said) |"
          " came least often against what was said |")  # fmt: skip
    print("|---|---|---|---|---|---|")
    cases = [(name, read) for name in SHAPES for read in READ]
    missed = 0
    for what in SAID:
        rows = np.array([(SHAPES[name][0], i, chance, came) for i, (name, read) in enumerate(cases)
                         for chance, came in seen.said[what, name, read]], float)  # fmt: skip
        for tenth in range(10):
            within = rows[(rows[:, 2] * 10).clip(0, 9.999).astype(int) == tenth]
            if len(within) < 100:
                continue
            weights = within[:, 0] / within[:, 0].sum()
            chance, came = weights @ within[:, 2], weights @ within[:, 3]
            error = math.sqrt(came * (1 - came) * weights @ weights)
            met = came + 2 * error >= chance
            missed += not met
            least = min(100, len(within) // len(cases))
            short, case = min(
                (float(np.mean(those[:, 3] - those[:, 2])), f"{name}, {read} read")
                for i, (name, read) in enumerate(cases)
                if len(those := within[within[:, 1] == i]) >= least
            )
            print(f"| {what} | {tenth * 10} to {tenth * 10 + 10} % | {chance:.1%} |"
                  f" {came:.1%} ± {error:.1%} | {'met' if met else 'missed'} |"
                  f" {case}: {100 * short:+.0f} points |")  # fmt: skip
    return missed


def tell_crossings(seen: Seen) -> int:
    missed = 0
    print("\n| late creep from piece 10, 15 read | expected piece within one | too late |"
          " told within one piece | too late | (>= 60 %) |")  # fmt: skip
    print("|---|---|---|---|---|---|")
    for rate in RATES:
        found = seen.counts[rate, "found"]
        for past in PAST:
            point, late, hits, behind = (
                seen.counts[rate, past, what] for what in ("point", "late", "stretch", "behind")
            )
            (a, ea), (b, eb) = share(hits, found), share(point, found)
            met = a + 2 * ea >= 0.6 or past != 18
            missed += not met
            print(f"| {rate} s a piece, past with piece {past} ({found} found) | {b:.1%} ± {eb:.1%}"
                  f" | {late / found:.1%} | {a:.1%} ± {ea:.1%} | {behind / found:.1%} |"
                  f" {'for reading' if past != 18 else 'met' if met else 'missed'} |")  # fmt: skip
    found, called, foretold, wrongly = (
        seen.counts["settling", what] for what in ("found", "called", "foretold", "wrongly")
    )
    a, ea = share(foretold, found)
    print(f"| settling of 5 s, limit at 2.5 s, 14 read ({found} found, {called} of them told as a"
          f" settling): crossing foretold | {a:.1%} ± {ea:.1%} | | | | {wrongly} of the settlings:"
          f" {'missed' if wrongly else 'met'} |")  # fmt: skip
    return missed + (wrongly > 0)


def tell_alarms(seen: Seen) -> None:
    print("\n| creep over the batch | pieces | found | change overstated at the first alarm: line |"
          " told | root mean square error: line | told |"
          f" past {AFTER_ALARM} pieces later: told within one | too late |")  # fmt: skip
    print("|---|---|---|---|---|---|---|---|---|")
    for ramp, n in RAMPS:
        rows = np.array(seen.overstated[ramp, n], float)
        if not len(rows):
            continue
        line, told, hits, late = rows.mean(axis=0)
        error = rows[:, 1].std() / math.sqrt(len(rows))
        wide, wrong = np.sqrt((rows[:, :2] ** 2).mean(axis=0))
        print(f"| {ramp} s | {n} | {len(rows) / seen.batches:.1%} | {line:+.2f} s |"
              f" {told:+.2f} ± {error:.2f} s | {wide:.2f} s | {wrong:.2f} s |"
              f" {hits:.1%} | {late:.1%} |")  # fmt: skip


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--batches", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--processes", type=int, default=1)
    parser.add_argument("--minutes", type=float, default=math.inf)
    options = parser.parse_args()
    begun, seen = time.monotonic(), Seen()
    jobs = [(options.seed, number) for number in range(math.ceil(options.batches / HUNDRED))]
    with Pool(options.processes) as pool:
        for one in pool.imap(hundred, jobs):
            seen.add(one)
            if time.monotonic() - begun > 60 * options.minutes:
                break
    tell_shapes(seen)
    missed = tell_intervals(seen) + tell_chances(seen) + tell_crossings(seen)
    tell_alarms(seen)
    print(f"\n{seen.batches} batches a case, seed {options.seed}; {missed} requirements missed.")
    return int(missed > 0)


if __name__ == "__main__":
    sys.exit(main())
