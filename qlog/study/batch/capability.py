"""Capability indices with their intervals, or the reason why there are none."""

from __future__ import annotations

import math
from collections.abc import Iterable
from decimal import Decimal
from enum import StrEnum
from statistics import NormalDist

from qlog.drawing.limits import Limits
from qlog.frozen import frozen
from qlog.study.batch.intervals import Interval, s_factors
from qlog.study.batch.summary import summarise

#: Fewer pieces of one setup say too little: from 9 pieces, a Cpk of 1.33 proves no more than 0.75.
LEAST_PIECES = 10


@frozen
class Capability:
    """Capability indices of one setup, without unit."""

    n: int
    cp: float | None  # None with a single limit
    cp_interval: Interval | None
    cpk: float
    cpk_interval: Interval
    cpk_at_least: float  # one-sided lower bound, same confidence
    cpl: float | None
    cpu: float | None


class NoIndexReason(StrEnum):
    """Why no capability index is given."""

    NO_LIMITS = "no limits"
    ENDS_AT_ZERO = "ends at zero"  # it does not scatter evenly about its mean
    SEVERAL_SETUPS = "several setups"
    DRIFTS = "drifts"
    TOO_FEW = "too few"
    ALIKE = "alike"  # the display is too coarse to see the spread


@frozen
class NoIndex:
    """Why no capability index is given for `n` pieces.

    Where they are too few, `least` would be enough, and `proven` is what a Cpk of 1.33 from so
    many would prove at the confidence asked for.
    """

    reason: NoIndexReason
    n: int
    least: int
    proven: float | None = None


def capability(
    values: Iterable[Decimal | float],
    limits: Limits,
    *,
    setups: int = 1,
    drifting: bool = False,
    zero_based: bool = False,
    least: int = LEAST_PIECES,
    confidence: float = 0.95,
) -> Capability | NoIndex:
    """Cp and Cpk of a batch, or the reason for giving none.

    `values` in the unit of the limits; `setups` counts the setups that they come from,
    `drifting` says that the trend test found a drift, `zero_based` that the dimension ends at 0
    (runout, roughness) and cannot be normal.

    Cp = T / 6s, Cpk the smaller of (upper - mean) / 3s and (mean - lower) / 3s: NIST/SEMATECH
    e-Handbook 6.1.6. Interval of Cp by chi-square, exact for normal readings; of Cpk by
    -+ z sqrt(1 / 9n + Cpk^2 / 2(n - 1)), same page, after Bissell 1990 (Applied Statistics 39,
    331). Raises ValueError for readings that are no finite numbers.
    """
    readings = list(values)
    n = len(readings)

    def none(reason: NoIndexReason) -> NoIndex:
        few = reason is NoIndexReason.TOO_FEW and n > 1
        return NoIndex(reason, n, least, cpk_at_least(1.33, n, confidence) if few else None)

    if limits.lower is None and limits.upper is None:
        return none(NoIndexReason.NO_LIMITS)
    if zero_based:
        return none(NoIndexReason.ENDS_AT_ZERO)
    if setups > 1:
        return none(NoIndexReason.SEVERAL_SETUPS)
    if drifting:
        return none(NoIndexReason.DRIFTS)
    if n < least:
        return none(NoIndexReason.TOO_FEW)
    summary = summarise(readings, limits)
    s = float(summary.s or 0)
    if s == 0:
        return none(NoIndexReason.ALIKE)
    mean = float(summary.mean)
    cpu = None if limits.upper is None else (float(limits.upper) - mean) / (3 * s)
    cpl = None if limits.lower is None else (mean - float(limits.lower)) / (3 * s)
    cpk = min(side for side in (cpu, cpl) if side is not None)
    cp = cp_interval = None
    if limits.width is not None:
        cp = float(limits.width) / (6 * s)
        low, high = s_factors(n, confidence)
        cp_interval = Interval(cp / high, cp / low, confidence)
    half = NormalDist().inv_cdf((1 + confidence) / 2) * _cpk_error(cpk, n)
    return Capability(
        n=n,
        cp=cp,
        cp_interval=cp_interval,
        cpk=cpk,
        cpk_interval=Interval(cpk - half, cpk + half, confidence),
        cpk_at_least=cpk_at_least(cpk, n, confidence),
        cpl=cpl,
        cpu=cpu,
    )


def cpk_at_least(cpk: float, n: int, confidence: float = 0.95) -> float:
    """One-sided lower bound of the Cpk behind one found from n pieces; no unit.

    Bissell 1990, as for `capability`. Raises ValueError for fewer than 2 pieces or a confidence
    outside 0..1.
    """
    if n < 2:
        raise ValueError(f"{n} piece(s): at least 2 are needed")
    if not 0 < confidence < 1:
        raise ValueError(f"a confidence lies between 0 and 1, not {confidence}")
    return cpk - NormalDist().inv_cdf(confidence) * _cpk_error(cpk, n)


def _cpk_error(cpk: float, n: int) -> float:
    return math.sqrt(1 / (9 * n) + cpk * cpk / (2 * (n - 1)))
