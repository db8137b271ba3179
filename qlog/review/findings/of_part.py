"""Findings of a part: its readings, what they show together, what is missing, what is left."""

from __future__ import annotations

from qlog.review.findings import kinds
from qlog.review.findings.kinds import Finding, Place, Weight, worst_first
from qlog.review.part.batch import Batch
from qlog.review.part.decided import SETTLED
from qlog.review.part.mixups import mixups
from qlog.review.views import PieceView, Slot, Standing
from qlog.study.conformity.bias import JawsReadLow
from qlog.study.conformity.verdict import Verdict


def part_findings(view: Batch) -> tuple[Finding, ...]:
    """Everything to know about one part's batch, worst first."""
    return worst_first(
        [
            *_readings(view),
            *_studied(view),
            *mixups(view),
            *_owing(view),
            *_stock(view),
        ]
    )


def _readings(view: Batch) -> list[Finding]:
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
                found.append(kinds.Out(weight, place, series, reading, decision if settled else ""))
            elif reading.verdict is Verdict.NOT_PROVEN and not settled:
                found.append(kinds.NotProven(Weight.WARN, place, series, reading))
            if reading.today is not None and not settled:
                found.append(kinds.DrawingChanged(Weight.WARN, place, series, reading))
    return found


def _studied(view: Batch) -> list[Finding]:
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
            found.append(kinds.Drift(Weight.WARN, place, series, study.running, ahead))
        outlier = study.outlier_piece
        if outlier is not None and standing[outlier] is not Standing.SCRAP:
            reading = next(r for r in series.readings if r.piece == outlier)
            apart = Place(part, place.op, outlier, place.dimension)
            found.append(kinds.Outlier(Weight.WARN, apart, series, reading))
        for doubt in study.biases:
            found.append(
                kinds.JawsInBore(Weight.NOTE, place, series, doubt)
                if isinstance(doubt, JawsReadLow)
                else kinds.CoarseInstrument(Weight.NOTE, place, series, doubt)
            )
    return found


def _owing(view: Batch) -> list[Finding]:
    """Readings and photos that are owing, and operations done before an earlier one."""
    return [*_owed(view), *_photos(view), *_order(view)]


def _owed(view: Batch) -> list[Finding]:
    found: list[Finding] = []
    for series in view.series:
        for kind, pieces in (
            (kinds.ReadingsUnmatched, series.unmatched),
            (kinds.ReadingMissing, series.owed),
        ):
            if pieces:
                place = Place(
                    view.part.id,
                    series.operation.number,
                    pieces[0] if len(pieces) == 1 else None,
                    series.dimension.id,
                )
                found.append(kind(Weight.WARN, place, series, pieces))
    return found


def _photos(view: Batch) -> list[Finding]:
    return [
        kinds.PhotoMissing(Weight.WARN, Place(view.part.id, op.operation.number), op, view.part)
        for op in view.ops
        if op.photos_missing
    ]


def _order(view: Batch) -> list[Finding]:
    found: list[Finding] = []
    for piece in view.pieces:
        skipped = _skipped(piece)
        if skipped is not None:
            place = Place(view.part.id, skipped[0], piece.number)
            found.append(kinds.OutOfOrder(Weight.WARN, place, piece, *skipped))
    return found


def _skipped(piece: PieceView) -> tuple[int, int] | None:
    """The first open operation before one that was done without a reason for it."""
    for index, cell in enumerate(piece.cells):
        if cell.done or not cell.applies:
            continue
        for later in piece.cells[index + 1 :]:
            if (later.done and not later.override) or (later.readings and not later.done):
                return cell.op, later.op
    return None


def _stock(view: Batch) -> list[Finding]:
    """Whether the pieces of a part are enough, and which are out of the house."""
    part, place = view.part, Place(view.part.id)
    found: list[Finding] = []
    if view.margin < 0:
        found.append(kinds.Short(Weight.BAD, place, part, view.live))
    elif view.margin == 0 and view.scrapped:
        found.append(kinds.NoSpare(Weight.WARN, place, part, view.live))
    away = {p.number for p in view.pieces if p.standing is Standing.OUT}
    for op in view.ops:
        sent = {e.fact.piece: e.fact.direction for e in op.shipments}  # the last one holds
        out = tuple(p for p in sorted(away) if sent.get(p) == "out")
        if out:
            place = Place(part.id, op.operation.number)
            found.append(kinds.SentOut(Weight.NOTE, place, part, out))
    return found
