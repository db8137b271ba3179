"""Before an operation: what is required first, what a lost piece would mean, how to be safe."""

from __future__ import annotations

from collections.abc import Callable
from enum import StrEnum

from qlog.drawing.plan import Dimension, Instrument, Operation, Part
from qlog.frozen import frozen
from qlog.review.cautions.caution import Caution
from qlog.review.cautions.recognise import cautions_of
from qlog.review.part.batch import Batch
from qlog.review.part.settings import SetView
from qlog.review.part.stock import Stock, stock_of
from qlog.review.picture import Picture
from qlog.review.views import ReadingView, Slot, SlotView, Standing


class Lack(StrEnum):
    """What ought to be there before an operation begins, and is not."""

    OPEN = "open"  # an earlier operation
    SEALED = "sealed"  # a reading that can no longer be taken after it
    UNREAD = "unread"
    PHOTOS = "photos"


@frozen
class Lacking:
    """One thing that is not there: which operation owes it, and on which pieces."""

    lack: Lack
    operation: Operation
    pieces: tuple[int, ...] = ()
    dimension: Dimension | None = None
    photos: int = 0


@frozen
class Undecided:
    """A reading that is out, on a piece about which nothing is decided."""

    dimension: Dimension
    reading: ReadingView


@frozen
class Ready:
    """What to know before an operation is begun."""

    part: Part
    operation: Operation
    waiting: tuple[int, ...]  # live pieces that can have it now
    lacking: tuple[Lacking, ...]
    stock: Stock | None  # where pieces may be lost: before stock is cut, or what is for good
    undecided: tuple[Undecided, ...]
    unfit: tuple[Instrument, ...]  # that it is read with, and that failed their last check
    cautions: tuple[Caution, ...]
    settings: tuple[SetView, ...]  # what it was set to, over the pieces

    @property
    def first(self) -> bool:
        """Whether it is the operation for which stock is cut."""
        return self.operation is self.part.operations[0]

    @property
    def to_read(self) -> tuple[Dimension, ...]:
        """What is to be read once it is done."""
        return tuple(self.part.read_after(self.operation.number))


def ready_for(picture: Picture, view: Batch, op: int) -> Ready:
    """Look ahead at one operation of a batch. Raises KeyError when the route has none such."""
    operation = view.part.operation(op)
    waiting, held = _waiting(view, op)
    lacking = (*_open(view, held), *_sealed(view, op), *_unread(view, op), *_photos(view, op))
    losses = operation is view.part.operations[0] or operation.irreversible or operation.sent_out
    return Ready(
        part=view.part,
        operation=operation,
        waiting=tuple(waiting),
        lacking=lacking,
        stock=stock_of(view) if losses else None,
        undecided=_undecided(view, op),
        unfit=_unfit(picture, view, op),
        cautions=cautions_of(picture.build, view.part, operation),
        settings=next(o.settings for o in view.ops if o.operation is operation),
    )


def _waiting(view: Batch, op: int) -> tuple[list[int], dict[int, int]]:
    """Live pieces that can have the operation now, and those held up by an earlier one."""
    ready: list[int] = []
    held: dict[int, int] = {}
    for piece in view.pieces:
        if piece.standing is Standing.SCRAP:
            continue
        cells = {c.op: c for c in piece.cells if c.applies}
        if op not in cells or cells[op].done:
            continue
        before = [n for n, c in cells.items() if n < op and not c.done]
        if before:
            held[piece.number] = before[0]
        else:
            ready.append(piece.number)
    return ready, held


def _open(view: Batch, held: dict[int, int]) -> list[Lacking]:
    return [
        Lacking(
            Lack.OPEN,
            view.part.operation(number),
            tuple(p for p, n in held.items() if n == number),
        )
        for number in sorted(set(held.values()))
    ]


def _sealed(view: Batch, op: int) -> list[Lacking]:
    """Dimensions that this operation puts out of reach and that are not read."""
    open_slots = (Slot.MISSING, Slot.NOT_YET)
    return _owing(
        view, op, Lack.SEALED,
        lambda d, s: s.slot in open_slots and view.part.sealed_by(d, s.piece) == op,
    )  # fmt: skip


def _unread(view: Batch, op: int) -> list[Lacking]:
    """Readings owed from earlier operations, besides those that this one puts out of reach."""
    return _owing(
        view, op, Lack.UNREAD, lambda d, s: s.owed and view.part.sealed_by(d, s.piece) != op
    )


def _owing(
    view: Batch, op: int, lack: Lack, owed: Callable[[Dimension, SlotView], bool]
) -> list[Lacking]:
    """Dimensions of earlier operations with the pieces that owe a reading of that sort."""
    return [
        Lacking(lack, series.operation, pieces, series.dimension)
        for series in view.series
        if series.operation.number < op
        and (pieces := tuple(s.piece for s in series.slots if owed(series.dimension, s)))
    ]


def _photos(view: Batch, op: int) -> list[Lacking]:
    return [
        Lacking(Lack.PHOTOS, o.operation, photos=o.photos_missing)
        for o in view.ops
        if o.operation.number < op and o.photos_missing
    ]


def _undecided(view: Batch, op: int) -> tuple[Undecided, ...]:
    decided = {p.number for p in view.pieces if p.decision}
    return tuple(
        Undecided(s.dimension, r)
        for s in view.series
        if s.operation.number < op
        for r in s.readings
        if r.bad and r.piece not in decided and view.part.takes(op, r.piece)
    )


def _unfit(picture: Picture, view: Batch, op: int) -> tuple[Instrument, ...]:
    wanted = {d.instrument for d in view.part.read_after(op)}
    return tuple(
        v.instrument for v in picture.instruments if v.fit is False and v.instrument.id in wanted
    )
