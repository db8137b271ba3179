"""Simulate whole batches and count what the drift test says, and of what shape.

    python tests/benchmarks/drift_simulation.py --batches 20000 --seed 1 [--parts known bound]

Prints markdown tables of estimate, standard error and requirement, and ends with status 1 where
a requirement is missed by more than two standard errors, or where the vectorised rule of this
script and `qlog.study.drift.trend_test.assess` disagree on any of the batches given to both.

Readings are independent normals of standard deviation 1 on movements of known shape. A false
alarm counts when the test, asked again after every piece, finds anything at any time in the
batch; a movement counts as found when the finished batch is said to have one.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy import special, stats
from scipy.optimize import linprog

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from qlog.study.drift.coincidence import Conditions
from qlog.study.drift.looks import look_levels
from qlog.study.drift.shapes import (
    SETTLES_OVER,
    WEIGHT_CREEP,
    WEIGHT_JUMP,
    WEIGHT_SETTLING,
    WEIGHTS_LATE,
    jump_places,
)
from qlog.study.drift.trend_test import CHOICE, POOL_TOO_NOISY, POOL_TOO_QUIET, Pooled, assess

Array = NDArray[np.float64]
COMPARED = 20


class Report:
    """What was asked for and what came, and whether everything held."""

    def __init__(self) -> None:
        self.missed = self.compared = self.disagreed = 0

    def row(self, name: str, said: NDArray[np.bool_], *, most: float = 1, least: float = 0) -> None:
        part = said.mean()
        error = float(np.sqrt(part * (1 - part) / len(said)))
        met = least - 2 * error <= part <= most + 2 * error
        self.missed += not met
        wanted = f"<= {most:.1%}" if most < 1 else f">= {least:.1%}" if least > 0 else "for reading"
        print(f"| {name} | {part:.2%} ± {error:.2%} | {wanted} | {'' if met else 'missed'} |",
              flush=True)  # fmt: skip


def shapes_at(order: Array, first: int) -> list[tuple[float, Array]]:
    k = len(order)
    places = jump_places(k)
    found = [(WEIGHT_CREEP, order)]
    found += [(w, np.maximum(order - order[int(part * k) - 1], 0)) for part, w in WEIGHTS_LATE]
    found.append((WEIGHT_SETTLING, np.exp(-(order - first) / SETTLES_OVER[1])))
    found += [(WEIGHT_JUMP / len(places), (np.arange(k) >= j) * 1.0) for j in places]
    return found


def spoken(
    values: Array, order: Sequence[int], planned: int, first: int = 1,
    pool: tuple[Array, int] | None = None, share: float = 1.0,
) -> NDArray[np.int64]:  # fmt: skip
    """For each batch the piece at which the first look speaks up; 0 for none."""
    at = np.zeros(len(values), np.int64)
    squares, more = (0.0, 0) if pool is None else pool
    for k, level in look_levels(order, planned, first):
        y = values[:, :k] - values[:, :k].mean(axis=1, keepdims=True)
        total = (y * y).sum(axis=1)
        hit = np.zeros(len(values), bool)
        for weight, shape in shapes_at(np.array(order[:k], float), first):
            v = shape - shape.mean()
            if v @ v < 1e-9:
                continue
            explained = (y @ v) ** 2 / (v @ v)
            critical = stats.t.isf(share * level * weight / 2, k - 2 + more)
            hit |= explained > critical**2 * (total - explained + squares) / (k - 2 + more)
        at = np.where(hit & (at == 0), order[k - 1], at)
    return at


def with_known(
    values: Array, order: Sequence[int], planned: int, pool: tuple[Array, int]
) -> tuple[NDArray[np.bool_], NDArray[np.int64]]:
    """Whether a batch with a known scatter ever speaks, and what the finished batch says.

    As in `assess`, the known scatter is left out after a reading while the own refutes it.
    """
    squares, more = pool
    joined = spoken(values, order, planned, 1, pool, CHOICE)
    alone = spoken(values, order, planned, 1, None, CHOICE)
    ever, at = np.zeros(len(values), bool), alone
    x = np.array(order, float)
    for k, _ in look_levels(order, planned, 1):
        line = x[:k] - x[:k].mean()
        y = values[:, :k] - values[:, :k].mean(axis=1, keepdims=True)
        own = (y * y).sum(axis=1) - (y @ line) ** 2 / (line @ line)
        ratio = own / (k - 2) / (squares / more)
        refuted = stats.f.sf(ratio, k - 2, more) < POOL_TOO_QUIET
        refuted |= stats.f.cdf(ratio, k - 2, more) < POOL_TOO_NOISY
        at = np.where(refuted, alone, joined)
        at = np.where(at <= k, at, 0)
        ever |= at > 0
    return ever, at


def compare(report: Report, values: Array, order: Sequence[int], planned: int, first: int) -> None:
    at = spoken(values[:COMPARED], order, planned, first)
    for row, found in zip(values[:COMPARED].tolist(), at, strict=True):
        drift = assess(list(order), row, planned=planned, first=first)
        report.compared += 1
        report.disagreed += (drift.found_at or 0) != found


def false_alarms(report: Report, count: int, rng: np.random.Generator) -> None:
    print("\n| steady readings | said anything | required | |\n|---|---|---|---|")
    for n in (5, 6, 7, 8, 9, 10, 11, 12, 14, 16, 20, 25, 30, 60):
        values = rng.standard_normal((count, n))
        order = range(1, n + 1)
        compare(report, values, order, n, 1)
        report.row(f"{n} pieces, own s", spoken(values, order, n) > 0, most=0.01)
        pool = rng.chisquare(30, count), 30
        ever, _ = with_known(values, order, n, pool)
        report.row(f"{n} pieces, s of earlier setups (30)", ever, most=0.01)
    for n, starts in ((12, (1, 7)), (20, (1, 11)), (20, (1, 8, 15)), (30, (1, 11, 21))):
        ever = np.zeros(count, bool)
        for first, end in zip(starts, (*starts[1:], n + 1), strict=True):
            values = rng.standard_normal((count, end - first))
            ever |= spoken(values, range(first, end), n, first) > 0
        report.row(f"{n} pieces, setups from {starts}", ever, most=0.01)
    for n, missing in ((12, {2}), (12, {4, 7}), (12, {6, 7, 8, 9}), (20, {3, 8, 13, 18}),
                       (20, {5, 7, 9, 11, 13, 15, 17, 19}), (20, {20})):  # fmt: skip
        order = [p for p in range(1, n + 1) if p not in missing]
        values = rng.standard_normal((count, len(order)))
        compare(report, values, order, n, 1)
        report.row(f"{n} pieces without {sorted(missing)}", spoken(values, order, n) > 0, most=0.01)
    for n in (8, 12, 20):
        values = rng.standard_normal((count, n))
        for i in range(1, n):
            values[:, i] = 0.5 * values[:, i - 1] + np.sqrt(0.75) * values[:, i]
        report.row(f"{n} pieces, serial correlation 0.5", spoken(values, range(1, n + 1), n) > 0)
    for n in (8, 12, 20):
        values = rng.standard_normal((count, n))
        # Whatever lies more than 1 s from the piece before is read again, up to three times.
        for i in range(1, n):
            for _ in range(3):
                off = np.abs(values[:, i] - values[:, i - 1]) > 1
                values[:, i] = np.where(off, rng.standard_normal(count), values[:, i])
        report.row(f"{n} pieces, read until it agrees", spoken(values, range(1, n + 1), n) > 0)


def power(report: Report, count: int, rng: np.random.Generator) -> None:
    print("\n| movement, own s | found in the finished batch | required | |\n|---|---|---|---|")
    wanted = {
        ("creep of 3 s", 10): 0.28, ("creep of 3 s", 12): 0.40, ("creep of 3 s", 20): 0.75,
        ("jump of 3 s in the middle", 20): 0.80, ("settling of 5 s, 1.5 pieces", 20): 0.60,
    }  # fmt: skip
    for n in (8, 10, 12, 20):
        i = np.arange(n)
        half = (n - 1) / 2
        movements = {
            "creep of 3 s": 3 * i / (n - 1),
            "late creep of 3 s from the middle": 3 * np.maximum(0, i - half) / half,
            "late creep of 3 s from three quarters": 3 * np.maximum(0, i - 1.5 * half) / half * 2,
            "jump of 3 s in the middle": 3.0 * (i >= n // 2),
            "jump of 3 s after three quarters": 3.0 * (i >= n * 3 // 4),
            "settling of 5 s, 1.5 pieces": 5 * np.exp(-i / 1.5),
        }
        for name, movement in movements.items():
            least = wanted.get((name, n), 0.0)
            v = movement - movement.mean()
            best = float(stats.nct.sf(stats.t.isf(0.005, n - 2), n - 2, np.sqrt(v @ v)))
            if name == "late creep of 3 s from the middle" and n == 20:
                least = best - 0.05
            at = spoken(rng.standard_normal((count, n)) + movement, range(1, n + 1), n)
            report.row(f"{n} pieces, {name} (one look at this very shape: {best:.0%})", at > 0,
                       least=least)  # fmt: skip
    for n in (12, 20):
        at = spoken(rng.standard_normal((count, n)) + np.arange(n), range(1, n + 1), n)
        print(f"| {n} pieces, creep of 1 s a piece: found at piece {at[at > 0].mean():.1f} | | | |")


def sittings(report: Report, count: int, rng: np.random.Generator) -> None:
    """Two sittings that differ by 1.4 s; `assess` itself, where the log knows the sittings."""
    print("\n| two sittings 1.4 s apart | | required | |\n|---|---|---|---|")
    for n in (8, 12, 20):
        values = rng.standard_normal((count, n)) + 1.4 * (np.arange(n) >= n // 2)
        at = spoken(values, range(1, n + 1), n)
        report.row(f"{n} pieces, sittings not known: something found", at > 0)
        known = [Conditions(sitting=1 + (i >= n // 2)) for i in range(n)]
        drifts = np.zeros(count, bool)
        for row in np.flatnonzero(at):
            drift = assess(
                range(1, n + 1), values[row].tolist(), planned=n, first=1, conditions=known
            )
            drifts[row] = drift.coincides is None
        report.row(f"{n} pieces, sittings known: said of the pieces", drifts, most=0.015)


def learnt(report: Report, count: int, rng: np.random.Generator) -> None:
    """Known scatter, 18 degrees of freedom, of readings that scattered as much as these, or not."""
    print("\n| known scatter (18) | steady | required | creep of 3 s | own s alone | |")
    print("|---|---|---|---|---|---|")
    more = 18
    for n in (5, 6, 8, 12, 20):
        order = range(1, n + 1)
        ramp = 3 * np.arange(n) / (n - 1)
        alone = spoken(rng.standard_normal((count, n)) + ramp, order, n) > 0
        for ratio in (1 / 3, 1 / 2, 2 / 3, 1.0, 1.5, 2.0, 3.0):
            squares = ratio**2 * rng.chisquare(more, count)
            values = rng.standard_normal((count, n))
            steady, at = with_known(values, order, n, (squares, more))
            for row in range(COMPARED):
                pooled = Pooled(float(np.sqrt(squares[row] / more)), more)
                drift = assess(order, values[row].tolist(), planned=n, pooled=pooled)
                report.compared += 1
                report.disagreed += (drift.found_at or 0) != at[row]
            _, found = with_known(values + ramp, order, n, (squares, more))
            part = steady.mean()
            error = float(np.sqrt(part * (1 - part) / count))
            bound = ratio >= 1
            met = not bound or part <= 0.01 + 2 * error
            report.missed += not met
            print(f"| {n} pieces, {ratio:.2g} times this one's | {part:.2%} ± {error:.2%} |"
                  f" {'<= 1.0%' if bound else 'for reading'} | {(found > 0).mean():.1%} |"
                  f" {alone.mean():.1%} | {'' if met else 'missed'} |", flush=True)  # fmt: skip


def _cells(slopes: Array, squares: Array, df: int, s: float, away: float) -> Array:
    inside = stats.norm.cdf(slopes / s - away) - stats.norm.cdf(-slopes / s - away)
    return np.outer(np.diff(inside), np.diff(stats.chi2.cdf(squares / s**2, df))).ravel()


def siblings() -> None:
    """What siblings' scatter could at best bring, were the false alarm kept at 1 % for them all.

    One look at n readings; the siblings' scatter is known exactly; the own may be 1/3 to 3 times
    as much. The most powerful rule is the solution of a linear programme over a fine grid of
    slope and own sum of squares (Neyman and Pearson's lemma for a composite hypothesis).
    """
    print("\n| pieces, creep of 3 s, one look | own s | pooled s | best rule for all ratios |")
    print("|---|---|---|---|")
    for n in (8, 12, 20):
        x = np.arange(n) - (n - 1) / 2
        away, df = 3 / (n - 1) * np.sqrt(x @ x), n - 2
        slopes = np.concatenate([np.linspace(0, 8, 80), [12, 1e3]])
        squares = np.concatenate([[0], np.geomspace(0.05, 10 * df, 70), [1e9]])

        ratios = np.geomspace(1 / 3, 3, 30)
        steady = np.array([_cells(slopes, squares, df, r, 0.0) for r in ratios])
        best = linprog(
            -_cells(slopes, squares, df, 1.0, float(away)),
            A_ub=steady,
            b_ub=np.full(30, 0.01),
            bounds=(0, 1),
            method="highs",
        )
        own = stats.nct.sf(stats.t.isf(0.005, df), df, away)
        pooled = stats.norm.sf(stats.norm.isf(0.005) - away)
        print(f"| {n} | {own:.1%} | {pooled:.1%} | {-best.fun:.1%} |", flush=True)


def known_bound(rng: np.random.Generator) -> None:
    """What a rule with known scatter could at best have, by the false alarms that it may raise.

    One look, the known scatter exactly known, which only helps; 1 % where the own is the same, so
    much where it is up to three times larger or smaller. Beside it the rule of `assess`.
    """
    print(
        "\n| pieces, creep of 3 s, one look, known scatter | `assess`: steady at worst | power |"
        " best rule at most 1 % | 1.5 % | 2 % | 3 % |\n|---|---|---|---|---|---|---|"
    )
    count = 400_000
    for n in (5, 6, 8, 12, 20):
        x = np.arange(n) - (n - 1) / 2
        away, df = float(3 / (n - 1) * np.sqrt(x @ x)), n - 2
        slopes = np.concatenate([np.linspace(0, 8, 80), [12, 1e3]])
        squares = np.concatenate([[0], np.geomspace(0.05, 10 * df, 70), [1e9]])
        ratios = np.geomspace(1 / 3, 3, 31)  # the middle one is 1
        steady = np.array([_cells(slopes, squares, df, r, 0.0) for r in ratios])
        moved = _cells(slopes, squares, df, 1.0, away)
        best = []
        for most in (0.01, 0.015, 0.02, 0.03):
            bounds = np.where(np.arange(31) == 15, 0.01, most)
            found = linprog(-moved, A_ub=steady, b_ub=bounds, bounds=(0, 1), method="highs")
            best.append(f"{-found.fun:.1%}")
        slope, scatter = rng.standard_normal(count), rng.chisquare(df, count)

        def spoke(s: float, away: float, level: float, n=n, slope=slope, scatter=scatter) -> Array:
            size, own = np.abs(s * slope + away), s * s * scatter
            out = stats.chi2.sf(own, n - 2) < POOL_TOO_QUIET
            out |= stats.chi2.cdf(own, n - 2) < POOL_TOO_NOISY
            alone = size / np.sqrt(own / (n - 2)) > stats.t.isf(level / 2, n - 2)
            return np.where(out, alone, size > stats.norm.isf(level / 2))

        level = 0.01
        for _ in range(6):  # 1 % where the scatter is the same
            level *= 0.01 / spoke(1.0, 0.0, level).mean()
        worst = max(spoke(s, 0.0, level).mean() for s in (1, 1.25, 1.5, 2, 2.5, 3))
        power = spoke(1.0, away, level).mean()
        print(f"| {n} | {worst:.1%} | {power:.1%} | {' | '.join(best)} |", flush=True)


def bounds(_: Report, __: int, rng: np.random.Generator) -> None:
    siblings()
    known_bound(rng)


def moderated(_: Report, count: int, rng: np.random.Generator) -> None:
    """One look at a creep in 8 pieces: own s, pooled, moderated and two-sided, side by side.

    Moderated: the variances of the dimension and its siblings are taken as drawn from one prior
    whose degrees of freedom and size are estimated from them (Smyth, Statistical Applications in
    Genetics and Molecular Biology 3 (2004) 3, section 6.2, from memory). Pooled: unless an F test
    at 2 % says that the siblings are quieter. Two-sided: as known scatter is used in `assess`.
    """
    n, df = 8, 6
    x = np.arange(n) - (n - 1) / 2
    print(
        "\n| 8 pieces, one look at 1 %, siblings scatter | siblings | steady: own s | pooled |"
        " moderated | two-sided | creep of 3 s: own s | pooled | moderated | two-sided |"
    )
    print("|" + "---|" * 10)
    for m in (2, 6):
        for ratio in (1 / 3, 1 / 2, 2 / 3, 1.0, 1.5, 2.0, 3.0):
            said = []
            for ramp in (0.0, 3.0):
                y = rng.standard_normal((count, n)) + ramp * np.arange(n) / (n - 1)
                slope = y @ x / np.sqrt(x @ x)
                own = ((y - y.mean(axis=1, keepdims=True)) ** 2).sum(axis=1) - slope**2
                others = ratio**2 * rng.chisquare(df, (count, m))
                pool, more = others.sum(axis=1), m * df

                def spoke(squares: Array, free: Array | float, level: float, slope=slope) -> Array:
                    critical = stats.t.isf(level / 2, free)
                    return slope**2 > critical**2 * squares / free

                alone = spoke(own, df, 0.01)
                ratios = own / df / (pool / more)
                joined = spoke(own + pool, df + more, 0.01)
                quiet = stats.f.sf(ratios, df, more)
                noisy = stats.f.cdf(ratios, df, more)
                out = (quiet < POOL_TOO_QUIET) | (noisy < POOL_TOO_NOISY)
                two = np.where(out, spoke(own, df, 0.01 * CHOICE),
                               spoke(own + pool, df + more, 0.01 * CHOICE))  # fmt: skip
                squares, free = _moderate(np.column_stack([own, others]) / df, df)
                said.append((alone, np.where(quiet < 0.02, alone, joined),
                             spoke(squares * free, free, 0.01), two))  # fmt: skip
            cells = " | ".join(
                f"{rule.mean():.1%} ± {np.sqrt(rule.mean() * (1 - rule.mean()) / count):.1%}"
                for rules in said
                for rule in rules
            )
            print(f"| {ratio:.2g} times as much | {m} | {cells} |", flush=True)


def _moderate(variances: Array, df: int) -> tuple[Array, Array]:
    """The first column's moderated variance, and its degrees of freedom."""
    e = np.log(variances) - special.digamma(df / 2) + np.log(df / 2)
    excess = e.var(axis=1, ddof=1) - special.polygamma(1, df / 2)
    half = np.full(len(e), 1e4)  # as good as endless where the variances differ no more than chance
    some = excess > 1e-3
    guess = 0.5 + 1 / excess[some]
    for _ in range(60):  # Newton's method for the inverse of the trigamma function
        value = special.polygamma(1, guess)
        guess += value * (1 - value / excess[some]) / special.polygamma(2, guess)
    half[some] = guess
    size = np.exp(e.mean(axis=1) + special.digamma(half) - np.log(half))
    prior = 2 * half
    return (prior * size + df * variances[:, 0]) / (prior + df), prior + df


PARTS: dict[str, Callable[[Report, int, np.random.Generator], None]] = {
    "alarms": false_alarms,
    "power": power,
    "sittings": sittings,
    "known": learnt,
    "bound": bounds,
    "siblings": moderated,
}


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--batches", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--parts", nargs="+", choices=[*PARTS], default=[*PARTS])
    options = parser.parse_args()
    start = time.process_time()
    report = Report()
    for part in options.parts:  # each with random numbers of its own
        PARTS[part](report, options.batches, np.random.default_rng([options.seed, *part.encode()]))
    print(
        f"\n{options.batches} batches a case, seed {options.seed}, "
        f"{time.process_time() - start:.0f} s; {report.compared} batches given to assess() too, "
        f"{report.disagreed} disagreed; {report.missed} requirements missed."
    )
    return int(report.missed > 0 or report.disagreed > 0)


if __name__ == "__main__":
    sys.exit(main())
