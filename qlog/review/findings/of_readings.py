"""Findings about single readings: out, not proven, judged by an earlier drawing."""

from __future__ import annotations

from qlog.review.findings.finding import Finding, Place, Weight
from qlog.review.findings.kinds import DrawingChanged, NotProven, Out
from qlog.review.part.batch import Batch
from qlog.review.part.decided import SETTLED
from qlog.study.conformity.verdict import Verdict


def reading_findings(view: Batch) -> list[Finding]:
    """Readings out of their limits, not proven, or with another verdict by today's drawing."""
    decided = {p.number: p.decision for p in view.pieces}
    found: list[Finding] = []
    for series in view.series:
        for reading in series.readings:
            if reading.verdict is Verdict.GOOD and reading.today is None:  # most of them
                continue
            place = Place(view.part.id, series.operation.number, reading.piece, series.dimension.id)
            decision = decided[reading.piece]
            settled = decision in SETTLED
            if reading.bad:
                weight = Weight.NOTE if settled else Weight.BAD
                found.append(Out(weight, place, series, reading, decision if settled else ""))
            elif reading.verdict is Verdict.NOT_PROVEN and not settled:
                found.append(NotProven(Weight.WARN, place, series, reading))
            if reading.today is not None and not settled:
                found.append(DrawingChanged(Weight.WARN, place, series, reading))
    return found
