"""Findings about the number of pieces: too few, no spare left, out of the house."""

from __future__ import annotations

from qlog.review.findings.finding import Finding, Place, Weight
from qlog.review.findings.kinds import NoSpare, SentOut, Short
from qlog.review.part.batch import Batch
from qlog.review.views import Standing


def stock_findings(view: Batch) -> list[Finding]:
    """Whether the pieces of a part are enough, and which are out of the house."""
    part, place = view.part, Place(view.part.id)
    found: list[Finding] = []
    if view.margin < 0:
        found.append(Short(Weight.BAD, place, part, view.live))
    elif view.margin == 0 and view.scrapped:
        found.append(NoSpare(Weight.WARN, place, part, view.live))
    away = {p.number for p in view.pieces if p.standing is Standing.OUT}
    for op in view.ops:
        sent = {e.fact.piece: e.fact.direction for e in op.shipments}  # the last one holds
        out = tuple(p for p in sorted(away) if sent.get(p) == "out")
        if out:
            place = Place(part.id, op.operation.number)
            found.append(SentOut(Weight.NOTE, place, part, out))
    return found
