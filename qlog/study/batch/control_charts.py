"""Control charts: individuals and moving range, zone lines, run rules, EWMA, deviations.

They draw and they draw attention; whether a batch drifts is decided by the trend test. Limits
taken from the same few readings that they judge flag a steady batch far more or less often than
the textbook rate, which is for a known standard deviation: at least one point of a steady batch
lies outside its own limits in 0.45 % of batches of 5 readings, 1.6 % of 8, 2.1 % of 10, 2.7 % of 12
and 4.9 % of 20 (a million simulated batches, standard error 0.03 points).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from decimal import Decimal
from functools import cached_property
from itertools import accumulate, chain, pairwise

from qlog.frozen import Remembering, frozen
from qlog.study.distributions import incomplete_gamma

#: Mean range of two normal readings in standard deviations, to the three decimals of the
#: published tables (ISO 7870-2; NIST/SEMATECH e-Handbook 6.3.2.2), so that the limits agree with
#: every handbook's.
D2 = 1.128
#: Upper limit of a moving range of two, as a multiple of the mean range (same tables).
D4 = 3.267


@frozen
class Individuals:
    """Individuals and moving range chart; everything in the unit of the readings."""

    values: tuple[float, ...]
    ranges: tuple[float | None, ...]  # to the reading before; None at the start of a setup
    centre: float
    mean_range: float
    sigma: float  # mean range / d2
    lower: float  # centre - 3 sigma
    upper: float
    range_upper: float
    outside: tuple[int, ...]  # places of the points beyond the limits, from 0
    ranges_outside: tuple[int, ...]

    @property
    def zones(self) -> tuple[float, float, float, float]:
        """Zone lines at -2, -1, +1 and +2 sigma about the centre."""
        c, s = self.centre, self.sigma
        return (c - 2 * s, c - s, c + s, c + 2 * s)


@frozen
class RunRule:
    """A published run rule."""

    text: str
    points: int  # points that it looks at
    false_alarm: float  # chance per position of a steady process with known sigma, 0 to 1
    source: str
    test: Callable[[Sequence[float]], bool]  # on the last points as (value - centre) / sigma


@frozen
class Signal:
    """A stretch of points, from 0, both ends included, that a run rule points at."""

    rule: RunRule
    first: int
    last: int


@frozen
class Ewma:
    """Exponentially weighted moving average; everything in the unit of the readings."""

    points: tuple[float, ...]
    lower: tuple[float, ...]  # limits at each point, which widen from the start
    upper: tuple[float, ...]
    settled_lower: float  # limits after many points
    settled_upper: float
    outside: tuple[int, ...]  # places of the points beyond the limits at that point, from 0


@frozen
class Group:
    """Readings of one dimension on the nominal-deviation chart, in the order of making."""

    nominal: Decimal
    values: tuple[Decimal, ...]


@frozen
class Deviations(Remembering):
    """Nominal-deviation chart across dimensions cut alike; in the unit of the readings."""

    chart: Individuals  # of the deviations from nominal
    groups: tuple[tuple[float, ...], ...]  # the same deviations, dimension by dimension
    alpha: float

    @cached_property
    def p_spread(self) -> float | None:
        """Chance that spreads as different as these come from one; None where nobody can tell."""
        return _spread_p(self.groups)

    @property
    def comparable(self) -> bool:
        """Whether one pair of limits serves all: False where the spreads differ."""
        return self.p_spread is None or self.p_spread >= self.alpha


def individuals(values: Iterable[Decimal | float], starts: Iterable[int] = ()) -> Individuals:
    """Individuals and moving range limits of readings in the order of making.

    Centre -+ 3 mean range / 1.128, range limit 3.267 mean range: NIST/SEMATECH e-Handbook
    6.3.2.2. `starts` holds the places, from 0, where a new setup begins: no range is taken across
    one. Raises ValueError when no range is left.
    """
    x = [float(v) for v in values]
    begins = set(starts)
    ranges: list[float | None] = [
        None if i == 0 or i in begins else abs(x[i] - x[i - 1]) for i in range(len(x))
    ]
    known = [r for r in ranges if r is not None]
    if not known:
        raise ValueError("an individuals chart needs at least 2 readings of one setup")
    centre = math.fsum(x) / len(x)
    mean_range = math.fsum(known) / len(known)
    sigma = mean_range / D2
    lower, upper = centre - 3 * sigma, centre + 3 * sigma
    range_upper = D4 * mean_range
    return Individuals(
        values=tuple(x),
        ranges=tuple(ranges),
        centre=centre,
        mean_range=mean_range,
        sigma=sigma,
        lower=lower,
        upper=upper,
        range_upper=range_upper,
        outside=tuple(i for i, v in enumerate(x) if sigma > 0 and not lower <= v <= upper),
        ranges_outside=tuple(
            i for i, r in enumerate(ranges) if r is not None and sigma > 0 and r > range_upper
        ),
    )


def _all(points: int, test: Callable[[float], bool]) -> Callable[[Sequence[float]], bool]:
    return lambda z: len(z) == points and all(test(v) for v in z)


def _one_side(points: int) -> Callable[[Sequence[float]], bool]:
    return lambda z: len(z) == points and (all(v > 0 for v in z) or all(v < 0 for v in z))


def _some_beyond(least: int, zone: float) -> Callable[[Sequence[float]], bool]:
    return lambda z: sum(v > zone for v in z) >= least or sum(v < -zone for v in z) >= least


def _steady_run(points: int) -> Callable[[Sequence[float]], bool]:
    def test(z: Sequence[float]) -> bool:
        steps = [b - a for a, b in pairwise(z)]
        return len(z) == points and (all(s > 0 for s in steps) or all(s < 0 for s in steps))

    return test


def _zigzag(points: int) -> Callable[[Sequence[float]], bool]:
    def test(z: Sequence[float]) -> bool:
        steps = [b - a for a, b in pairwise(z)]
        return len(z) == points and all(a * b < 0 for a, b in pairwise(steps))

    return test


_NELSON = "Nelson 1984, Journal of Quality Technology 16, 237-239"

_BEYOND = RunRule("a point beyond 3 sigma", 1, 0.0027, _NELSON, _some_beyond(1, 3))
_TWO_OF_THREE = RunRule(
    "2 of 3 points beyond 2 sigma on one side", 3, 0.0031, _NELSON, _some_beyond(2, 2)
)
_FOUR_OF_FIVE = RunRule(
    "4 of 5 points beyond 1 sigma on one side", 5, 0.0055, _NELSON, _some_beyond(4, 1)
)

#: The eight tests of Nelson 1984, each with its own false-alarm rate per position.
NELSON = (
    _BEYOND,
    RunRule("9 points in a row on one side of the centre", 9, 0.0039, _NELSON, _one_side(9)),
    RunRule("6 points in a row rising or falling", 6, 0.0028, _NELSON, _steady_run(6)),
    RunRule("14 points in a row going up and down in turn", 14, 0.0046, _NELSON, _zigzag(14)),
    _TWO_OF_THREE,
    _FOUR_OF_FIVE,
    RunRule(
        "15 points in a row within 1 sigma", 15, 0.0033, _NELSON, _all(15, lambda v: abs(v) < 1)
    ),
    RunRule(
        "8 points in a row none within 1 sigma", 8, 0.0001, _NELSON, _all(8, lambda v: abs(v) > 1)
    ),
)


def signals(
    values: Iterable[Decimal | float],
    centre: float,
    sigma: float,
    rules: Sequence[RunRule] = NELSON,
) -> tuple[Signal, ...]:
    """The stretches that run rules point at, rule by rule, in the order of making.

    Values, centre and sigma in one unit; overlapping stretches of one rule are joined. With a
    sigma of 0 nothing can be said and nothing is. Raises ValueError for a negative sigma.
    """
    if sigma < 0:
        raise ValueError(f"a sigma is not negative: {sigma}")
    if sigma == 0:
        return ()
    z = [(float(v) - centre) / sigma for v in values]
    found: list[Signal] = []
    for rule in rules:
        own: list[Signal] = []
        for i in range(len(z)):
            first = max(0, i - rule.points + 1)
            if rule.test(z[first : i + 1]):
                if own and first <= own[-1].last:
                    own[-1] = Signal(rule, own[-1].first, i)
                else:
                    own.append(Signal(rule, first, i))
        found.extend(own)
    return tuple(found)


def ewma(
    values: Iterable[Decimal | float],
    target: float,
    sigma: float,
    *,
    weight: float = 0.3,
    width: float = 3.0,
) -> Ewma:
    """Exponentially weighted moving average of readings in the order of making.

    z = weight x + (1 - weight) z before, from the target on; limits target -+ width sigma
    sqrt(weight / (2 - weight) (1 - (1 - weight)^2i)): NIST/SEMATECH e-Handbook 6.3.2.4, which
    draws the settled ones. Everything in one unit; `sigma` is that of single readings. With
    weight 0.25 and width 2.998 a steady process with known sigma is flagged every 500 points on
    average (Lucas and Saccucci 1990, Technometrics 32, 1-12).

    Raises ValueError for a weight outside 0..1 or a negative sigma.
    """
    if not 0 < weight <= 1:
        raise ValueError(f"a weight lies above 0 and up to 1, not {weight}")
    if sigma < 0:
        raise ValueError(f"a sigma is not negative: {sigma}")
    settled = width * sigma * math.sqrt(weight / (2 - weight))
    points: list[float] = []
    halves: list[float] = []
    level = target
    for i, value in enumerate(values, start=1):
        level = weight * float(value) + (1 - weight) * level
        points.append(level)
        halves.append(settled * math.sqrt(1 - (1 - weight) ** (2 * i)))
    return Ewma(
        points=tuple(points),
        lower=tuple(target - h for h in halves),
        upper=tuple(target + h for h in halves),
        settled_lower=target - settled,
        settled_upper=target + settled,
        outside=tuple(
            i
            for i, (p, h) in enumerate(zip(points, halves, strict=True))
            if h > 0 and abs(p - target) > h
        ),
    )


def nominal_deviations(groups: Sequence[Group], alpha: float = 0.01) -> Deviations:
    """One chart for several dimensions that one machine, cut and instrument produced.

    Every reading minus its nominal, groups in the order of making (deviation from nominal:
    Montgomery, Introduction to Statistical Quality Control, chapter on short runs; from memory).
    No range is taken across two groups. One pair of limits serves only groups of like spread:
    Bartlett's test (NIST/SEMATECH e-Handbook 1.3.5.7) over the groups with 2 readings or more
    that are not all alike says whether they are, at `alpha`.

    Raises ValueError when no group has 2 readings.
    """
    own = tuple([tuple([float(v - g.nominal) for v in g.values]) for g in groups])
    starts = accumulate(map(len, own), initial=0)
    return Deviations(individuals(chain.from_iterable(own), starts), own, alpha)


def _spread_p(groups: Sequence[Sequence[float]]) -> float | None:
    """Bartlett's test that groups share one standard deviation: its p, no unit.

    NIST/SEMATECH e-Handbook 1.3.5.7. None unless two groups have two readings that differ.
    """
    usable = [g for g in groups if len(g) > 1 and max(g) > min(g)]
    if len(usable) < 2:
        return None
    from statistics import variance

    free = [len(g) - 1 for g in usable]
    variances = [variance(g) for g in usable]
    pooled = math.fsum(f * v for f, v in zip(free, variances, strict=True)) / sum(free)
    unlike = sum(free) * math.log(pooled) - math.fsum(
        f * math.log(v) for f, v in zip(free, variances, strict=True)
    )
    many = len(usable)
    correction = 1 + (math.fsum(1 / f for f in free) - 1 / sum(free)) / (3 * (many - 1))
    return 1.0 - incomplete_gamma((many - 1) / 2, max(0.0, unlike) / correction / 2)
