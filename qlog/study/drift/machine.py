"""Drift of a machine: parts cut with one tool and read with one gauge, as deviations from target.

Batches of three pieces say nothing each; put one after the other in the order of making, their
deviations from target do (short-run charts of deviations from nominal: common practice). Each part
is taken to be aimed at its target; a jump where one part follows another may be how that part
was aimed, and is told as that.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from qlog.frozen import frozen
from qlog.study.drift.coincidence import Conditions, coincidence
from qlog.study.drift.shapes import TrendShape
from qlog.study.drift.trend_test import DriftStatus, Pooled, SetupDrift, assess


@frozen
class MachinePoint:
    """One piece in the order of making: its part, and how far it lies from its target."""

    part: str
    deviation: Decimal
    conditions: Conditions = Conditions()


@frozen
class MachineTrend:
    """The drift of a machine over the pieces of several parts, counted from 1 in making order.

    `aimed` tells that what was found is a jump where one part follows another.
    """

    drift: SetupDrift
    aimed: bool

    @property
    def speaks(self) -> bool:
        """Whether the machine drifts, and not how a part was aimed or read."""
        return self.drift.speaks and not self.aimed and self.drift.coincides is None


def study_machine(
    points: Sequence[MachinePoint],
    *,
    planned: int,
    step: Decimal | None = None,
    tolerance: Decimal | None = None,
    measures: str = "",
    learnt: Pooled | None = None,
) -> MachineTrend | None:
    """Study the deviations of at least two parts; None for fewer. Arguments as in `assess`."""
    parts = [p.part for p in points]
    if len(set(parts)) < 2:
        return None
    order = range(1, len(points) + 1)
    values = [p.deviation for p in points]
    drift = assess(
        order,
        values,
        planned=max(planned, len(points)),
        step=step,
        tolerance=tolerance,
        pooled=learnt,
        measures=measures,
        first=1,
        conditions=[p.conditions for p in points],
    )
    aimed = False
    if drift.status in (DriftStatus.JUMPED, DriftStatus.DRIFTING) and drift.shape in (
        TrendShape.JUMP,
        TrendShape.LATE_CREEP,
    ):
        # The parts as groups: does the movement go on inside them?
        fit = drift.found_fit
        moved = [[fit.at(piece) - fit.mean for piece in order]]
        labels = [Conditions(instrument=part) for part in parts]
        aimed = coincidence(order, [float(v) for v in values], labels, moved) is not None
    return MachineTrend(drift, aimed)
