"""Forecast of the coming pieces from the trend of a setup: where they will fall, and until when.

Plain Python throughout: the reading stream shows the forecast between two readings, and importing
numpy takes longer than all of `status`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from decimal import Decimal
from enum import StrEnum
from functools import lru_cache

from qlog.frozen import frozen
from qlog.study.distributions import chi_square_quantile, t_below, t_critical
from qlog.study.drift.shapes import GOING_ON, Fitted, TrendShape
from qlog.study.drift.trend_test import FittedLine, SetupDrift

#: Coverage of the prediction interval of each single piece.
COVERAGE = 0.95
#: By how much the shapes differ in what they expect counts so often; the shapes are few, and what
#: the batch will do is often none of them (`tests/benchmarks/forecast_coverage.py`).
REACH = 4.5
#: By how much the slope may change with each coming piece, in standard deviations of a reading:
#: what has not begun yet cannot be seen. With it the interval holds the last piece of a batch for
#: every shape (`tests/benchmarks/forecast_coverage.py`).
UNSTEADY = 0.13
#: Pieces of the stretch in which a crossing is the likeliest: one, and one either side.
ABOUT = 3
#: A stretch less likely than this is not told.
LIKELY = 0.5
#: A piece at an end of it that is less likely than this is left out.
HARDLY = 0.02
#: How far ahead the likeliest stretch is looked for.
NEAR = 30
#: How far beyond the last piece a crossing is looked for.
FAR = 1000
#: What floats may be off by, relative to a limit: a line through 8.012, 8.013, 8.014 reaches
#: 8.015, not a hair more.
DUST = 1e-12
#: Bounds of a joint chance so close together need no integral.
_CLOSE_ENOUGH = 3e-4


class Model(StrEnum):
    """What is carried forward: a line where something goes on, otherwise a level."""

    LINE = "line"
    LEVEL = "level"


@frozen
class Coming:
    """One coming piece: expected reading, its interval, and the chance to read inside."""

    piece: int
    expected: float
    low: float
    high: float
    chance_inside: float | None  # None without limits


@frozen
class Forecast:
    """Forecast of a batch from the readings of the running setup, in the unit of the readings.

    `leaves` is the first coming piece whose expected reading lies outside the limits, `over`
    the limit that it passes ("upper" or "lower"), `may_leave` the first whose interval reaches
    outside; both may lie beyond the planned batch and are None where nothing leaves.
    `between` holds the first and the last piece of the stretch in which the true size is likeliest
    to pass that limit; None where no stretch of three is likely, or none of them is planned.
    `good_left` counts the pieces before `leaves`. `chance_all` is the chance that every piece
    still planned reads inside; None without limits, with nothing left to make, or when not
    asked for.
    """

    model: Model
    last: int
    planned: int
    coming: tuple[Coming, ...]
    next: Coming
    lower: Decimal | None
    upper: Decimal | None
    leaves: int | None
    leaves_at: float | None
    over: str
    between: tuple[int, int] | None
    may_leave: int | None
    good_left: int | None
    chance_all: float | None
    fit: FittedLine


def forecast(
    drift: SetupDrift,
    *,
    planned: int,
    lower: Decimal | None,
    upper: Decimal | None,
    joint: bool = True,
) -> Forecast | None:
    """Forecast the pieces after the last one read, up to `planned`.

    What goes on (a creep, a late creep, a run-in) is carried on; a jump stays where it is, a
    settling comes to rest, and where nothing was found the level is carried on. Where the
    readings allow several shapes, the expected reading is their average and the interval is that
    of their mixture (Hoeting and others, Bayesian model averaging, Statistical Science 14 (1999)
    382-417), each with the prediction interval of a single new reading (Draper and Smith,
    Applied Regression Analysis, section 1.4), widened for what has not begun yet (`wandered`). It
    assumes that nothing is touched. `joint=False`
    leaves out `chance_all`, the only part that needs numpy and scipy.

    Returns None where one reading alone, without a pool, says nothing about scatter.
    Raises ValueError when the lower limit lies above the upper one.
    """
    if lower is not None and upper is not None and lower > upper:
        raise ValueError(f"lower limit {lower} lies above upper limit {upper}")
    mix = _mixture(drift)
    if mix is None or drift.last is None:
        return None
    low_limit = -math.inf if lower is None else float(lower)
    high_limit = math.inf if upper is None else float(upper)
    limited = lower is not None or upper is not None
    last = drift.last

    def coming(piece: int) -> Coming:
        low, high = mix.interval(piece)
        return Coming(
            piece,
            mix.expected(piece),
            low,
            high,
            mix.chance_inside(piece, low_limit, high_limit) if limited else None,
        )

    def leaving(piece: int) -> bool:
        return _outside(mix.expected(piece), low_limit, high_limit)

    def reaching(piece: int) -> bool:
        return any(_outside(end, low_limit, high_limit) for end in mix.interval(piece))

    leaves = _first(leaving, last + 1, planned) if limited else None
    may_leave = _first(reaching, last + 1, planned) if limited else None
    leaves_at = None if leaves is None else mix.expected(leaves)
    over = ""
    if leaves_at is not None:
        over = "upper" if leaves_at > high_limit else "lower"
    between = None
    if leaves is not None and leaves <= min(planned, last + NEAR) and mix.goes_on:
        between = _likeliest(mix, last, high_limit if over == "upper" else low_limit, over)
    pieces = tuple(coming(piece) for piece in range(last + 1, planned + 1))
    return Forecast(
        model=Model.LINE if mix.goes_on else Model.LEVEL,
        last=last,
        planned=planned,
        coming=pieces,
        next=coming(last + 1),
        lower=lower,
        upper=upper,
        leaves=leaves,
        leaves_at=leaves_at,
        over=over,
        between=between,
        may_leave=may_leave,
        good_left=None if leaves is None else leaves - last - 1,
        chance_all=_chance_all(mix, pieces, low_limit, high_limit) if joint and limited else None,
        fit=mix.plain,
    )


def _likeliest(mix: _Mixture, last: int, limit: float, over: str) -> tuple[int, int] | None:
    """The stretch of ABOUT coming pieces in which the limit is likeliest passed first.

    The expected crossing comes late as often as early; the likeliest stretch does not, because a
    crossing may be far ahead and cannot lie behind (`tests/benchmarks/forecast_coverage.py`).
    """
    passed, before = [0.0], 0.0
    for piece in range(last + 1, last + NEAR + 1):
        before = max(before, mix.chance_passed(piece, limit, over))
        passed.append(before)
    best = max(
        range(len(passed) - ABOUT),
        key=lambda k: (round(passed[k + ABOUT] - passed[k], 9), -k),
    )
    if passed[best + ABOUT] - passed[best] < LIKELY:
        return None
    first, final = best + 1, best + ABOUT
    while first < final and passed[first] - passed[first - 1] < HARDLY:
        first += 1
    while first < final and passed[final] - passed[final - 1] < HARDLY:
        final -= 1
    return last + first, last + final


def _chance_all(mix: _Mixture, pieces: Sequence[Coming], low: float, high: float) -> float | None:
    """Chance that all coming pieces lie between the limits; None where none is to come."""
    if len(pieces) < 2:
        return pieces[0].chance_inside if pieces else None
    numbers = [c.piece for c in pieces]
    return min(
        math.fsum(
            weight * chance_all_in(fit, numbers, lower=low, upper=high) for weight, fit in mix.main
        ),
        *(c.chance_inside for c in pieces if c.chance_inside is not None),
    )


def _first(holds: Callable[[int], bool], start: int, planned: int) -> int | None:
    """The first piece from `start` on of which something holds; it then holds ever after."""
    near = max(planned, start + 20)
    for piece in range(start, near + 1):
        if holds(piece):
            return piece
    low, high = near, near + FAR
    if not holds(high):
        return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if holds(middle) else (middle, high)
    return high


class _Mixture:
    """The shapes that the readings allow, weighed, and the ones that say what is expected."""

    def __init__(
        self,
        drift: SetupDrift,
        plain: FittedLine,
        every: Sequence[tuple[float, FittedLine | Fitted]],
    ) -> None:
        self.plain = plain
        self.every = every
        self.goes_on = drift.found and drift.shape in GOING_ON and drift.coincides is None
        wanted: list[tuple[float, FittedLine | Fitted]] = (
            [(w, f) for w, f in every if isinstance(f, Fitted) and f.shape in GOING_ON]
            if self.goes_on
            else [(w, f) for w, f in every if isinstance(f, Fitted) and f.shape is drift.shape]
        )
        if not wanted or (not self.goes_on and drift.shape is TrendShape.LEVEL):
            wanted = [(1.0, plain)]
        total = math.fsum(w for w, _ in wanted)
        self.wanted = [(w / total, f) for w, f in wanted]
        self.main = self._main()
        self.last = drift.last or 0
        self.believed = drift.shrink if self.goes_on else 1.0
        self._reaches = {f.df: t_critical(1 - COVERAGE, f.df) for _, f in every}

    def _main(self) -> list[tuple[float, FittedLine | Fitted]]:
        """The few that matter for the chance of all coming pieces together."""
        chosen = sorted(self.every, key=lambda pair: -pair[0])[:3]
        total = math.fsum(w for w, _ in chosen)
        return [(w / total, f) for w, f in chosen]

    def _at(self, fit: FittedLine | Fitted, piece: int) -> float:
        here = fit.at(self.last)
        return (
            here + self.believed * (fit.at(piece) - here) if self.believed != 1 else fit.at(piece)
        )

    def expected(self, piece: int) -> float:
        """Expected reading, averaged over the shapes of the kind that was found."""
        if len(self.wanted) == 1:
            return self._at(self.wanted[0][1], piece)
        return math.fsum(w * self._at(f, piece) for w, f in self.wanted)

    def interval(self, piece: int) -> tuple[float, float]:
        """Interval of one new reading, over all shapes that the readings allow."""
        if len(self.every) == 1:
            fit = self.every[0][1]
            middle, reach = self._at(fit, piece), self._reaches[fit.df] * fit.spread_at(piece)
            return middle - reach, middle + reach
        said = [(w, self._at(f, piece), self._reach(f, piece)) for w, f in self.every]
        middle = math.fsum(w * m for w, m, _ in said)
        square = math.fsum(w * (r * r + REACH**2 * (m - middle) ** 2) for w, m, r in said)
        reach = math.sqrt(square)
        expected = self.expected(piece)
        return min(middle - reach, expected), max(middle + reach, expected)

    def _reach(self, fit: FittedLine | Fitted, piece: int) -> float:
        """Half the interval of one shape, should its slope change on the way."""
        spread = math.hypot(fit.spread_at(piece), fit.s * wandered(piece - self.last))
        return self._reaches[fit.df] * spread

    def chance_passed(self, piece: int, limit: float, over: str) -> float:
        """Chance that the true size of a piece, without its scatter, lies past a limit."""
        total = 0.0
        for w, f in self.wanted:
            beyond = self._at(f, piece) - limit if over == "upper" else limit - self._at(f, piece)
            error = f.s * math.sqrt(1 / f.n + f.leverage(piece) ** 2)
            total += w * (t_below(beyond / error, f.df) if error else float(beyond > 0))
        return total

    def chance_inside(self, piece: int, low: float, high: float) -> float:
        """Chance that one new reading lies inside."""
        return math.fsum(
            w * _between(low, high, self._at(f, piece), f.spread_at(piece), f.df)
            for w, f in self.every
        )


def wandered(ahead: int) -> float:
    """Standard deviation of a level whose slope changes with each of so many pieces, in that of one
    reading: the slope is a random walk with steps of `UNSTEADY` (the smooth trend, or integrated
    random walk, of Harvey, Forecasting, Structural Time Series Models and the Kalman Filter, 2.3).
    """
    return UNSTEADY * math.sqrt(ahead * (ahead + 1) * (2 * ahead + 1) / 6)


def _mixture(drift: SetupDrift) -> _Mixture | None:
    plain = drift.line if drift.found and drift.shape in GOING_ON else drift.level
    if plain is None:
        return None
    if not drift.fits or plain.s == 0:
        return _Mixture(drift, plain, [(1.0, plain)])
    if drift.found:
        # A level was refuted; what is left of it is no reason to expect one.
        moving = [f for f in drift.fits if f.shape is not TrendShape.LEVEL]
        total = math.fsum(f.weight for f in moving)
        if moving:
            return _Mixture(drift, plain, [(f.weight / total, f) for f in moving])
        return _Mixture(drift, plain, [(1.0, plain)])
    return _Mixture(
        drift,
        plain,
        [(f.weight, plain if f.shape is TrendShape.LEVEL else f) for f in drift.fits],
    )


def _outside(value: float, low: float, high: float) -> bool:
    """Whether a computed value lies outside; on the limit is inside, binary dust or not."""
    return value < low - DUST * abs(low) or value > high + DUST * abs(high)


def _between(low: float, high: float, expected: float, spread: float, df: int) -> float:
    if spread == 0:
        return float(not _outside(expected, low, high))
    below = 0.0 if math.isinf(low) else t_below((low - expected) / spread, df)
    above = 0.0 if math.isinf(high) else t_below((expected - high) / spread, df)
    return max(1.0 - below - above, 0.0)


def chance_all_in(
    fit: FittedLine | Fitted, pieces: Sequence[int], *, lower: float, upper: float
) -> float:
    """Chance that all these pieces read inside the limits, seen together.

    The readings share the fit's error, so their joint law is a multivariate t. It lies between
    what the pieces have alone: no more than the least likely piece's, no less than by Bonferroni's
    bound; where the two are within 3e-4 their middle is taken. Else, given the true level, slope
    and scatter the readings are independent normals, and that is integrated: trapezium sums over
    level and slope (the fit's two independent errors), Gauss-Legendre over the quantiles of the
    scatter. Deterministic, to about 3e-4. Infinite limits are absent ones.
    """
    if fit.s == 0:
        return float(not any(_outside(fit.at(piece), lower, upper) for piece in pieces))
    out = [1.0 - _between(lower, upper, fit.at(p), fit.spread_at(p), fit.df) for p in pieces]
    if math.fsum(out) - max(out) < _CLOSE_ENOUGH:
        return min(max(1.0 - (math.fsum(out) + max(out)) / 2, 0.0), 1.0)
    chance = 0.0
    for root, weight in _scatters(fit.df):
        sigma = fit.s * root * math.sqrt(2)
        ends = [
            (
                (lower - fit.at(p)) / sigma,
                (upper - fit.at(p)) / sigma,
                fit.leverage(p) / math.sqrt(2),
            )
            for p in pieces
        ]
        chance += weight * _given_scatter(ends, 1 / math.sqrt(2 * fit.n))
    return min(max(chance, 0.0), 1.0)


def _given_scatter(ends: Sequence[tuple[float, float, float]], level_unit: float) -> float:
    """Chance that all are inside for one true scatter, averaged over level and slope.

    `ends` holds for each piece how far the limits lie from what is expected, and its leverage, in
    root two times that scatter, as the error function wants them.
    """
    slopes = [i * 0.375 for i in range(-12, 13)] if any(e[2] for e in ends) else [0.0]
    levels = [i * 0.9 for i in range(-5, 6)]
    total = mass = 0.0
    erf = math.erf
    for slope in slopes:
        shifted = [(low - slope * lever, high - slope * lever) for low, high, lever in ends]
        slope_mass = math.exp(-slope * slope / 2)
        for level in levels:
            part = slope_mass * math.exp(-level * level / 2)
            mass += part
            shift = level * level_unit
            for low, high in shifted:
                part *= (erf(high - shift) - erf(low - shift)) / 2
            total += part
    return total / mass


@lru_cache(maxsize=64)
def _scatters(df: int) -> tuple[tuple[float, float], ...]:
    """True over found standard deviation at 16 Gauss-Legendre quantiles, with their weights."""
    return tuple(
        (math.sqrt(df / chi_square_quantile((node + 1) / 2, df)), weight / 2)
        for node, weight in _legendre(16)
    )


def _legendre(n: int) -> list[tuple[float, float]]:
    """Nodes and weights of Gauss-Legendre quadrature on -1..1.

    Newton's method on the Legendre polynomial from its recurrence (NIST Digital Library of
    Mathematical Functions, 18.9.1 and 3.5.15 and following).
    """
    found = []
    for i in range(n):
        x = math.cos(math.pi * (i + 0.75) / (n + 0.5))
        for _ in range(100):
            before, value = 1.0, x
            for k in range(2, n + 1):
                before, value = value, ((2 * k - 1) * x * value - (k - 1) * before) / k
            slope = n * (x * value - before) / (x * x - 1)
            x -= value / slope
            if abs(value / slope) < 1e-15:
                break
        found.append((x, 2 / ((1 - x * x) * slope * slope)))
    return found
