"""What a batch of one dimension looks like: mean, spread, share of the tolerance.

Arithmetic is exact until the last division or root, so that no reading is lost to rounding
however many leading digits the values share.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Context, Decimal
from fractions import Fraction
from math import lcm

from qlog.drawing.limits import Limits
from qlog.frozen import frozen

_RESULT = Context(prec=28)
_ROOT = Context(prec=60)


@frozen
class Summary:
    """A batch in figures, in the unit of its readings."""

    n: int
    mean: Decimal
    s: Decimal | None  # standard deviation with n - 1; None from a single reading
    minimum: Decimal
    maximum: Decimal
    spread: Decimal  # largest minus smallest
    median: Decimal
    tolerance: Decimal | None  # upper minus lower limit
    share_used: Decimal | None  # spread over tolerance; see `summarise`


def summarise(
    values: Iterable[Decimal | float], limits: Limits | None = None, *, zero_based: bool = False
) -> Summary:
    """Summarise the readings of one dimension, all in the unit of the limits.

    Mean and standard deviation with n - 1 (NIST/SEMATECH e-Handbook 1.3.5.1 and 1.3.5.6) from
    exact rational sums in two passes, rounded once to 28 digits; median as the middle value or
    the mean of the two middle ones. A float is taken as the shortest decimal that reads back to
    it, which is the number that was typed. Of what is `zero_based` (a runout, a roughness) the
    largest reading uses up the upper limit, and not the spread the tolerance.

    Raises ValueError when there is no reading, or one that is no finite number.
    """
    exact = exact_values(values)
    if not exact:
        raise ValueError("no readings to summarise")
    ordered = sorted(exact)
    n = len(ordered)
    mean = exact_mean(ordered)
    half = n // 2
    middle = (
        ordered[half]
        if n % 2
        else _decimal((Fraction(ordered[half - 1]) + Fraction(ordered[half])) / 2)
    )
    spread = ordered[-1] - ordered[0]
    tolerance = limits.width if limits is not None else None
    used, whole = spread, tolerance
    if zero_based:
        used, whole = ordered[-1], None if limits is None else limits.upper
    return Summary(
        n=n,
        mean=_decimal(mean),
        s=_root(exact_variance(ordered, mean)) if n > 1 else None,
        minimum=ordered[0],
        maximum=ordered[-1],
        spread=spread,
        median=middle,
        tolerance=tolerance,
        share_used=used / whole if whole else None,
    )


def exact_values(values: Iterable[Decimal | float]) -> list[Decimal]:
    """The readings as decimals, floats by their shortest text; order kept.

    Raises ValueError for one that is no finite number.
    """
    exact = [v if isinstance(v, Decimal) else Decimal(repr(float(v))) for v in values]
    for value in exact:
        if not value.is_finite():
            raise ValueError(f"a reading must be a finite number, not {value}")
    return exact


def exact_mean(values: Sequence[Decimal]) -> Fraction:
    """Arithmetic mean as an exact fraction; unit of the values. Raises ValueError when empty."""
    if not values:
        raise ValueError("no readings to average")
    whole, parts = _whole(values)
    return Fraction(sum(whole), parts * len(whole))


def exact_variance(values: Sequence[Decimal], mean: Fraction) -> Fraction:
    """Variance with n - 1 about the given mean as an exact fraction; unit of the values squared.

    Raises ValueError for fewer than 2 values.
    """
    if len(values) < 2:
        raise ValueError("a single reading has no variance")
    whole, parts = _whole(values)
    n = len(whole)
    squares = Fraction(sum(v * v for v in whole), parts * parts)
    return (squares - 2 * mean * Fraction(sum(whole), parts) + n * mean * mean) / (n - 1)


def deviations_from(values: Sequence[Decimal], mean: Fraction) -> list[float]:
    """How far each value is from the given mean, rounded once; unit of the values."""
    whole, parts = _whole(values)
    above, below = mean.numerator * parts, mean.denominator
    return [(v * below - above) / (parts * below) for v in whole]


def _whole(values: Sequence[Decimal]) -> tuple[list[int], int]:
    """The values as whole numbers of one part each, and how many parts make 1; all exact."""
    ratios = [v.as_integer_ratio() for v in values]
    parts = lcm(*(below for _, below in ratios))
    return [above * (parts // below) for above, below in ratios], parts


def _decimal(value: Fraction, context: Context = _RESULT) -> Decimal:
    return context.divide(Decimal(value.numerator), Decimal(value.denominator))


def _root(value: Fraction) -> Decimal:
    return _RESULT.plus(_ROOT.sqrt(_decimal(value, _ROOT)))
