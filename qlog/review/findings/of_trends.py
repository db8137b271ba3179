"""Findings out of the study of a series: drifts, outliers, instruments too coarse."""

from __future__ import annotations

from qlog.review.findings.finding import Finding, Place, Weight
from qlog.review.findings.kinds import CoarseInstrument, Drift, JawsInBore, Outlier
from qlog.review.part.batch import Batch
from qlog.review.views import Slot, Standing
from qlog.study.conformity.bias import JawsReadLow


def trend_findings(view: Batch) -> list[Finding]:
    """Drifts, outliers and ways of measuring that mislead, where the series were studied."""
    part = view.part.id
    standing = {p.number: p.standing for p in view.pieces}
    found: list[Finding] = []
    for series in view.series:
        study = series.study
        if study is None:
            continue
        place = Place(part, series.operation.number, None, series.dimension.id)
        if study.drifting and study.running is not None:
            ahead = any(s.slot in (Slot.NOT_YET, Slot.MISSING) for s in series.slots)
            found.append(Drift(Weight.WARN, place, series, study.running, ahead))
        outlier = study.outlier_piece
        if outlier is not None and standing[outlier] is not Standing.SCRAP:
            reading = next(r for r in series.readings if r.piece == outlier)
            apart = Place(part, place.op, outlier, place.dimension)
            found.append(Outlier(Weight.WARN, apart, series, reading))
        for doubt in study.biases:
            found.append(
                JawsInBore(Weight.NOTE, place, series, doubt)
                if isinstance(doubt, JawsReadLow)
                else CoarseInstrument(Weight.NOTE, place, series, doubt)
            )
    return found
