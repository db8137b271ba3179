"""What next: for every part, the first thing that its live pieces wait for."""

from __future__ import annotations

from collections.abc import Sequence

from qlog.counting import count, pieces
from qlog.review.part.batch import Batch
from qlog.review.views import Next, Slot, Standing


def next_up(views: Sequence[Batch]) -> tuple[Next, ...]:
    """One line a part, in the order of the plan.

    The first piece of a new setup comes first, then readings still owed, then the next cut.
    """
    found: list[Next] = []
    for view in views:
        line = _first_of_setup(view) or _owed(view) or _due(view)
        if line is not None:
            found.append(line)
    return tuple(found)


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
                part, op = view.part.id, series.operation.number
                return Next(
                    part,
                    op,
                    f"{part}-{own[0].piece} is the first of a new setup of op {op} "
                    f"({setup.cause}): `qlog read {part} {op} {series.dimension.id} "
                    f"{own[0].piece} VALUE`",
                )
    return None


def _owed(view: Batch) -> Next | None:
    part = view.part.id
    for op in (o.operation for o in view.ops):
        owed = {s.dimension.name: s.owed for s in view.series if s.operation.number == op.number}
        owed = {name: missing for name, missing in owed.items() if missing}
        if owed:
            all_of = {p for missing in owed.values() for p in missing}
            return Next(
                part,
                op.number,
                f"{part} op {op.number} {op.name}: read {', '.join(owed)} of "
                f"{pieces(part, all_of)}: `qlog read {part} {op.number}`",
            )
    return None


def _due(view: Batch) -> Next | None:
    part = view.part.id
    away = [p.number for p in view.pieces if p.standing is Standing.OUT]
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
        here = [p for p in waiting if p not in away]
        which = pieces(part, here) if op.done else count(len(here), "piece", "pieces")
        name = f"{part} op {number} {op.operation.name}"
        if not here:
            return Next(
                part,
                number,
                f"{name}: {pieces(part, waiting)} away: `qlog back {part} {number}` when they come",
            )
        if op.operation.sent_out:
            text = f"{name}: send {which} to {op.operation.sent_out}: `qlog send {part} {number}`"
        elif op.started:
            text = f"{name}: {which} to do: `qlog done {part} {number}`"
        else:
            text = f"{name}: {which} to do: `qlog start {part} {number}`"
        return Next(part, number, text)
    return None
