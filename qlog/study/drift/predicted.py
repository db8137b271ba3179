"""Where coming pieces will read: one distribution for each of them alone and for all together.

Intervals and chances of a forecast come from it alike. Plain Python throughout, see `forecast`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

from qlog.study.distributions import chi_square_quantile, t_below, t_critical
from qlog.study.drift.shapes import Fitted
from qlog.study.drift.trend_test import FittedLine

#: By how much the slope may change with each coming piece, in standard deviations of a reading:
#: what has not begun yet cannot be seen. With it, and with degrees of freedom no more than TAILS (a
#: mixture of shapes has longer tails than any of them), the interval holds the last piece of a
#: batch for every shape (`tests/benchmarks/forecast_coverage.py`).
UNSTEADY = 0.12
TAILS = 5
#: What floats may be off by, relative to a limit: a line through 8.012, 8.013, 8.014 reaches
#: 8.015, not a hair more.
DUST = 1e-12
#: Bounds of a joint chance so close together need no integral.
_CLOSE_ENOUGH = 3e-4
#: The integral of the joint chance: reach of the normal scores, their step in standard deviations
#: of one reading, the smallest and the largest step in scores, quantiles of the scatter.
_REACH, _STEP, _STEP_FROM, _STEP_TO, _SCATTERS = 4.5, 1.2, 0.1, 1.125, 12


class Predicted:
    """The coming readings as one multivariate t: places, scales and what they have in common.

    `fits` are the shapes that the readings allow with their weights, which add up to 1; the last
    piece read is `last`. Of the movement after it the part `believed` is carried on. Place and
    squared scales are mean and covariance of the shapes' mixture (Hoeting and others, Bayesian
    model averaging, Statistical Science 14 (1999) 382-417), each shape with the prediction of a
    new reading (Draper and Smith, Applied Regression Analysis, section 1.4) and with a slope that
    is a random walk from here on, see `wandered`. The degrees of freedom are the fewest of any
    shape, TAILS at most. All in the unit of the readings.
    """

    def __init__(
        self, fits: Sequence[tuple[float, FittedLine | Fitted]], *, last: int, believed: float = 1.0
    ) -> None:
        self.fits, self.last, self.believed = fits, last, believed
        self.df = min(TAILS, *(fit.df for _, fit in fits))
        self._own = math.fsum(w * fit.s * fit.s for w, fit in fits)  # scale of one reading, squared
        self._seen: dict[int, tuple[float, tuple[float, ...]]] = {}

    def at(self, fit: FittedLine | Fitted, piece: int) -> float:
        """What one of the shapes expects of a piece."""
        if self.believed == 1:
            return fit.at(piece)
        here = fit.at(self.last)
        return here + self.believed * (fit.at(piece) - here)

    def middle(self, piece: int) -> float:
        """The place of a piece: the mean of what all shapes expect."""
        return self._placed(piece)[0]

    def _placed(self, piece: int) -> tuple[float, tuple[float, ...]]:
        """The place of a piece, and its independent errors that the other pieces have as well."""
        found = self._seen.get(piece)
        if found is None:
            places = [self.at(fit, piece) for _, fit in self.fits]
            middle = math.fsum(w * m for (w, _), m in zip(self.fits, places, strict=True))
            errors: list[float] = []
            for (w, fit), place in zip(self.fits, places, strict=True):
                root = math.sqrt(w)
                errors.append(root * (place - middle))
                errors += [root * fit.s * e for e in fit.errors(piece)]
            found = self._seen[piece] = (middle, tuple(errors))
        return found

    def shared(self, one: int, other: int) -> float:
        """What the readings of two pieces have in common, as a covariance, in squared units."""
        pairs = zip(self._placed(one)[1], self._placed(other)[1], strict=True)
        walked = wandered(one - self.last, other - self.last)
        return math.fsum(a * b for a, b in pairs) + self._own * walked

    def scale(self, piece: int) -> float:
        """Scale of the t of one piece."""
        return math.sqrt(self._own + self.shared(piece, piece))

    def interval(self, piece: int, coverage: float) -> tuple[float, float]:
        """Interval that holds one new reading of that piece with this chance."""
        reach = t_critical(1 - coverage, self.df) * self.scale(piece)
        return self.middle(piece) - reach, self.middle(piece) + reach

    def chance_inside(self, piece: int, low: float, high: float) -> float:
        """Chance that one new reading lies between two limits; infinite limits are absent ones."""
        middle, scale = self.middle(piece), self.scale(piece)
        if scale == 0:
            return float(not outside(middle, low, high))
        below = 0.0 if math.isinf(low) else t_below((low - middle) / scale, self.df)
        above = 0.0 if math.isinf(high) else t_below((middle - high) / scale, self.df)
        return max(1.0 - below - above, 0.0)

    def chance_all(self, pieces: Sequence[int], low: float, high: float) -> float:
        """Chance that all these pieces read between two limits, seen together.

        It is no more than the least likely piece's and no less than Bonferroni's bound; where
        the two are within 3e-4 their middle is taken. Else what the pieces have in common is put
        into two independent errors (Cholesky's decomposition with pivots, broken off: the rest of
        each piece's variance counts as its own), and given these and the true scatter they
        are independent normals: trapezium sums over both errors, Gauss-Legendre over the
        quantiles of the scatter. Deterministic, to about 0.003. Raises ValueError without pieces.
        """
        alone = [self.chance_inside(piece, low, high) for piece in pieces]
        least = min(alone)
        bound = max(1.0 - math.fsum(1.0 - chance for chance in alone), 0.0)
        if least - bound < _CLOSE_ENOUGH:
            return (least + bound) / 2
        common, own = self._common(pieces)
        # Those that leave first come first: most of the sum ends with them.
        order = sorted(range(len(pieces)), key=lambda i: alone[i])
        errors = [[error[i] / own[i] for i in order] for error in common]
        ends = [
            ((low - self.middle(pieces[i])) / own[i], (high - self.middle(pieces[i])) / own[i])
            for i in order
        ]
        chance = math.fsum(
            weight * _given_scatter(ends, errors, root) for root, weight in _scatters(self.df)
        )
        return min(max(chance, 0.0), least)

    def _common(self, pieces: Sequence[int]) -> tuple[list[list[float]], list[float]]:
        """Two independent errors over the pieces, and the standard deviation left to each."""
        left = [self.shared(piece, piece) for piece in pieces]
        errors: list[list[float]] = []
        for _ in range(2):
            pivot = max(range(len(pieces)), key=lambda i: left[i])
            root = math.sqrt(max(left[pivot], 0.0))
            if not root:
                errors.append([0.0] * len(pieces))
                continue
            one = [
                (self.shared(piece, pieces[pivot]) - sum(e[i] * e[pivot] for e in errors)) / root
                for i, piece in enumerate(pieces)
            ]
            errors.append(one)
            left = [max(rest - e * e, 0.0) for rest, e in zip(left, one, strict=True)]
        return errors, [math.sqrt(self._own + rest) for rest in left]


@lru_cache(maxsize=4096)
def wandered(one: int, other: int) -> float:
    """What two pieces so far ahead have in common by a slope that changes with each piece.

    A covariance in units of a reading's variance. The slope is a random walk with steps of
    `UNSTEADY` (the smooth trend, or integrated random walk, of Harvey, Forecasting, Structural
    Time Series Models and the Kalman Filter, 2.3).
    """
    near, apart = min(one, other), abs(one - other)
    squares = near * (near + 1) * (2 * near + 1) // 6
    return UNSTEADY**2 * (squares + apart * near * (near + 1) // 2)


def outside(value: float, low: float, high: float) -> bool:
    """Whether a computed value lies outside; on the limit is inside, binary dust or not."""
    return value < low - DUST * abs(low) or value > high + DUST * abs(high)


def _given_scatter(
    ends: Sequence[tuple[float, float]], errors: Sequence[Sequence[float]], root: float
) -> float:
    """Chance that all are inside for one true scatter, `root` times the one found.

    `ends` holds for each piece how far the limits lie from its place, `errors` what each of the two
    common errors moves it, both in standard deviations of what is its own.
    """
    half = math.sqrt(0.5)
    limits = [(low / root * half, high / root * half) for low, high in ends]
    first, second = ([e * half for e in error] for error in errors)
    total = mass = 0.0
    erf = math.erf
    others = _scores(max(map(abs, second)) / half)
    for score, weight in _scores(max(map(abs, first)) / half):
        moved = [
            (low - score * e, high - score * e, f)
            for (low, high), e, f in zip(limits, first, second, strict=True)
        ]
        for other, share in others:
            part = weight * share
            mass += part
            for low, high, f in moved:
                part *= (erf(high - other * f) - erf(low - other * f)) / 2
                if part < 1e-9:
                    break
            total += part
    return total / mass


@lru_cache(maxsize=256)
def _grid(count: int) -> tuple[tuple[float, float], ...]:
    scores = [_REACH * i / count for i in range(-count, count + 1)]
    return tuple((z, math.exp(-z * z / 2)) for z in scores)


def _scores(largest: float) -> tuple[tuple[float, float], ...]:
    """Normal scores with their weights, closer together where an error moves much."""
    step = min(max(_STEP / largest if largest else _STEP_TO, _STEP_FROM), _STEP_TO)
    return _grid(math.ceil(_REACH / step))


@lru_cache(maxsize=64)
def _scatters(df: int) -> tuple[tuple[float, float], ...]:
    """True over found standard deviation at Gauss-Legendre quantiles, with their weights."""
    return tuple(
        (math.sqrt(df / chi_square_quantile((node + 1) / 2, df)), weight / 2)
        for node, weight in _legendre(_SCATTERS)
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
