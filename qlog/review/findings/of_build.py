"""All findings of the build, worst first; and how a list of them stays short."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from qlog.review.findings import kinds
from qlog.review.findings.kinds import Finding, Place, Weight, worst_first
from qlog.review.homeless import Homeless
from qlog.review.instrument.instrument_views import InstrumentView
from qlog.review.items.item_views import ItemView
from qlog.review.views import PhotoView
from qlog.study.conformity.verdict import Verdict

if TYPE_CHECKING:
    from qlog.review.part.charts.deviations import DeviationView


def item_findings(items: Sequence[ItemView]) -> tuple[Finding, ...]:
    """Overall sizes, measured on the items, that are out or too near a limit to tell."""
    found: list[Finding] = []
    for item in items:
        for size in item.sizes:
            if size.judgement is None or size.judgement.verdict is Verdict.GOOD:
                continue
            if size.judgement.verdict.out:
                found.append(kinds.OverallOut(Weight.BAD, Place(), item, size))
            else:
                found.append(kinds.OverallNotProven(Weight.WARN, Place(), item, size))
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
        kinds.MachineDrift(Weight.WARN, Place(), view, tool)
        for view in deviations
        for tool in view.drifts
        if tool.found.speaks
    ]
    found += [kinds.Suspect(Weight.WARN, Place(), view) for view in instruments if view.suspect]
    if unplaced:
        proposed = sum(p.placement is not None and bool(p.placement.proposed) for p in unplaced)
        found.append(kinds.Unplaced(Weight.WARN, Place(), len(unplaced), proposed))
    found += [kinds.NotInThePlan(Weight.WARN, Place(lost.part, lost.op), lost) for lost in homeless]
    return worst_first(found)


def told_together(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The same findings, those of one kind, part and weight in one where the kind allows it.

    The group stands where its first finding stood; what stands alone stays as it is.
    """
    groups: dict[tuple[type[Finding], str, Weight], list[Finding]] = {}
    order: list[list[Finding]] = []
    for finding in findings:
        key = (type(finding), finding.place.part, finding.weight)
        if finding.told_together and key in groups:
            groups[key].append(finding)
            continue
        own = [finding]
        order.append(own)
        if finding.told_together:
            groups[key] = own
    return tuple(
        own[0]
        if len(own) == 1
        else kinds.Together(own[0].weight, Place(own[0].place.part), tuple(own))
        for own in order
    )
