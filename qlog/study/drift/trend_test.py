"""Drift within one setup: a trend test that may be asked again after every piece.

How the 1 % is kept. A test repeated after every piece raises a false alarm far more often than
its level says. So the whole batch is given one allowance, ALLOWANCE, and every look spends a
part of it: after piece p of N planned, (p/N)^4 of it is spent, and a look may only use what has
come due since the look before. Levels add up at worst, hence the whole batch stays below the
allowance - for every N, with pieces missing, with several setups in the batch (a later setup
starts with what the earlier ones have used up behind it), and with a pool of any size that
scatters as the dimension does, since each single look is an exact t test. (Spending functions:
Lan and DeMets, Biometrika 70 (1983) 659-663; the addition is Boole's inequality.)

Only the standard library is used here: the reading stream shows the trend between two readings.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from decimal import Decimal
from enum import StrEnum
from itertools import pairwise

from qlog.frozen import frozen
from qlog.study.distributions import f_above, t_both_tails, t_critical

#: Chance of a false alarm in a whole batch. The promise is 1 %; a twentieth of it is held back
#: for what the model leaves out: readings come in display steps, and a pool grows meanwhile.
ALLOWANCE = 0.0095
#: Power of the spending function: a higher one finds more slow ramps by the end of the batch, a
#: lower one finds a steep drift sooner. The fourth is the lowest that finds a ramp of 3 s over 8
#: pieces often enough to be of use (tests/benchmarks/drift_simulation.py prints the comparison).
SPENDING_POWER = 4
#: Readings in the setup before the first look: a line through four leaves two degrees of freedom.
FIRST_LOOK = 5
#: A pool whose scatter is refuted by the dimension's own about its line at this level is not used:
#: siblings that are quieter than the dimension would make a trend out of its scatter. Refusing
#: more pools (5 %) hardly helps against those and loses too many true drifts.
POOL_REFUTED = 0.02
#: The same for the scatter about the level, where nothing is lost: a drift too young to be proven
#: shows first as a scatter that the pool cannot explain.
LEVEL_POOL_REFUTED = 0.05
#: Coverage of the slope's interval.
COVERAGE = 0.95


class DriftStatus(StrEnum):
    """What the trend test found, or why it is silent."""

    DRIFTING = "drifting"
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
    """Scatter of sibling dimensions: standard deviation, in the unit of the readings, and df."""

    s: float
    df: int

    def __post_init__(self) -> None:
        if not (math.isfinite(self.s) and self.s >= 0 and self.df >= 1):
            raise ValueError(f"a pool needs s >= 0 and df >= 1, not s = {self.s}, df = {self.df}")


@frozen
class Fit:
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

    def spread_at(self, piece: float) -> float:
        """Standard deviation of a new reading of that piece about its expected value.

        The scatter of the reading and the uncertainty of the fit together; Draper and Smith,
        Applied Regression Analysis, section 1.4 (prediction of a single observation).
        """
        return self.s * math.sqrt(1 + 1 / self.n + (piece - self.centre) ** 2 / self.sxx)


@frozen
class Look:
    """One look of the sequential test: after `piece`, with the readings up to it."""

    piece: int
    n: int
    slope: float
    t: float
    df: int
    p: float  # two-sided
    level: float  # the part of the allowance that this look may use

    @property
    def found(self) -> bool:
        """Whether this look found a trend."""
        return self.p < self.level


@frozen
class Drift:
    """The trend of one dimension in one setup; sizes in the unit of the readings.

    `change` is the fitted change from `first` to `last`, signed; `matters_from` the change that
    would matter; `found_at` the piece whose look found the trend first; `detectable` the change
    over these pieces that the last look finds with 50 % chance.
    """

    status: DriftStatus
    first: int | None
    last: int | None
    n: int
    line: Fit | None
    level: Fit | None
    slope_low: float | None
    slope_high: float | None
    change: float | None
    matters_from: float
    found_at: int | None
    detectable: float | None
    looks: tuple[Look, ...]
    pooled: bool
    cause: Cause

    @property
    def slope(self) -> float | None:
        """Change per piece; None below three readings."""
        return self.line.slope if self.line else None

    @property
    def since(self) -> int | None:
        """Piece from which the line runs: the first one read in the setup."""
        return self.first

    @property
    def found(self) -> bool:
        """Whether a trend was found, be it large enough to matter or not."""
        return self.found_at is not None


def spent(position: int, planned: int) -> float:
    """Part of the allowance spent once `position` pieces of a batch of `planned` are made."""
    return ALLOWANCE * min(max(position, 0) / planned, 1.0) ** SPENDING_POWER


def look_levels(order: Sequence[int], planned: int, first: int = 1) -> tuple[float, ...]:
    """Level of each look, for the 5th and every later reading of a setup.

    `order` holds the piece numbers of the readings in the setup, `first` the number of the
    first piece that was made in it (read or not), `planned` the pieces of the batch. What came
    due on pieces without a look falls to the next look of the same setup. The levels of all
    setups of a batch add up to ALLOWANCE at most.
    """
    levels = []
    before = spent(first - 1, planned)
    for piece in order[FIRST_LOOK - 1 :]:
        due = spent(piece, planned)
        levels.append(due - before)
        before = due
    return tuple(levels)


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


def _refuted(pooled: Pooled | None, squares: float, df: int, level: float) -> bool:
    """Whether the own scatter is larger than the pool's can explain (F test)."""
    if pooled is None or df < 1:
        return False
    if pooled.s == 0:
        return squares > 0
    return f_above(squares / df / pooled.s**2, df, pooled.df) < level


def pool(
    stretches: Iterable[tuple[Sequence[int], Sequence[float | Decimal]]],
) -> Pooled | None:
    """Pool the scatter of sibling dimensions: same operation, same instrument, same unit.

    Each stretch is one setup of one sibling, (piece numbers, readings); a line is taken out of
    each, so that a sibling that drifts does not widen the pool, and its sum of squares enters
    with n - 2 degrees of freedom. Siblings must scatter alike - bores with bores: quieter ones
    raise false alarms, which the F test in `assess` catches only in part. The dimension under
    test is left out of its own pool, its earlier setups are welcome in it. Returns None where no
    stretch has three readings.
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
) -> Drift:
    """Test the readings of one setup for a trend, and say what was found.

    `order` holds the piece numbers of the batch in the order of making (rising; pieces without
    a reading are left out), `values` their readings, `planned` the pieces of the batch with the
    spares, `step` the display step of the instrument and `tolerance` the width of the
    tolerance, all in one unit. `pooled` is the scatter of sibling dimensions, `first` the
    number of the first piece made in this setup where that is not the first one read.

    After the 5th and every later reading the slope of the least squares line is held against
    Student's t (Draper and Smith, Applied Regression Analysis, section 1.4) at that look's
    level, see `look_levels`. The standard deviation is the dimension's own about the line,
    joined by the pool unless the own scatter refutes it (F test at POOL_REFUTED), and never
    below step / sqrt(12), the scatter that rounding alone makes. A trend once found stays
    found. It is reported as drifting only when the change over the pieces read reaches the
    larger of two display steps and a tenth of the tolerance.

    Where more pieces were made than planned, the batch counts as planned to the last one.

    Raises ValueError for piece numbers that do not rise, lengths that differ, a reading that is
    not finite, or a step or tolerance below zero.
    """
    plain = _checked(order, values)
    display = None if step is None else float(step)
    width = None if tolerance is None else float(tolerance)
    for name, given in (("display step", display), ("tolerance", width)):
        if given is not None and not (math.isfinite(given) and given >= 0):
            raise ValueError(f"the {name} cannot be {given}")
    if planned < 1:
        raise ValueError(f"a batch has at least one piece, not {planned}")
    if first is not None and order and not 1 <= first <= order[0]:
        raise ValueError(f"the setup cannot start at piece {first}, piece {order[0]} is in it")
    n = len(plain)
    matters_from = max(2 * (display or 0.0), (width or 0.0) / 10)
    if n == 0:
        return _silent_few(matters_from)

    whole = _sums(order, plain)
    floor = (display or 0.0) / math.sqrt(12)
    if pooled and pooled.s == 0 and floor == 0:
        pooled = None  # siblings that never differ say nothing without a display step
    level_pool = None if _refuted(pooled, whole.syy, n - 1, LEVEL_POOL_REFUTED) else pooled
    pooled = None if _refuted(pooled, whole.about_line, n - 2, POOL_REFUTED) else pooled
    level = line = None
    if n >= 2 or level_pool:
        level_s, level_df = _scatter(whole.syy, n - 1, level_pool, floor)
        level = Fit(n, whole.centre, whole.mean, 0.0, math.inf, level_s, level_df)
    if n >= 3:
        line_s, line_df = _scatter(whole.about_line, n - 2, pooled, floor)
        line = Fit(n, whole.centre, whole.mean, whole.slope, whole.sxx, line_s, line_df)

    looks = []
    levels = look_levels(order, max(planned, order[-1]), order[0] if first is None else first)
    for k, look_level in enumerate(levels, start=FIRST_LOOK):
        part = _sums(order[:k], plain[:k])
        s, df = _scatter(part.about_line, k - 2, pooled, floor)
        error = s / math.sqrt(part.sxx)
        t = part.slope / error if error > 0 else math.copysign(math.inf, part.slope)
        if part.slope == 0:
            t = 0.0
        p = t_both_tails(t, df)
        looks.append(Look(order[k - 1], k, part.slope, t, df, p, look_level))
    if line is None or not looks:
        return _silent_few(matters_from, order, line, level, pooled is not None)

    reach = order[-1] - order[0]
    error = line.s / math.sqrt(line.sxx)
    half = t_critical(1 - COVERAGE, line.df) * error
    change = line.slope * reach
    detectable = t_critical(looks[-1].level, line.df) * error * reach
    found_at = next((look.piece for look in looks if look.found), None)
    raw_s, _ = _scatter(whole.about_line, n - 2, pooled, 0.0)
    # A tenth of the tolerance in decimal is not one in binary: 0.004 must reach 0.004.
    matters = abs(change) >= matters_from * (1 - 1e-9)
    if found_at is not None:
        status = DriftStatus.DRIFTING if matters else DriftStatus.TOO_SMALL
    elif display is not None and display >= 2 * raw_s:
        status = DriftStatus.TOO_COARSE
    else:
        status = DriftStatus.STEADY
    return Drift(
        status=status,
        first=order[0],
        last=order[-1],
        n=n,
        line=line,
        level=level,
        slope_low=line.slope - half,
        slope_high=line.slope + half,
        change=change,
        matters_from=matters_from,
        found_at=found_at,
        detectable=detectable,
        looks=tuple(looks),
        pooled=pooled is not None,
        cause=read_cause(line.slope, measures) if found_at is not None else Cause.OPEN,
    )


def _silent_few(
    matters_from: float,
    order: Sequence[int] = (),
    line: Fit | None = None,
    level: Fit | None = None,
    pooled: bool = False,
) -> Drift:
    n = len(order)
    return Drift(
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
        looks=(),
        pooled=pooled,
        cause=Cause.OPEN,
    )
