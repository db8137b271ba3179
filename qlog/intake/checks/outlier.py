"""One reading that stands apart from its batch: Grubbs' test at the end of the batch."""

from __future__ import annotations

import math
from collections.abc import Sequence

# One-sided critical values of G at 5 %, n = 3 to 30:
#   G = (n-1)/sqrt(n) * sqrt(t^2 / (n-2+t^2)),  t = upper 0.05/n point of Student's t, n-2 df
# (NIST/SEMATECH e-Handbook 1.3.5.17.1; F. E. Grubbs, Technometrics 11 (1969) 1-21).
_CRITICAL = (
    1.15312, 1.46250, 1.67139, 1.82212, 1.93813, 2.03165, 2.10956, 2.17607, 2.23391, 2.28495,
    2.33054, 2.37165, 2.40904, 2.44327, 2.47481, 2.50402, 2.53119, 2.55658, 2.58039, 2.60278,
    2.62392, 2.64391, 2.66287, 2.68090, 2.69807, 2.71446, 2.73013, 2.74513,
)  # fmt: skip


def critical(n: int) -> float:
    """One-sided critical value of Grubbs' G at 5 % for n readings.

    Raises ValueError below three. Above 30 it is worked out with scipy, loaded only then.
    """
    if n < 3:
        raise ValueError(f"Grubbs' test needs three readings, not {n}")
    if n <= 30:
        return _CRITICAL[n - 3]
    from scipy.stats import t as student

    t = float(student.isf(0.05 / n, n - 2))
    return (n - 1) / math.sqrt(n) * math.sqrt(t * t / (n - 2 + t * t))


def stands_apart(values: Sequence[float], *, side: int = 0) -> tuple[int, float] | None:
    """The place of the one reading that stands apart at 5 %, and its G; None when none does.

    `side` is +1 to look for a high one, -1 for a low one, 0 for whichever lies further out (then
    the level is 5 % for each side). G is (x - mean) / s over all readings.
    """
    n = len(values)
    if n < 3:
        return None
    mean = math.fsum(values) / n
    s = math.sqrt(math.fsum((v - mean) ** 2 for v in values) / (n - 1))
    if s == 0:
        return None
    deviations = [(v - mean) / s * side if side else abs(v - mean) / s for v in values]
    place = max(range(n), key=deviations.__getitem__)
    return (place, deviations[place]) if deviations[place] > critical(n) else None
