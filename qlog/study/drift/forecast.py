"""Forecast of the coming pieces from the trend of a setup: where they will fall, and until when.

Plain Python throughout: the reading stream shows the forecast between two readings, and importing
numpy takes longer than all of `status`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from decimal import Decimal
from enum import StrEnum

from qlog.frozen import frozen
from qlog.study.distributions import t_below
from qlog.study.drift.predicted import Predicted, outside
from qlog.study.drift.shapes import GOING_ON, Fitted, TrendShape
from qlog.study.drift.trend_test import FittedLine, SetupDrift

#: Coverage of the prediction interval of each single piece.
COVERAGE = 0.95
#: Pieces of the stretch in which a crossing is the likeliest: one, and one either side.
ABOUT = 3
#: A stretch less likely than this is not told.
LIKELY = 0.25
#: A piece at an end of it that is less likely than this is left out.
HARDLY = 0.001
#: How far ahead the likeliest stretch is looked for.
NEAR = 30
#: How far beyond the last piece a crossing is looked for.
FAR = 1000


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
    to pass that limit; it may begin before `leaves`, and is None where no stretch of three is
    likely or the likeliest begins after the planned batch.
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
    zero_based: bool = False,
    joint: bool = True,
) -> Forecast | None:
    """Forecast the pieces after the last one read, up to `planned`.

    What goes on (a creep, a late creep, a run-in) is carried on; a jump stays where it is, a
    settling comes to rest, and where nothing was found the level is carried on. Where the
    readings allow several shapes, the expected reading is the average of those of the kind that was
    found; interval and chances are of one distribution over all of them, see `Predicted`, and the
    interval is widened to hold the expected reading where it lies outside. It assumes that nothing
    is touched. `zero_based` says that no reading is below zero (a runout, a roughness): then
    nothing that is said of a coming piece is. `joint=False` leaves out `chance_all`, which takes
    the longest.

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
    last, predicted = drift.last, mix.predicted

    def coming(piece: int) -> Coming:
        least = 0.0 if zero_based else -math.inf
        low, high = mix.interval(piece)
        return Coming(
            piece,
            max(mix.expected(piece), least),
            max(low, least),
            max(high, least),
            predicted.chance_inside(piece, low_limit, high_limit) if limited else None,
        )

    def leaving(piece: int) -> bool:
        return outside(mix.expected(piece), low_limit, high_limit)

    def reaching(piece: int) -> bool:
        return any(outside(end, low_limit, high_limit) for end in mix.interval(piece))

    leaves = _first(leaving, last + 1, planned) if limited else None
    may_leave = _first(reaching, last + 1, planned) if limited else None
    leaves_at = None if leaves is None else mix.expected(leaves)
    over = ""
    if leaves_at is not None:
        over = "upper" if leaves_at > high_limit else "lower"
    between = None
    if leaves is not None and leaves <= last + NEAR and mix.goes_on:
        between = _likeliest(mix, last, high_limit if over == "upper" else low_limit, over)
        if between is not None and between[0] > planned:
            between = None
    ahead = range(last + 1, planned + 1)
    wanted = joint and limited and len(ahead) > 0
    return Forecast(
        model=Model.LINE if mix.goes_on else Model.LEVEL,
        last=last,
        planned=planned,
        coming=tuple(coming(piece) for piece in ahead),
        next=coming(last + 1),
        lower=lower,
        upper=upper,
        leaves=leaves,
        leaves_at=leaves_at,
        over=over,
        between=between,
        may_leave=may_leave,
        good_left=None if leaves is None else leaves - last - 1,
        chance_all=predicted.chance_all(ahead, low_limit, high_limit) if wanted else None,
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
        self.predicted = Predicted(
            every, last=drift.last or 0, believed=drift.shrink if self.goes_on else 1.0
        )

    def expected(self, piece: int) -> float:
        """Expected reading, averaged over the shapes of the kind that was found."""
        return math.fsum(w * self.predicted.at(f, piece) for w, f in self.wanted)

    def interval(self, piece: int) -> tuple[float, float]:
        """Interval of one new reading over all shapes that the readings allow, and the expected."""
        low, high = self.predicted.interval(piece, COVERAGE)
        expected = self.expected(piece)
        return min(low, expected), max(high, expected)

    def chance_passed(self, piece: int, limit: float, over: str) -> float:
        """Chance that the true size of a piece, without its scatter, lies past a limit."""
        total = 0.0
        for w, f in self.wanted:
            place = self.predicted.at(f, piece)
            beyond = place - limit if over == "upper" else limit - place
            error = f.s * math.hypot(*f.errors(piece))
            total += w * (t_below(beyond / error, f.df) if error else float(beyond > 0))
        return total


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
