"""What next: for every part, the first operation that live pieces still wait for."""

from __future__ import annotations

from collections.abc import Sequence

from qlog.review.picture import Next, PartView, Slot, Standing
from qlog.words import count, pieces


def next_up(views: Sequence[PartView]) -> tuple[Next, ...]:
    """One line a part, in the order of the plan; readings still owed come before the next cut."""
    found: list[Next] = []
    for view in views:
        line = _owed(view) or _due(view)
        if line is not None:
            found.append(line)
    return tuple(found)


def _owed(view: PartView) -> Next | None:
    for series in view.series:
        owed = [s.piece for s in series.slots if s.slot is Slot.MISSING]
        if owed:
            op = series.operation.number
            return Next(
                view.part.id,
                op,
                f"read {series.dimension.name} of {pieces(view.part.id, owed)} "
                f"(op {op} {series.operation.name} is done)",
            )
    return None


def _due(view: PartView) -> Next | None:
    for op in view.ops:
        if op.open == 0:
            continue
        number = op.operation.number
        waiting = [
            piece.number
            for piece in view.pieces
            if piece.standing is not Standing.SCRAP
            for cell in piece.cells
            if cell.op == number and cell.applies and not cell.done
        ]
        verb = f"send to {op.operation.sent_out} for" if op.operation.sent_out else "do"
        if op.done:
            return Next(
                view.part.id,
                number,
                f"{verb} op {number} {op.operation.name} on {pieces(view.part.id, waiting)}",
            )
        return Next(
            view.part.id,
            number,
            f"{verb} op {number} {op.operation.name} "
            f"({count(len(waiting), 'piece', 'pieces')} waiting)",
        )
    return None
