"""The overall size of a stack when every dimension lies anywhere within its limits, as likely.

Nothing is known of the process before anything is cut. The sum of independent rectangular
distributions is exact (a Lagrange and Laplace result; P. Hall, Biometrika 19, 1927, for equal
widths): a piecewise polynomial, evaluated here in whole numbers, so that no digits are lost.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from decimal import Decimal

from qlog.frozen import frozen

#: As far out as three sigma of a normal distribution, on either side.
TAIL = 0.00135

#: Steps from the middle to the worst case that are told apart when the halves themselves would
#: make too many sums: a half is then good to a forty-thousandth of the worst case.
_STEPS = 20_000
#: Terms whose sums are few enough (two to this power) whatever their digits are.
_FEW = 11
#: Terms beyond which nothing is worked out: the numbers' digits grow with them (40 take 10 ms, 400
#: take 16 s), and no set has such a stack.
_MOST = 60


@frozen
class EvenlySpread:
    """The overall size, in the unit of the stack: where nearly all of it lies."""

    low: float  # TAIL of all assemblies are smaller
    high: float  # TAIL of all are larger
    inside: float | None  # share of all inside the stack's limits; None without limits


def evenly_spread(
    halves: Sequence[Decimal],
    middle: Decimal,
    lower: Decimal | None = None,
    upper: Decimal | None = None,
) -> EvenlySpread | None:
    """Sizes anywhere within plus or minus `halves`, added up about `middle`.

    A dimension that occurs n times stands n times among the halves; the sign of a term makes no
    difference to a symmetrical spread. `lower` and `upper` are the stack's own limits. All are in
    one unit. None for a stack of more than 60 sizes with a tolerance.
    """
    spread = [half for half in halves if half]
    if len(spread) > _MOST:
        return None
    sums = _EvenSums(spread)
    # As many sums are larger than `reach` as are smaller than `-reach`: one search finds both.
    reach = sums.beyond(TAIL)
    inside: float | None = None
    if lower is not None or upper is not None:
        below = 0.0 if lower is None else sums.share_above(float(middle - lower))
        above = 0.0 if upper is None else sums.share_above(float(upper - middle))
        inside = max(0.0, 1 - below - above)
    return EvenlySpread(
        float(middle) - reach,
        float(middle) + reach,
        inside,
    )


class _EvenSums:
    """How the deviations from the middle add up; only what lies above a size is asked."""

    def __init__(self, halves: Sequence[Decimal]) -> None:
        worst = sum(halves, Decimal(0))
        step = Decimal(1).scaleb(min((_exponent(half) for half in halves), default=0))
        if len(halves) > _FEW and worst / step > _STEPS:
            step = worst / _STEPS
        self._step = float(step)
        whole = [max(1, int((half / step).to_integral_value())) for half in halves]
        self._count = len(whole)
        self._worst = sum(whole)
        # The corners of the box of deviations, by their distance below the largest sum: how many
        # lie there, counted with the sign of inclusion and exclusion.
        corners = {0: 1}
        for half in whole:
            more = dict(corners)
            for at, times in corners.items():
                more[at + 2 * half] = more.get(at + 2 * half, 0) - times
            corners = more
        self._corners = sorted(corners.items())
        self._volume = math.factorial(self._count) * math.prod(2 * half for half in whole)

    def share_above(self, deviation: float) -> float:
        """The share of sums greater than `deviation`, which is in the unit of the halves.

        At the worst case itself, or beyond, none is.
        """
        if not self._count:
            return 1.0 if deviation < 0 else 0.0
        fine = 1 << 20  # parts of a step: what rounding the deviation costs is below a float's
        room = (self._worst * fine) - round(deviation / self._step * fine)
        total = 0
        for at, times in self._corners:
            left = room - at * fine
            if left <= 0:
                break
            total += times * int(left**self._count)
        return total / int(self._volume * fine**self._count)

    def beyond(self, share: float) -> float:
        """The deviation that `share` of all sums exceed, in the unit of the halves."""
        low, high = 0.0, self._worst * self._step
        for _ in range(40 if self._count else 0):
            half = (low + high) / 2
            low, high = (half, high) if self.share_above(half) > share else (low, half)
        return high if self._count else 0.0


def _exponent(number: Decimal) -> int:
    exponent = number.normalize().as_tuple().exponent
    assert isinstance(exponent, int)  # limits are finite
    return exponent
