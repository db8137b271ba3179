"""Shapes that a setup's readings may follow over its pieces, fitted and tested by least squares.

A creep, a creep that begins late, a jump, a settling after the start (a machine that warms up),
and a run-in: a settling and a creep the same way. What is found is decided in `trend_test`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from enum import StrEnum
from functools import lru_cache
from itertools import accumulate

from qlog.frozen import frozen
from qlog.study.drift.looks import FIRST_LOOK


class TrendShape(StrEnum):
    """How the readings of a setup move over its pieces."""

    LEVEL = "level"
    CREEP = "creep"
    LATE_CREEP = "late creep"
    JUMP = "jump"
    SETTLING = "settling"
    RUN_IN = "run-in"


#: Shapes that go on: a limit ahead will be reached.
GOING_ON = (TrendShape.CREEP, TrendShape.LATE_CREEP, TrendShape.RUN_IN)

#: Weights of the tests at every look (see `looks.allowance`), calibrated together. Late creeps
#: are tested from the middle and from three quarters of the readings, jumps at every place at
#: once, a settling with the middle one of SETTLES_OVER.
WEIGHT_CREEP = 0.8
WEIGHTS_LATE = ((0.5, 0.9), (0.75, 0.15))
WEIGHT_JUMP = 0.04
WEIGHT_SETTLING = 0.04
#: Places of a jump that are tested at one look, at most.
MOST_JUMPS = 24
#: Pieces over which a settling falls to a third (e-folding), as fitted.
SETTLES_OVER = (0.75, 1.5, 3.0)
#: How likely each shape is before anything is read, for the weights of the fitted shapes.
_BEFOREHAND = {
    TrendShape.LEVEL: 2.0,
    TrendShape.CREEP: 1.0,
    TrendShape.LATE_CREEP: 1.0,
    TrendShape.JUMP: 0.5,
    TrendShape.SETTLING: 0.5,
    TrendShape.RUN_IN: 0.2,
}
#: Fitted shapes less likely than this share of the likeliest are not carried forward.
_NEGLIGIBLE = 0.01


#: One shape held against the readings at one look: itself, signed t, and its weight among all. A
#: plain tuple: a batch of 25 has a hundred.
Tested = tuple[TrendShape, float, float]


@frozen
class Fitted:
    """One shape through the readings: value = mean + sum of effects, see `at`.

    `place` is the last piece before a jump or a late creep, or the e-folding length of a
    settling in pieces. `effects` holds (coefficient, centre of its regressor, sum of squares);
    the second one of a run-in is its creep, made orthogonal to the settling by `lean`. `s` is
    the standard deviation about it with `df` degrees of freedom; `weight` how likely this shape
    is among all, given the readings.
    """

    shape: TrendShape
    place: float
    first: int
    n: int
    mean: float
    effects: tuple[tuple[float, float, float], ...]
    lean: float
    s: float
    df: int
    weight: float

    def at(self, piece: float) -> float:
        """Expected reading of a piece."""
        return self.mean + sum(
            c * (v - centre)
            for (c, centre, _), v in zip(self.effects, self._regressors(piece), strict=True)
        )

    def errors(self, piece: float) -> tuple[float, ...]:
        """Independent standard errors whose sum is that of the expected reading, in units of s."""
        return 1 / math.sqrt(self.n), *(
            (v - centre) / math.sqrt(squares)
            for (_, centre, squares), v in zip(self.effects, self._regressors(piece), strict=True)
        )

    def _regressors(self, piece: float) -> tuple[float, ...]:
        if self.shape is TrendShape.LEVEL:
            return ()
        v = _regressor(self.shape, self.place, self.first)(piece)
        return (v, piece - self.lean * v) if self.shape is TrendShape.RUN_IN else (v,)

    @property
    def slope(self) -> float:
        """Change per piece of what goes on; 0 for a shape that has come to rest."""
        return self.effects[-1][0] if self.shape in GOING_ON else 0.0


def _regressor(shape: TrendShape, place: float, first: int) -> Callable[[float], float]:
    if shape is TrendShape.CREEP:
        return lambda piece: piece
    if shape is TrendShape.LATE_CREEP:
        return lambda piece: max(piece - place, 0.0)
    if shape is TrendShape.JUMP:
        return lambda piece: float(piece > place)
    return lambda piece: math.exp(-(piece - first) / place)


class Sums:
    """Running sums of a setup's readings, so that every shape at every look costs little.

    Pieces count from the first one read, readings from the first reading: what is common to all
    costs no digits.
    """

    def __init__(self, order: Sequence[int], values: Sequence[float], first: int) -> None:
        self.order, self.first = order, first
        self.x = [float(piece - order[0]) for piece in order]
        self.base = values[0]
        self.y = [value - values[0] for value in values]
        self._x = _run(self.x)
        self._xx = _run(x * x for x in self.x)
        self._y = _run(self.y)
        self._yy = _run(y * y for y in self.y)
        self._xy = _run(x * y for x, y in zip(self.x, self.y, strict=True))
        self._settling: dict[float, tuple[list[float], list[float], list[float], list[float]]] = {}

    def total(self, k: int) -> float:
        """Sum of squares of the first k readings about their mean."""
        return max(self._yy[k] - self._y[k] ** 2 / k, 0.0)

    def mean(self, k: int) -> float:
        """Mean of the first k readings."""
        return self.base + self._y[k] / k

    def creep(self, k: int) -> tuple[float, float, float]:
        """Regressor's mean, sum of squares and sum of products with the readings, centred."""
        return self._centred(k, self._x[k], self._xx[k], self._xy[k])

    def late(self, k: int, j: int) -> tuple[float, float, float]:
        """The same for what grows from the j-th reading on."""
        start = self.x[j - 1]
        count, x, y = k - j, self._x[k] - self._x[j], self._y[k] - self._y[j]
        squares = self._xx[k] - self._xx[j] - 2 * start * x + count * start * start
        return self._centred(k, x - count * start, squares, self._xy[k] - self._xy[j] - start * y)

    def jump(self, k: int, j: int) -> tuple[float, float, float]:
        """The same for a step after the j-th reading."""
        return self._centred(k, float(k - j), float(k - j), self._y[k] - self._y[j])

    def best_jump(self, k: int, places: Sequence[int]) -> tuple[float, float, float]:
        """The same for a step at the place that explains the most."""
        y, whole, most, best = self._y, self._y[k], -1.0, places[0]
        for j in places:
            v = k - j
            vy = whole - y[j] - v * whole / k
            explained = vy * vy / (v - v * v / k)
            if explained > most:
                most, best = explained, j
        return self.jump(k, best)

    def jumps_more(self, k: int, squares: float) -> bool:
        """Whether a step at one of the places explains more than that sum of squares."""
        y, whole = self._y, self._y[k]
        for j, v, vv in _steps(k):
            vy = whole - y[j] - v * whole / k
            if vy * vy > squares * vv:
                return True
        return False

    def settling(self, k: int, over: float) -> tuple[float, float, float]:
        """The same for what falls off from the first piece of the setup, e-fold in `over`."""
        e, ee, ey, _ = self._settled(over)
        return self._centred(k, e[k], ee[k], ey[k])

    def settling_with_creep(self, k: int, over: float) -> float:
        """Sum of products of the settling and the creep, centred."""
        e, _, _, ex = self._settled(over)
        return ex[k] - e[k] * self._x[k] / k

    def _settled(self, over: float) -> tuple[list[float], list[float], list[float], list[float]]:
        found = self._settling.get(over)
        if found is None:
            falls = [math.exp(-(piece - self.first) / over) for piece in self.order]
            found = self._settling[over] = (
                _run(falls),
                _run(e * e for e in falls),
                _run(e * y for e, y in zip(falls, self.y, strict=True)),
                _run(e * x for e, x in zip(falls, self.x, strict=True)),
            )
        return found

    def _centred(self, k: int, v: float, vv: float, vy: float) -> tuple[float, float, float]:
        return v / k, vv - v * v / k, vy - v * self._y[k] / k


def _run(values: Iterator[float] | Sequence[float]) -> list[float]:
    return list(accumulate(values, initial=0.0))


def jump_places(k: int) -> Sequence[int]:
    """After which of k readings a jump is tested: two at least on either side."""
    places = range(2, k - 1)
    if len(places) <= MOST_JUMPS:
        return places
    return [2 + (k - 4) * i // (MOST_JUMPS - 1) for i in range(MOST_JUMPS)]


@lru_cache(maxsize=256)
def _steps(k: int) -> tuple[tuple[int, int, float], ...]:
    """The places of `jump_places`, the readings behind each, and the step's sum of squares."""
    return tuple((j, k - j, (k - j) - (k - j) * (k - j) / k) for j in jump_places(k))


def weights(k: int) -> tuple[float, ...]:
    """The weights of the shapes at a look at k readings, in the order of `tested`."""
    # Each place has the same weight, and t grows with what it explains: the best one speaks.
    late = (weight for _, weight in WEIGHTS_LATE)
    return (WEIGHT_CREEP, *late, WEIGHT_SETTLING, WEIGHT_JUMP / len(jump_places(k)))


def quiet(sums: Sums, k: int, shares: Sequence[float], squares: float) -> bool:
    """Whether every shape explains no more of the first k readings than the share given for it.

    Shares of the sum of squares about the mean and `squares`, in the order of `tested`. Most
    looks are quiet, and this takes a third of the time that the figures take.
    """
    whole = sums.total(k) + squares
    creep, *late, settling, jump = shares
    _, vv, vy = sums.creep(k)
    if vy * vy > creep * whole * vv:
        return False
    for (part, _), share in zip(WEIGHTS_LATE, late, strict=True):
        _, vv, vy = sums.late(k, int(part * k))
        if vy * vy > share * whole * vv:
            return False
    _, vv, vy = sums.settling(k, SETTLES_OVER[1])
    return vy * vy <= settling * whole * vv and not sums.jumps_more(k, jump * whole)


def tested(sums: Sums, k: int, *, squares: float, df: int, floor: float) -> list[Tested]:
    """Every shape's t over the first k readings, the creep first, the jump at its best place.

    `squares` and `df` are what a known scatter adds to the sum of squares about a shape and to
    its k - 2 degrees of freedom, `floor` the least standard deviation (rounding).
    """
    total, freedom = sums.total(k), k - 2 + df
    cases = [(TrendShape.CREEP, sums.creep(k))]
    cases += [(TrendShape.LATE_CREEP, sums.late(k, int(part * k))) for part, _ in WEIGHTS_LATE]
    cases.append((TrendShape.SETTLING, sums.settling(k, SETTLES_OVER[1])))
    cases.append((TrendShape.JUMP, sums.best_jump(k, jump_places(k))))
    found: list[Tested] = []
    for (shape, (_, vv, vy)), weight in zip(cases, weights(k), strict=True):
        if vv <= 1e-9 or vy == 0:  # the setup begins too late for a settling to be seen
            found.append((shape, 0.0, weight))
            continue
        explained = vy * vy / vv
        s = max(math.sqrt((max(total - explained, 0.0) + squares) / freedom), floor)
        size = math.sqrt(explained) / s if s > 0 else math.inf
        found.append((shape, math.copysign(size, vy), weight))
    return found


def fits(
    sums: Sums, *, squares: float = 0.0, df: int = 0, floor: float = 0.0
) -> tuple[Fitted, ...]:
    """Every shape through all readings, the likeliest first, with weights that add up to 1.

    The weights are those of Schwarz's criterion (Annals of Statistics 6 (1978) 461-464), each
    place of a jump or a late creep sharing what is given to the shape; unlikely ones are left out.
    The places of a jump share it evenly, those of a late creep by the standard error of its rate:
    that makes every rate as likely beforehand wherever it begins, where equal shares would
    expect a steep one of a creep that has only just begun.
    """
    k = len(sums.x)
    total = sums.total(k)
    least = k * floor * floor + squares * k / (k + df) * 1e-12

    raw: list[
        tuple[float, TrendShape, float, tuple[tuple[float, float, float], ...], float, float]
    ] = []

    def add(
        shape: TrendShape,
        place: float,
        share: float,
        lean: float,
        *parts: tuple[float, float, float],
    ) -> None:
        if any(vv <= 1e-9 for _, vv, _ in parts):
            return
        explained = sum(vy * vy / vv for _, vv, vy in parts)
        about = max(total - explained, 0.0)
        spare = k - 1 - len(parts) + df
        if spare < 1:
            return
        score = (
            math.log(_BEFOREHAND[shape] * share)
            - (k + df) / 2 * math.log(max(about + squares, least, 1e-300))
            - len(parts) / 2 * math.log(k)
        )
        s = max(math.sqrt((about + squares) / spare), floor)
        effects = tuple((vy / vv, centre, vv) for centre, vv, vy in parts)
        raw.append((score, shape, place, effects, lean, s))

    add(TrendShape.LEVEL, 0.0, 1.0, 0.0)
    if k >= 3:
        add(TrendShape.CREEP, 0.0, 1.0, 0.0, sums.creep(k))
    if k >= FIRST_LOOK:
        # The creep has the reading before it as its start; three readings at least show it.
        late = [(j, sums.late(k, j)) for j in range(2, k - 2)]
        rates = sum(1 / math.sqrt(vv) for _, (_, vv, _) in late)
        for j, grown in late:
            share = 1 / math.sqrt(grown[1]) / rates
            add(TrendShape.LATE_CREEP, float(sums.order[j - 1]), share, 0.0, grown)
        jumps = range(2, k - 1)
        for j in jumps:
            add(TrendShape.JUMP, float(sums.order[j - 1]), 1 / len(jumps), 0.0, sums.jump(k, j))
        for over in SETTLES_OVER:
            settling = sums.settling(k, over)
            add(TrendShape.SETTLING, over, 1 / len(SETTLES_OVER), 0.0, settling)
            if k > FIRST_LOOK and settling[1] > 1e-9:
                centre, xx, xy = sums.creep(k)
                lean = sums.settling_with_creep(k, over) / settling[1]
                creep = (
                    centre - lean * settling[0],
                    xx - lean * lean * settling[1],
                    xy - lean * settling[2],
                )
                onward = creep[2] / creep[1] if creep[1] > 1e-9 else 0.0
                start = settling[2] / settling[1] - lean * onward
                if onward * start < 0:  # both the same way
                    add(TrendShape.RUN_IN, over, 1 / len(SETTLES_OVER), lean, settling, creep)
    best = max(score for score, *_ in raw)
    kept = [(math.exp(r[0] - best), r) for r in raw if r[0] - best > math.log(_NEGLIGIBLE)]
    everything = sum(weight for weight, _ in kept)
    return tuple(
        _fitted(sums, k, r, weight / everything, df)
        for weight, r in sorted(kept, key=lambda pair: -pair[0])
    )


def likeliest(shapes: Sequence[Fitted]) -> TrendShape | None:
    """The likeliest shape that moves: first whether it goes on, then which; None for none.

    A shape is as likely as all its places together.
    """
    moving = [f for f in shapes if f.shape is not TrendShape.LEVEL]
    if not moving:
        return None
    ahead = sum(f.weight for f in moving if f.shape in GOING_ON)
    goes_on = 2 * ahead > sum(f.weight for f in moving)
    totals: dict[TrendShape, float] = {}
    for f in moving:
        if (f.shape in GOING_ON) == goes_on:
            totals[f.shape] = totals.get(f.shape, 0.0) + f.weight
    return max(totals, key=lambda shape: totals[shape])


def _fitted(
    sums: Sums,
    k: int,
    raw: tuple[float, TrendShape, float, tuple[tuple[float, float, float], ...], float, float],
    weight: float,
    df: int,
) -> Fitted:
    _, shape, place, effects, lean, s = raw
    start = sums.order[0]
    # The sums count pieces from the first one read; a creep's centre is told as a piece.
    if shape is TrendShape.CREEP:
        effects = ((effects[0][0], effects[0][1] + start, effects[0][2]),)
    elif shape is TrendShape.RUN_IN:
        effects = (
            effects[0],
            (effects[1][0], effects[1][1] + start, effects[1][2]),
        )
    return Fitted(
        shape,
        place,
        sums.first,
        k,
        sums.mean(k),
        effects,
        lean,
        s,
        k - 1 - len(effects) + df,
        weight,
    )
