"""Findings drawn together, so that a list stays short enough to be read."""

from __future__ import annotations

from collections.abc import Iterable

from qlog.review.findings.finding import Finding, Place, Weight
from qlog.review.findings.kinds import Together


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
        own[0] if len(own) == 1 else Together(own[0].weight, Place(own[0].place.part), tuple(own))
        for own in order
    )
