"""Drift within one setup: a test that may be asked again after every piece, and what it found.

At every look the readings are held against several shapes: a creep, a late creep, a jump, a
settling after the start. The whole batch has one chance of a false alarm, of at most 1 %, shared
out over looks and shapes (`looks`, `shapes`). What was found is then told by the shape that
the readings fit best.

Only the standard library is used here: the reading stream shows the trend between two readings.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from decimal import Decimal
from enum import StrEnum
from functools import cached_property, lru_cache
from itertools import pairwise

from qlog.frozen import Remembering, frozen
from qlog.study.distributions import f_above, normal_score, t_both_tails, t_critical
from qlog.study.drift.coincidence import Coincidence, Conditions, coincidence
from qlog.study.drift.first_alarm import believed
from qlog.study.drift.looks import look_levels
from qlog.study.drift.shapes import (
    GOING_ON,
    WEIGHT_CREEP,
    Fitted,
    Sums,
    Tested,
    TrendShape,
    fits,
    likeliest,
    quiet,
    tested,
    weights,
)

#: Known scatter (of earlier setups, of an earlier build) is left out while the dimension's own
#: about its line is larger than it can explain, at the first level, or smaller, at the second:
#: too little scatter would make a trend out of the own, too much would hide one. The first level is
#: the strictest that leaves nine tenths of the power that 0.15 has where the scatter is the same.
POOL_TOO_QUIET = 0.25
POOL_TOO_NOISY = 0.10
#: The part of each look's level that is left where scatter is known: the choice between the two
#: is a second chance to speak. All three are settled by `tests/benchmarks/drift_simulation.py`.
CHOICE = 0.9
#: The same for the scatter about the level, where nothing is lost: a drift too young to be proven
#: shows first as a scatter that the pool cannot explain.
LEVEL_POOL_REFUTED = 0.05
#: Coverage of the slope's interval.
COVERAGE = 0.95


class DriftStatus(StrEnum):
    """What the trend test found, or why it is silent."""

    DRIFTING = "drifting"  # it goes on: a creep, a late creep, a run-in
    JUMPED = "jumped"
    SETTLING = "settling"
    COINCIDES = "coincides"  # with a change of sitting, instrument, day ...
    STEADY = "steady"
    TOO_FEW = "too few"
    TOO_COARSE = "too coarse"
    TOO_SMALL = "too small to matter"


class Cause(StrEnum):
    """What the direction of a drift says about its cause."""

    WEAR = "wear"
    NOT_WEAR = "not wear"
    OPEN = ""  # the direction says nothing for this kind of dimension, or there is no drift


@frozen
class Pooled:
    """Scatter known beforehand: standard deviation, in the unit of the readings, and df."""

    s: float
    df: int

    def __post_init__(self) -> None:
        if not (math.isfinite(self.s) and self.s >= 0 and self.df >= 1):
            raise ValueError(f"a pool needs s >= 0 and df >= 1, not s = {self.s}, df = {self.df}")


@frozen
class FittedLine:
    """A line or a level through readings: value = mean + slope * (piece - centre).

    `s` is the standard deviation of one reading about it with `df` degrees of freedom, pool and
    floor included. A level has slope 0 and `sxx` infinite: its slope is not estimated.
    """

    n: int
    centre: float
    mean: float
    slope: float
    sxx: float
    s: float
    df: int

    def at(self, piece: float) -> float:
        """Expected reading of a piece."""
        return self.mean + self.slope * (piece - self.centre)

    def errors(self, piece: float) -> tuple[float, float]:
        """Independent standard errors whose sum is that of the expected reading, in units of s."""
        return 1 / math.sqrt(self.n), (piece - self.centre) / math.sqrt(self.sxx)


@frozen
class TrendLook:
    """One look of the sequential test: after `piece`, with the readings up to it."""

    piece: int
    n: int
    slope: float
    t: float  # of the creep
    df: int
    level: float  # the part of the allowance that the creep may use
    spoke: TrendShape  # the shape that spoke up at this look, LEVEL where none did

    @property
    def p(self) -> float:
        """Of the creep, two-sided."""
        return t_both_tails(self.t, self.df)

    @property
    def found(self) -> bool:
        """Whether this look found a movement."""
        return self.spoke is not TrendShape.LEVEL


@frozen
class Fitting(Remembering):
    """What the shapes are fitted to, and at which looks; see `assess` and `shapes.fits`.

    What nobody needs to know that there is no alarm is worked out when it is asked for.
    """

    order: tuple[int, ...]
    values: tuple[float, ...]
    first: int
    squares: float
    df: int
    floor: float
    levels: tuple[tuple[int, float], ...]  # of each look: at how many readings, and its level
    share: float  # part of each level that is left where scatter is known

    @cached_property
    def fits(self) -> tuple[Fitted, ...]:
        """Every shape through all readings, the likeliest first."""
        return fits(self._sums, squares=self.squares, df=self.df, floor=self.floor)

    @cached_property
    def looks(self) -> tuple[TrendLook, ...]:
        """All looks, each with the figures of the creep."""
        sums = self._sums
        return tuple(self._look(sums, k, self.share * level) for k, level in self.levels)

    @property
    def found_at(self) -> int | None:
        """The piece whose look was the first to speak; None where all were silent."""
        sums = self._sums
        for k, level in self.levels:
            if self._spoke(sums, k, self.share * level) is not TrendShape.LEVEL:
                return self.order[k - 1]
        return None

    @property
    def _sums(self) -> Sums:
        return Sums(self.order, self.values, self.first)

    def _spoke(self, sums: Sums, k: int, level: float) -> TrendShape:
        """The shape that speaks the loudest at a look, LEVEL where none does."""
        df = k - 2 + self.df
        spoke, loudest = TrendShape.LEVEL, 1.0
        if quiet(sums, k, _least_shares(level, k, df), self.squares):
            return spoke
        for shape, signed, weight in self._tested(sums, k):
            size = abs(signed)
            if size > normal_score(level * weight / 2):
                loud = size / t_critical(level * weight, df)
                if loud > loudest:
                    spoke, loudest = shape, loud
        return spoke

    def _look(self, sums: Sums, k: int, level: float) -> TrendLook:
        _, xx, xy = sums.creep(k)
        t, df = self._tested(sums, k)[0][1], k - 2 + self.df
        spoke = self._spoke(sums, k, level)
        return TrendLook(self.order[k - 1], k, xy / xx, t, df, level * WEIGHT_CREEP, spoke)

    def _tested(self, sums: Sums, k: int) -> list[Tested]:
        return tested(sums, k, squares=self.squares, df=self.df, floor=self.floor)


@lru_cache(maxsize=4096)
def _least_shares(level: float, k: int, df: int) -> tuple[float, ...]:
    """What a shape must explain of the sum of squares before its t needs to be looked at.

    A normal score is the least that t must reach, which spares most of the exact quantiles:
    t^2 = df * explained / (whole - explained). A little less, for what binary numbers lose.
    """
    reach = [normal_score(level * weight / 2) ** 2 for weight in weights(k)]
    return tuple(c / (df + c) * (1 - 1e-9) for c in reach)


@frozen
class SetupDrift:
    """The trend of one dimension in one setup; sizes in the unit of the readings.

    `change` is the fitted change from `first` to `last`, signed; `matters_from` the change that
    would matter; `found_at` the piece whose look found the trend first; `detectable` the change
    over these pieces that the last look finds with 50 % chance.
    `change` is that of the shape found: of a jump its height, of a settling all that is left of
    the start at the last piece. `shrink` is the part of a slope that is believed.
    """

    status: DriftStatus
    first: int | None
    last: int | None
    n: int
    line: FittedLine | None
    level: FittedLine | None
    slope_low: float | None
    slope_high: float | None
    change: float | None
    matters_from: float
    found_at: int | None
    detectable: float | None
    pooled: bool
    cause: Cause
    shape: TrendShape = TrendShape.LEVEL
    fitting: Fitting | None = None
    coincides: Coincidence | None = None
    shrink: float = 1.0

    @property
    def looks(self) -> tuple[TrendLook, ...]:
        """The looks of the sequential test; () with too few readings."""
        return () if self.fitting is None else self.fitting.looks

    @property
    def fits(self) -> tuple[Fitted, ...]:
        """The shapes that the readings allow, the likeliest first; () with too few readings."""
        return () if self.fitting is None else self.fitting.fits

    @property
    def slope(self) -> float | None:
        """Change per piece, of the shape found where it goes on; None below three readings.

        Corrected for what a first alarm overstates: it comes when chance has helped.
        """
        if self.shape in GOING_ON and self.fits:
            return self.shrink * self.found_fit.slope
        return self.line.slope if self.line else None

    @property
    def found_fit(self) -> Fitted:
        """The likeliest fit of the shape that was found."""
        return next(f for f in self.fits if f.shape is self.shape)

    @property
    def since(self) -> int | None:
        """Piece from which it runs: the start of a late creep, else the first one read."""
        if self.shape is TrendShape.LATE_CREEP:
            return int(self.found_fit.place)
        return self.first

    @property
    def jumped_at(self) -> int | None:
        """The last piece before a jump; None for other shapes."""
        return int(self.found_fit.place) if self.shape is TrendShape.JUMP else None

    @property
    def goes_on(self) -> bool:
        """Whether what was found matters and will go on."""
        return self.status is DriftStatus.DRIFTING

    @property
    def speaks(self) -> bool:
        """Whether something was found that matters, of whatever shape."""
        return self.status in (
            DriftStatus.DRIFTING,
            DriftStatus.JUMPED,
            DriftStatus.SETTLING,
            DriftStatus.COINCIDES,
        )

    @property
    def found(self) -> bool:
        """Whether a trend was found, be it large enough to matter or not."""
        return self.found_at is not None


@frozen
class _Sums:
    """Least squares sums of a stretch: centred, so that a size of 200 mm costs no digits."""

    n: int
    centre: float
    mean: float
    sxx: float
    sxy: float
    syy: float

    @property
    def slope(self) -> float:
        return self.sxy / self.sxx

    @property
    def about_line(self) -> float:
        if self.n < 3:
            return 0.0  # two points lie on their line
        return max(self.syy - self.sxy * self.sxy / self.sxx, 0.0)


def _sums(order: Sequence[int], values: Sequence[float]) -> _Sums:
    n = len(order)
    centre = math.fsum(order) / n
    # From the first reading: equal readings then differ by exactly nothing.
    offsets = [value - values[0] for value in values]
    mean = math.fsum(offsets) / n
    sxx = math.fsum((x - centre) ** 2 for x in order)
    sxy = math.fsum((x - centre) * (y - mean) for x, y in zip(order, offsets, strict=True))
    syy = math.fsum((y - mean) ** 2 for y in offsets)
    return _Sums(n, centre, values[0] + mean, sxx, sxy, syy)


def _checked(order: Sequence[int], values: Sequence[float | Decimal]) -> list[float]:
    if len(order) != len(values):
        raise ValueError(f"{len(order)} piece numbers for {len(values)} readings")
    if any(b <= a for a, b in pairwise(order)):
        raise ValueError(f"piece numbers must rise in the order of making: {list(order)}")
    if order and order[0] < 1:
        raise ValueError(f"piece numbers start at 1, not at {order[0]}")
    plain = [float(value) for value in values]
    if not all(math.isfinite(value) for value in plain):
        raise ValueError("a reading is not a finite number; leave out a piece without a reading")
    return plain


def _scatter(squares: float, df: int, pooled: Pooled | None, floor: float) -> tuple[float, int]:
    """Standard deviation and its df, own sum of squares and pool together, not below the floor."""
    if pooled:
        squares += pooled.df * pooled.s**2
        df += pooled.df
    return max(math.sqrt(squares / df), floor), df


def _refuted(
    pooled: Pooled | None, squares: float, df: int, too_quiet: float, too_noisy: float = 0.0
) -> bool:
    """Whether the setup's scatter is larger, or smaller, than the pool's can explain (F tests)."""
    if pooled is None or df < 1:
        return False
    if pooled.s == 0:
        return squares > 0
    ratio = squares / df / pooled.s**2
    if f_above(ratio, df, pooled.df) < too_quiet:
        return True
    return ratio == 0 or f_above(1 / ratio, pooled.df, df) < too_noisy if too_noisy else False


def pool(
    stretches: Iterable[tuple[Sequence[int], Sequence[float | Decimal]]],
) -> Pooled | None:
    """Pool the scatter of one dimension over its setups, or of its like in an earlier build.

    Each stretch is one setup, (piece numbers, readings); a line is taken out of each, so that a
    drift does not widen the pool, and its sum of squares enters with n - 2 degrees of freedom.
    Quieter stretches raise false alarms, which the F test in `assess` catches only in part.
    Returns None where no stretch has three readings.
    """
    squares, df = [], 0
    for order, values in stretches:
        plain = _checked(order, values)
        if len(plain) >= 3:
            squares.append(_sums(order, plain).about_line)
            df += len(plain) - 2
    if df == 0:
        return None
    return Pooled(math.sqrt(math.fsum(squares) / df), df)


def together(known: Iterable[Pooled | None]) -> Pooled | None:
    """What is known of one scatter from several sides, each by its degrees of freedom."""
    sides = [one for one in known if one is not None]
    df = sum(one.df for one in sides)
    if not sides:
        return None
    return Pooled(math.sqrt(math.fsum(one.s**2 * one.df for one in sides) / df), df)


def read_cause(slope: float, measures: str) -> Cause:
    """What the direction of a drift says: a worn tool leaves outsides large and bores small.

    `measures` is "outside" or "inside"; lengths, depths and the rest depend on which face is
    cut, so their direction says nothing. Common practice.
    """
    grows_with_wear = {"outside": True, "inside": False}.get(measures)
    if grows_with_wear is None or slope == 0:
        return Cause.OPEN
    return Cause.WEAR if (slope > 0) == grows_with_wear else Cause.NOT_WEAR


def assess(
    order: Sequence[int],
    values: Sequence[float | Decimal],
    *,
    planned: int,
    step: float | Decimal | None = None,
    tolerance: float | Decimal | None = None,
    pooled: Pooled | None = None,
    measures: str = "",
    first: int | None = None,
    conditions: Sequence[Conditions] = (),
) -> SetupDrift:
    """Test the readings of one setup for a trend, and say what was found.

    `order` holds the piece numbers of the batch in the order of making (rising; pieces without
    a reading are left out), `values` their readings, `planned` the pieces of the batch with the
    spares, `step` the display step of the instrument and `tolerance` the width of the
    tolerance, all in one unit. `pooled` is the scatter of this dimension in earlier setups, or
    in a build named to learn from, `first` the
    number of the first piece made in this setup where that is not the first one read.

    `conditions`, where given, tell for each reading how it was taken.

    After the 5th and every later reading each shape is held against Student's t (Draper and
    Smith, Applied Regression Analysis, section 1.4) at that look's level, see `looks`. The
    standard deviation is the dimension's own about the shape, joined by the pool unless the own
    scatter refutes it (F tests, see POOL_TOO_QUIET), and never below step / sqrt(12), the scatter
    that rounding alone makes. A movement once found stays found; its shape is the likeliest for
    all readings. It is reported only when the change over the pieces read reaches the larger of
    two display steps and a tenth of the tolerance.

    Where more pieces were made than planned, the batch counts as planned to the last one.

    Raises ValueError for piece numbers that do not rise, lengths that differ, a reading that is
    not finite, or a step or tolerance below zero.
    """
    plain = _checked(order, values)
    display = None if step is None else float(step)
    width = None if tolerance is None else float(tolerance)
    _check_asked(order, planned, display, width, first)
    n = len(plain)
    matters_from = max(2 * (display or 0.0), (width or 0.0) / 10)
    if n == 0:
        return _silent_few(matters_from)

    whole = _sums(order, plain)
    floor = (display or 0.0) / math.sqrt(12)
    if pooled and pooled.s == 0 and floor == 0:
        pooled = None  # readings that never differ say nothing without a display step
    level_pool = None if _refuted(pooled, whole.syy, n - 1, LEVEL_POOL_REFUTED) else pooled
    share = CHOICE if pooled else 1.0
    if _refuted(pooled, whole.about_line, n - 2, POOL_TOO_QUIET, POOL_TOO_NOISY):
        pooled = None
    level = line = None
    if n >= 2 or level_pool:
        level_s, level_df = _scatter(whole.syy, n - 1, level_pool, floor)
        level = FittedLine(n, whole.centre, whole.mean, 0.0, math.inf, level_s, level_df)
    if n >= 3:
        line_s, line_df = _scatter(whole.about_line, n - 2, pooled, floor)
        line = FittedLine(n, whole.centre, whole.mean, whole.slope, whole.sxx, line_s, line_df)

    start = order[0] if first is None else first
    levels = look_levels(order, max(planned, order[-1]), start)
    if line is None or not levels:
        return _silent_few(matters_from, order, line, level, pooled is not None)

    known = (0.0, 0) if pooled is None else (pooled.s * pooled.s * pooled.df, pooled.df)
    fitting = Fitting(tuple(order), tuple(plain), start, *known, floor, levels, share)
    ground = _Ground(line, level, fitting, planned, display, matters_from)
    return _told(order, plain, ground, whole, pooled, measures, conditions)


@frozen
class _Ground:
    """What a drift is told from: the fits, and what a change is held against."""

    line: FittedLine
    level: FittedLine | None
    fitting: Fitting
    planned: int
    display: float | None
    matters_from: float


def _told(
    order: Sequence[int],
    plain: Sequence[float],
    ground: _Ground,
    whole: _Sums,
    pooled: Pooled | None,
    measures: str,
    conditions: Sequence[Conditions],
) -> SetupDrift:
    """What was found at the looks, told by the shape that all readings fit best."""
    line, fitting, display = ground.line, ground.fitting, ground.display
    reach = order[-1] - order[0]
    error = line.s / math.sqrt(line.sxx)
    half = t_critical(1 - COVERAGE, line.df) * error
    last = fitting.share * fitting.levels[-1][1] * WEIGHT_CREEP
    detectable = t_critical(last, line.df) * error * reach
    found_at, shape, explained = fitting.found_at, TrendShape.LEVEL, None
    shapes = () if found_at is None else fitting.fits
    if found_at is not None:
        shape = likeliest(shapes) or next(k.spoke for k in fitting.looks if k.found)
        if conditions:
            explained = coincidence(order, plain, conditions, _movements(order, shapes, shape))
    fit = next((f for f in shapes if f.shape is shape), None)
    change = _change(line, fit, order)
    raw_s, _ = _scatter(whole.about_line, whole.n - 2, pooled, 0.0)
    # A tenth of the tolerance in decimal is not one in binary: 0.004 must reach 0.004.
    matters = abs(change) >= ground.matters_from * (1 - 1e-9)
    if found_at is not None:
        status = _status(shape, explained) if matters else DriftStatus.TOO_SMALL
    elif display is not None and display >= 2 * raw_s:
        status = DriftStatus.TOO_COARSE
    else:
        status = DriftStatus.STEADY
    return SetupDrift(
        status=status,
        first=order[0],
        last=order[-1],
        n=whole.n,
        line=line,
        level=ground.level,
        slope_low=line.slope - half,
        slope_high=line.slope + half,
        change=change,
        matters_from=ground.matters_from,
        found_at=found_at,
        detectable=detectable,
        pooled=pooled is not None,
        cause=read_cause(change, measures)
        if shape in GOING_ON and explained is None
        else Cause.OPEN,
        shape=shape,
        fitting=fitting,
        coincides=explained,
        shrink=1.0 if fit is None else _believed(fit, order, ground.planned),
    )


def _check_asked(
    order: Sequence[int],
    planned: int,
    display: float | None,
    width: float | None,
    first: int | None,
) -> None:
    for name, given in (("display step", display), ("tolerance", width)):
        if given is not None and not (math.isfinite(given) and given >= 0):
            raise ValueError(f"the {name} cannot be {given}")
    if planned < 1:
        raise ValueError(f"a batch has at least one piece, not {planned}")
    if first is not None and order and not 1 <= first <= order[0]:
        raise ValueError(f"the setup cannot start at piece {first}, piece {order[0]} is in it")


def _movements(
    order: Sequence[int], shapes: Sequence[Fitted], shape: TrendShape
) -> list[list[float]]:
    """The found shape and the plain creep as movements over the pieces."""
    found = [[float(piece) for piece in order]]
    fit = next((f for f in shapes if f.shape is shape), None)
    if fit is not None and shape is not TrendShape.CREEP:
        found.append([fit.at(piece) - fit.mean for piece in order])
    return found


def _change(line: FittedLine, fit: Fitted | None, order: Sequence[int]) -> float:
    """What the found shape changes from the first piece read to the last; else the line's."""
    if fit is None or fit.shape is TrendShape.LEVEL:
        return line.slope * (order[-1] - order[0])
    return fit.at(order[-1]) - fit.at(order[0])


def _status(shape: TrendShape, explained: Coincidence | None) -> DriftStatus:
    if explained is not None:
        return DriftStatus.COINCIDES
    if shape in GOING_ON:
        return DriftStatus.DRIFTING
    return DriftStatus.JUMPED if shape is TrendShape.JUMP else DriftStatus.SETTLING


def _believed(fit: Fitted, order: Sequence[int], planned: int) -> float:
    """The part of the found rate that is believed; 1 for what has none."""
    if fit.shape not in GOING_ON:
        return 1.0
    pieces = [*order, *range(order[-1] + 1, planned + 1)]
    late = fit.place if fit.shape is TrendShape.LATE_CREEP else 0.0
    grown = [max(piece - late, 0.0) for piece in pieces]
    middle = math.fsum(grown) / len(grown)
    final = fit.s / math.sqrt(math.fsum((x - middle) ** 2 for x in grown))
    rate, _, squares = fit.effects[-1]
    return believed(
        rate, fit.s / math.sqrt(squares), fit.df, final, fit.df + len(pieces) - len(order)
    )


def _silent_few(
    matters_from: float,
    order: Sequence[int] = (),
    line: FittedLine | None = None,
    level: FittedLine | None = None,
    pooled: bool = False,
) -> SetupDrift:
    n = len(order)
    return SetupDrift(
        status=DriftStatus.TOO_FEW,
        first=order[0] if order else None,
        last=order[-1] if order else None,
        n=n,
        line=line,
        level=level,
        slope_low=None,
        slope_high=None,
        change=line.slope * (order[-1] - order[0]) if line else None,
        matters_from=matters_from,
        found_at=None,
        detectable=None,
        pooled=pooled,
        cause=Cause.OPEN,
    )
