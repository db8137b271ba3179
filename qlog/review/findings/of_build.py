"""All findings of a part and of the build, worst first."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from qlog.review.findings.finding import Finding, Place, Weight, worst_first
from qlog.review.findings.kinds import (
    MachineDrift,
    NotInThePlan,
    OverallNotProven,
    OverallOut,
    Suspect,
    Unplaced,
)
from qlog.review.findings.of_evidence import evidence_findings
from qlog.review.findings.of_readings import reading_findings
from qlog.review.findings.of_stock import stock_findings
from qlog.review.findings.of_trends import trend_findings
from qlog.review.homeless import Homeless
from qlog.review.instrument.instrument_views import InstrumentView
from qlog.review.items.item_views import ItemView
from qlog.review.part.batch import Batch
from qlog.review.part.mixups import mixups
from qlog.review.views import PhotoView
from qlog.study.conformity.verdict import Verdict

if TYPE_CHECKING:
    from qlog.review.part.charts.deviations import DeviationView


def part_findings(view: Batch) -> tuple[Finding, ...]:
    """Everything to know about one part's batch, worst first."""
    return worst_first(
        [
            *reading_findings(view),
            *trend_findings(view),
            *mixups(view),
            *evidence_findings(view),
            *stock_findings(view),
        ]
    )


def item_findings(items: Sequence[ItemView]) -> tuple[Finding, ...]:
    """Overall sizes, measured on the items, that are out or too near a limit to tell."""
    found: list[Finding] = []
    for item in items:
        for size in item.sizes:
            if size.judgement is None or size.judgement.verdict is Verdict.GOOD:
                continue
            if size.judgement.verdict.out:
                found.append(OverallOut(Weight.BAD, Place(), item, size))
            else:
                found.append(OverallNotProven(Weight.WARN, Place(), item, size))
    return tuple(found)


def build_findings(
    of_parts: Sequence[Finding],
    items: Sequence[ItemView],
    instruments: Sequence[InstrumentView],
    unplaced: Sequence[PhotoView],
    homeless: Sequence[Homeless],
    deviations: Sequence[DeviationView] = (),
) -> tuple[Finding, ...]:
    """The findings of all parts, and those that belong to no part, worst first."""
    found = [*of_parts, *item_findings(items)]
    found += [
        MachineDrift(Weight.WARN, Place(), view, tool)
        for view in deviations
        for tool in view.drifts
        if tool.found.speaks
    ]
    found += [Suspect(Weight.WARN, Place(), view) for view in instruments if view.suspect]
    if unplaced:
        proposed = sum(p.placement is not None and bool(p.placement.proposed) for p in unplaced)
        found.append(Unplaced(Weight.WARN, Place(), len(unplaced), proposed))
    found += [NotInThePlan(Weight.WARN, Place(lost.part, lost.op), lost) for lost in homeless]
    return worst_first(found)
