"""How rightly a late creep's crossing can be foretold at all: ours beside the best rule there is.

    python tests/benchmarks/late_creep_bound.py --batches 20000 --seed 1 --processes 2

The best rule is told that it is a late creep: level, then so much a piece from some piece on. It
takes every start from piece 2 to 13 and every rate up to 2 s a piece to be as likely, and knows
neither level nor scatter. Of all stretches of three pieces it names the one with the highest chance
by Bayes' theorem. Over creeps drawn just so no rule is right more often. First rows: such
creeps, found with the 15th piece, with the limit passed with piece 16 to 25, each as likely. Last
rows: the creeps of `forecast_coverage.py`, which all begin after piece 10. Prints markdown.
"""

from __future__ import annotations

import argparse
import math
import sys
from collections import Counter
from decimal import Decimal
from multiprocessing import Pool
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from qlog.study.drift.forecast import forecast
from qlog.study.drift.trend_test import assess

READ, PLANNED = 15, 20
STARTS = np.arange(2, 14)[:, None, None]
RATES = np.linspace(0.05, 2, 40)[None, :, None]
SCATTERS = np.exp(np.linspace(math.log(0.4), math.log(2.5), 30))[None, None, :]
PASSED_WITH = range(READ + 1, PLANNED + 6)
FIXED = (0.5, 0.75, 1.0)
HUNDRED = 100


def best_stretch(values: NDArray[np.float64], limits: list[float]) -> list[int]:
    """For each limit the first piece of the likeliest stretch of three."""
    pieces = np.arange(1, READ + 1)
    grown = np.maximum(0, pieces - STARTS[:, 0])  # start, piece
    centred = grown - grown.mean(axis=1)[:, None]
    off = values - values.mean()
    rates = RATES * SCATTERS
    squares = (
        off @ off
        - 2 * rates * (centred @ off)[:, None, None]
        + rates**2 * (centred**2).sum(axis=1)[:, None, None]
    )
    # The level is integrated out: a flat one takes a degree of freedom.
    score = -(READ - 1) * np.log(SCATTERS) - squares / (2 * SCATTERS**2)
    weight = np.exp(score - score.max())
    level = values.mean() - rates * grown.mean(axis=1)[:, None, None]
    ahead = np.arange(READ, READ + 31)[:, None, None, None]
    size = level + rates * np.maximum(0, ahead - STARTS)
    found = []
    for limit in limits:
        passed = (weight * ndtr((size - limit) / (SCATTERS / math.sqrt(READ)))).sum(axis=(1, 2, 3))
        found.append(READ + 1 + int(np.argmax(passed[3:] - passed[:-3])))
    return found


def hundred(job: tuple[int, int]) -> Counter[tuple[object, ...]]:
    """A hundred creeps as the best rule takes them, and a hundred of each fixed rate."""
    rng = np.random.default_rng(job)
    seen: Counter[tuple[object, ...]] = Counter()
    for _ in range(HUNDRED):
        start, rate = int(rng.integers(2, 14)), float(rng.uniform(0, 2))
        past = int(rng.integers(PASSED_WITH.start, PASSED_WITH.stop))
        look("drawn", start, rate, [past], seen, rng)
        for fixed in FIXED:
            look(fixed, 10, fixed, [17, 18, 20], seen, rng)
    return seen


def look(
    name: object,
    start: int,
    rate: float,
    pasts: list[int],
    seen: Counter[tuple[object, ...]],
    rng: np.random.Generator,
) -> None:
    values = rate * np.maximum(0, np.arange(1, READ + 1) - start) + rng.standard_normal(READ)
    drift = assess(range(1, READ + 1), values.tolist(), planned=PLANNED)
    if not drift.goes_on:
        return
    limits = [rate * (past - start - 0.5) for past in pasts]
    for past, limit, first in zip(pasts, limits, best_stretch(values, limits), strict=True):
        ahead = forecast(drift, planned=PLANNED, lower=None, upper=Decimal(limit), joint=False)
        assert ahead is not None
        leaves = ahead.leaves or 999
        told = ahead.between or (leaves - 1, leaves + 1)
        seen[name, past, "found"] += 1
        for rule, (low, high) in (("best", (first, first + 2)), ("ours", told)):
            seen[name, past, rule, "right"] += low <= past <= high
            seen[name, past, rule, "late"] += low > past


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--batches", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--processes", type=int, default=1)
    options = parser.parse_args()
    seen: Counter[tuple[object, ...]] = Counter()
    jobs = [(options.seed, i) for i in range(math.ceil(options.batches / HUNDRED))]
    with Pool(options.processes) as pool:
        for one in pool.imap_unordered(hundred, jobs):
            seen.update(one)
    print("| late creep, 15 read | found | best rule: right | too late | ours: right | too late |")
    print("|---|---|---|---|---|---|")
    tell(seen, "drawn at random, past with piece 16 to 25", [("drawn", p) for p in PASSED_WITH])
    for past in PASSED_WITH:
        tell(seen, f"of these, past with piece {past}", [("drawn", past)])
    for rate in FIXED:
        for past in (17, 18, 20):
            tell(seen, f"from piece 10, {rate} s a piece, past with piece {past}", [(rate, past)])
    tell(seen, "all three rates, past with piece 20", [(rate, 20) for rate in FIXED])
    print(f"\n{len(jobs) * HUNDRED} batches a case, seed {options.seed}.")


def tell(seen: Counter[tuple[object, ...]], name: str, cases: list[tuple[object, int]]) -> None:
    found = sum(seen[*case, "found"] for case in cases)
    cells = []
    for rule in ("best", "ours"):
        for what in ("right", "late"):
            part = sum(seen[*case, rule, what] for case in cases) / max(found, 1)
            cells.append(f"{part:.1%} ± {math.sqrt(part * (1 - part) / max(found, 1)):.1%}")
    print(f"| {name} | {found} | {' | '.join(cells)} |")


if __name__ == "__main__":
    main()
