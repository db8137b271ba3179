"""Cutting plans: which blanks come from which bar, so that the least bar is used up, exactly.

Lengths in one unit. n blanks from a bar take their lengths and n - 1 cuts; what is left over is
cut off once more where it is longer than nothing. The integer program over all patterns is the
classic one of Gilmore and Gomory (Operations Research 9, 1961), solved whole and not rounded.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal

from qlog.frozen import frozen

#: Patterns that are looked through at most: beyond that no home batch goes.
PATTERNS = 20_000


class NoPlan(ValueError):
    """Blanks that cannot be cut from the bars; `kind` says why, `name` names the blank."""

    def __init__(self, kind: str, name: str = "") -> None:
        super().__init__(kind)
        self.kind = kind
        self.name = name


@frozen
class Blank:
    """So many blanks of one length."""

    name: str
    length: Decimal
    count: int


@frozen
class Bar:
    """Bars of one length; `count` is None where as many as needed are to be had."""

    length: Decimal
    count: int | None = None


@frozen
class CutBar:
    """One bar as it is cut up; `rest` is what is left behind the last cut, the end included."""

    length: Decimal
    blanks: tuple[tuple[str, int], ...]
    rest: Decimal


@frozen
class CutPlan:
    """The bars to cut, longest first; `used` is their length, `blanks` that of what is wanted."""

    bars: tuple[CutBar, ...]
    used: Decimal
    blanks: Decimal


def cutting_plan(
    blanks: Sequence[Blank], bars: Sequence[Bar], *, kerf: Decimal, end: Decimal
) -> CutPlan:
    """The plan that takes the least length of bar, and among those the fewest bars.

    `kerf` is the width of a cut, `end` what stays in the chuck or vice of every bar. Raises NoPlan
    for a blank longer than every bar (`too long`), for bars that do not suffice (`too few`), and
    where there are more patterns than PATTERNS (`too many`).
    """
    wanted = [b for b in blanks if b.count > 0]
    for blank in wanted:
        if all(blank.length > bar.length - end for bar in bars):
            raise NoPlan("too long", blank.name)
    patterns: list[tuple[int, tuple[int, ...]]] = []
    for at, bar in enumerate(bars):
        for counts in _patterns(wanted, bar.length - end, kerf):
            patterns.append((at, counts))
            if len(patterns) > PATTERNS:
                raise NoPlan("too many")
    times = _solve(wanted, bars, patterns)
    left = {n: blank.count for n, blank in enumerate(wanted)}
    cut: list[CutBar] = []
    for (at, counts), many in zip(patterns, times, strict=True):
        for _ in range(many):
            own = {n: min(k, left[n]) for n, k in enumerate(counts)}
            for n, k in own.items():
                left[n] -= k
            cut.append(_bar(bars[at], wanted, own, kerf))
    cut.sort(key=lambda b: (-b.length, b.rest))
    return CutPlan(
        tuple(cut),
        sum((b.length for b in cut), Decimal(0)),
        sum((b.length * b.count for b in wanted), Decimal(0)),
    )


def _bar(bar: Bar, wanted: Sequence[Blank], own: Mapping[int, int], kerf: Decimal) -> CutBar:
    taken = sum((wanted[n].length * k for n, k in own.items()), Decimal(0))
    rest = bar.length - taken - (sum(own.values()) - 1) * kerf
    return CutBar(
        bar.length,
        tuple((wanted[n].name, k) for n, k in own.items() if k),
        max(rest - kerf, Decimal(0)),  # the last cut takes its kerf off what is left
    )


def _patterns(blanks: Sequence[Blank], room: Decimal, kerf: Decimal) -> Iterator[tuple[int, ...]]:
    """Every way to fill a bar to which no further blank could be added."""
    each = [b.length + kerf for b in blanks]
    looked = 0

    def fill(n: int, left: Decimal, counts: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
        nonlocal looked
        if n == len(blanks):
            looked += 1
            if looked > 10 * PATTERNS:
                raise NoPlan("too many")
            full = all(
                step > left or k >= b.count for step, k, b in zip(each, counts, blanks, strict=True)
            )
            if full and any(counts):
                yield counts
            return
        most = min(blanks[n].count, int(left // each[n]))
        lowest = most if n == len(blanks) - 1 else 0
        for k in range(most, lowest - 1, -1):
            yield from fill(n + 1, left - k * each[n], (*counts, k))

    # The last blank needs no cut behind it: as if the bar were longer by one kerf.
    yield from fill(0, room + kerf, ())


def _solve(
    wanted: Sequence[Blank], bars: Sequence[Bar], patterns: Sequence[tuple[int, tuple[int, ...]]]
) -> list[int]:
    """How often each pattern is cut."""
    if not wanted:
        return [0] * len(patterns)
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp

    lengths = np.array([float(bars[at].length) for at, _ in patterns])
    made = np.array([counts for _, counts in patterns], dtype=float).T
    needed = np.array([float(b.count) for b in wanted])
    of_bar = np.array([[float(at == n) for at, _ in patterns] for n in range(len(bars))])
    there = np.array([np.inf if b.count is None else float(b.count) for b in bars])
    # A bar more counts less than the smallest difference in length could.
    few = 1e-6 * float(min(b.length for b in bars)) / (sum(b.count for b in wanted) + 1)
    found = milp(
        lengths + few,
        integrality=np.ones(len(patterns), dtype=np.int64),
        bounds=Bounds(0, np.inf),
        constraints=[LinearConstraint(made, needed), LinearConstraint(of_bar, ub=there)],
        options={"mip_rel_gap": 0},
    )
    if found.x is None:
        raise NoPlan("too few")
    return [round(x) for x in found.x]
