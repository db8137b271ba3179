"""One size among those of its siblings, as dots on a strip between its limits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

_WIDTH, _LEFT, _RIGHT = 200.0, 24.0, 176.0  # the limits stand a little inside


@dataclass(frozen=True, slots=True)
class Strip:
    """Places on a strip of `width`: the limits, the siblings and the size itself."""

    width: float
    low: float
    high: float
    others: tuple[float, ...]
    own: float


def strip(share: float, others: Sequence[float]) -> Strip:
    """Places of shares of the tolerance, 0 on the lower limit and 1 on the upper one.

    A share outside 0..1 stands outside the limits, within the strip.
    """
    return Strip(_WIDTH, _LEFT, _RIGHT, tuple(_x(s) for s in others), _x(share))


def _x(share: float) -> float:
    within = min(max(share, -0.12), 1.12)
    return round(_LEFT + within * (_RIGHT - _LEFT), 1)
