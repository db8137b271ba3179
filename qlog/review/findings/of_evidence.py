"""Findings about evidence that is not there: readings, photos, operations out of order."""

from __future__ import annotations

from qlog.review.findings.finding import Finding, Place, Weight
from qlog.review.findings.kinds import OutOfOrder, PhotoMissing, ReadingMissing, ReadingsUnmatched
from qlog.review.part.batch import Batch
from qlog.review.views import PieceView


def evidence_findings(view: Batch) -> list[Finding]:
    """Readings and photos that are owing, and operations done before an earlier one."""
    return [*_readings(view), *_photos(view), *_order(view)]


def _readings(view: Batch) -> list[Finding]:
    found: list[Finding] = []
    for series in view.series:
        for kind, pieces in ((ReadingsUnmatched, series.unmatched), (ReadingMissing, series.owed)):
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
        PhotoMissing(Weight.WARN, Place(view.part.id, op.operation.number), op, view.part)
        for op in view.ops
        if op.photos_missing
    ]


def _order(view: Batch) -> list[Finding]:
    found: list[Finding] = []
    for piece in view.pieces:
        skipped = _skipped(piece)
        if skipped is not None:
            place = Place(view.part.id, skipped[0], piece.number)
            found.append(OutOfOrder(Weight.WARN, place, piece, *skipped))
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
