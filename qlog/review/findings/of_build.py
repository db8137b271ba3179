"""All findings of a part and of the build, worst first."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from qlog.review.findings.finding import Finding, Place, Weight, worst_first
from qlog.review.findings.kinds import MachineDrift, NotInThePlan, Suspect, Unplaced
from qlog.review.findings.of_evidence import evidence_findings
from qlog.review.findings.of_readings import reading_findings
from qlog.review.findings.of_stock import stock_findings
from qlog.review.findings.of_trends import trend_findings
from qlog.review.homeless import Homeless
from qlog.review.instrument.instrument_views import InstrumentView
from qlog.review.part.batch import Batch
from qlog.review.part.mixups import mixups
from qlog.review.views import PhotoView

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


def build_findings(
    of_parts: Sequence[Finding],
    instruments: Sequence[InstrumentView],
    unplaced: Sequence[PhotoView],
    homeless: Sequence[Homeless],
    deviations: Sequence[DeviationView] = (),
) -> tuple[Finding, ...]:
    """The findings of all parts, and those that belong to no part, worst first."""
    found = list(of_parts)
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
