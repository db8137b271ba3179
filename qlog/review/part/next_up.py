"""What next: for every part, the first thing that its live pieces wait for."""

from __future__ import annotations

from collections.abc import Sequence

from qlog.review.part.batch import Batch
from qlog.review.views import Next, Pending, Slot, Standing


def next_up(views: Sequence[Batch]) -> tuple[Next, ...]:
    """One step a part, in the order of the plan.

    The first piece of a new setup comes first, then readings still owed, then the next cut.
    """
    steps = (_first_of_setup(view) or _owed(view) or _due(view) for view in views)
    return tuple(step for step in steps if step is not None)


def reading_next(views: Sequence[Batch]) -> Next | None:
    """What is read next, in the order of the plan; None when there is nothing to read.

    First what is waited for, then what the next operation at the machine leaves to be read.
    """
    for view in views:
        found = _first_of_setup(view) or _owed(view)
        if found is not None:
            return found
    for view in views:
        found = _due(view)
        if found is not None and found.step in (Pending.DO, Pending.START) and any(
            slot.slot is Slot.NOT_YET and slot.piece in found.pieces
            for series in view.series
            if series.operation.number == found.op
            for slot in series.slots
        ):  # fmt: skip
            return found
    return None


def _first_of_setup(view: Batch) -> Next | None:
    for series in view.series:
        if series.callout.attribute:  # a check by eye says nothing of the tool's new place
            continue
        for setup in series.setups:
            if setup.entry is None:
                continue
            own = [s for s in series.slots if setup.first_piece <= s.piece <= setup.last_piece]
            waits = (Slot.MISSING, Slot.NOT_YET)
            if own and own[0].slot in waits and all(s.slot is not Slot.READ for s in own):
                return Next(
                    Pending.READ_FIRST_OF_SETUP,
                    view.part.id,
                    series.operation,
                    (own[0].piece,),
                    view.part.read_for(series.dimension),
                    setup.cause,
                )
    return None


def _owed(view: Batch) -> Next | None:
    for op in (o.operation for o in view.ops):
        owed = [s for s in view.series if s.operation.number == op.number and s.owed]
        if owed:
            pieces = tuple(sorted({p for s in owed for p in s.owed}))
            dimensions = tuple(
                dict.fromkeys(d for s in owed for d in view.part.read_for(s.dimension))
            )
            return Next(Pending.READ, view.part.id, op, pieces, dimensions)
    return None


def _due(view: Batch) -> Next | None:
    part = view.part.id
    away = [p.number for p in view.pieces if p.standing is Standing.OUT]
    for op in view.ops:
        if op.open == 0:
            continue
        number = op.operation.number
        waiting = tuple(
            piece.number
            for piece in view.pieces
            if piece.standing is not Standing.SCRAP
            for cell in piece.cells
            if cell.op == number and cell.applies and not cell.done
        )
        here = tuple(p for p in waiting if p not in away)
        if not here:
            return Next(Pending.TAKE_BACK, part, op.operation, waiting)
        begun = op.started or op.first or op.photos  # a reading or a photo is a beginning too
        step = Pending.SEND if op.operation.sent_out else Pending.DO if begun else Pending.START
        return Next(step, part, op.operation, here, some=bool(op.done))
    return None
