"""Allowances: how much an operation still to come changes a size, learnt from the first pieces."""

from __future__ import annotations

import math
from collections.abc import Sequence
from decimal import Decimal
from statistics import median, stdev

from qlog.frozen import frozen

#: Variance of a median over that of a mean, large samples of a normal distribution: pi / 2.
_MEDIAN_OVER_MEAN = Decimal(str(math.pi / 2))


@frozen
class Allowance:
    """What an operation takes off a size: before minus after, in the unit of the readings.

    Positive when the size shrinks (a shaft polished), negative when it grows (a shaft plated).
    """

    amount: Decimal  # median of before minus after
    count: int  # pieces it was learnt from; 0 when it is what was ordered
    spread: Decimal | None  # largest minus smallest; None from a single piece
    uncertainty: Decimal | None  # standard uncertainty of one prediction; None when not known

    def dof_with(self, uncertainty: Decimal | None, dof: float = math.inf) -> float:
        """Whole degrees of freedom behind a prediction from a size known so well; at least one.

        Welch and Satterthwaite (JCGM 100:2008, G.4.1); n pieces show a scatter with n - 1.
        """
        known = [(u, v) for u, v in ((uncertainty, dof), (self.uncertainty, self._dof)) if u]
        weight = math.fsum(float(u) ** 4 / v for u, v in known)
        if not weight:
            return math.inf
        whole = math.fsum(float(u) ** 2 for u, _ in known) ** 2 / weight
        return whole if math.isinf(whole) else float(max(math.floor(whole * (1 + 1e-9)), 1))

    @property
    def _dof(self) -> float:
        return self.count - 1 if self.count > 1 else math.inf

    def predict(
        self, before: Decimal, uncertainty: Decimal | None = None
    ) -> tuple[Decimal, Decimal | None]:
        """Size after the operation, and its standard uncertainty, from the size before it.

        Variances add (JCGM 100:2008, 5.1.2). The uncertainty is None when either is not known.
        """
        if uncertainty is None or self.uncertainty is None:
            return before - self.amount, None
        both = (uncertainty * uncertainty + self.uncertainty * self.uncertainty).sqrt()
        return before - self.amount, both


def learn(pairs: Sequence[tuple[Decimal, Decimal]]) -> Allowance | None:
    """The allowance from readings before and after on the same pieces; None without any.

    Median, so that one wrong reading among the first few does not carry it away. The standard
    uncertainty of a prediction for the next piece joins the scatter from piece to piece (sample
    standard deviation s of the changes, JCGM 100:2008, 4.2) with that of the median itself:
    s² (1 + pi / 2 / n), pi / 2 being the large-sample ratio of the variances of median and mean
    for normal data. None from a single piece, which tells nothing about scatter.

    Both readings of a pair in one unit, the result in the same.
    """
    if not pairs:
        return None
    changes = [before - after for before, after in pairs]
    amount = median(changes)
    if len(changes) == 1:
        return Allowance(amount, 1, None, None)
    spread = max(changes) - min(changes)
    scale = (1 + _MEDIAN_OVER_MEAN / len(changes)).sqrt()
    return Allowance(amount, len(changes), spread, stdev(changes) * scale)


def ordered(factor: int, thinnest: Decimal, thickest: Decimal) -> Allowance:
    """The allowance that an ordered layer promises, while no piece has come back with it.

    `factor` is the change of the size per layer thickness (`layer.Surface.factor`), thicknesses in
    the unit of the readings. The middle of the order, and a rectangular distribution over its
    width: u = half the width of the change / sqrt(3) (JCGM 100:2008, 4.3.7). Raises ValueError
    for an order whose ends are the wrong way round.
    """
    if thinnest > thickest:
        raise ValueError(f"a layer of {thinnest} to {thickest} has its ends the wrong way round")
    spread = abs(factor) * (thickest - thinnest)
    return Allowance(-factor * (thinnest + thickest) / 2, 0, spread, spread / 2 / Decimal(3).sqrt())
