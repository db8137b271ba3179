"""Before an operation: what is required first, what a lost piece would mean, how to be safe."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from qlog.counting import count, pieces
from qlog.drawing.plan import Operation
from qlog.review.cautions.caution import Caution
from qlog.review.cautions.recognise import cautions_of
from qlog.review.part.batch import Batch
from qlog.review.part.stock import LOSS, blanks, percent, stock_of
from qlog.review.picture import Picture
from qlog.review.views import Slot, Standing


@dataclass(frozen=True, slots=True)
class Required:
    """One thing that ought to be there before the operation begins, and how to supply it."""

    text: str
    remedy: str


@dataclass(frozen=True, slots=True)
class Ready:
    """What to know before an operation is begun."""

    operation: Operation
    waiting: tuple[int, ...]  # live pieces that can have it now
    missing: tuple[Required, ...]
    warnings: tuple[str, ...]
    cautions: tuple[Caution, ...]
    afterwards: tuple[str, ...]  # what is wanted of it: readings and photos


def ready_for(picture: Picture, view: Batch, op: int) -> Ready:
    """Look ahead at one operation of a batch. Raises KeyError when the route has none such."""
    operation = view.part.operation(op)
    waiting, held = _waiting(view, op)
    missing = [
        *_open(view, held),
        *_sealed(view, op),
        *_unread(view, op),
        *_photos(view, op),
    ]
    return Ready(
        operation,
        tuple(waiting),
        tuple(missing),
        (*_losses(view, operation), *_undecided(view, op), *_instruments(picture, view, op)),
        cautions_of(picture.build, view.part, operation),
        _afterwards(view, operation),
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


def _open(view: Batch, held: dict[int, int]) -> list[Required]:
    part = view.part
    return [
        Required(
            f"op {number} {part.operation(number).name} is open on "
            f"{pieces(part.id, [p for p, n in held.items() if n == number])}",
            f"qlog done {part.id} {number}, if they have had it",
        )
        for number in sorted(set(held.values()))
    ]


def _sealed(view: Batch, op: int) -> list[Required]:
    """Dimensions that this operation puts out of reach and that are not read."""
    part = view.part
    found = []
    for series in view.series:
        if series.operation.number >= op:
            continue
        owing = [
            s.piece
            for s in series.slots
            if s.slot in (Slot.MISSING, Slot.NOT_YET)
            and part.sealed_by(series.dimension, s.piece) == op
        ]
        if owing:
            found.append(
                Required(
                    f"{series.dimension.name} of {pieces(part.id, owing)} cannot be reached after "
                    "this operation",
                    f"qlog read {part.id} {series.operation.number} {series.dimension.id}",
                )
            )
    return found


def _unread(view: Batch, op: int) -> list[Required]:
    """Readings owed from earlier operations, besides those that this one puts out of reach."""
    part = view.part
    found = []
    for series in view.series:
        number = series.operation.number
        owing = [
            s.piece
            for s in series.slots
            if s.owed and part.sealed_by(series.dimension, s.piece) != op
        ]
        if number < op and owing:
            found.append(
                Required(
                    f"{series.dimension.name} of {pieces(part.id, owing)} not read (op {number})",
                    f"qlog read {part.id} {number} {series.dimension.id}",
                )
            )
    return found


def _photos(view: Batch, op: int) -> list[Required]:
    return [
        Required(
            f"{count(o.photos_missing, 'photo', 'photos')} of op {o.operation.number} "
            f"{o.operation.name} missing",
            f"qlog photo add FILE --part {view.part.id} --op {o.operation.number}",
        )
        for o in view.ops
        if o.operation.number < op and o.photos_missing
    ]


def _losses(view: Batch, operation: Operation) -> list[str]:
    """How many may be lost, before stock is cut and before what cannot be undone."""
    part = view.part
    stock = stock_of(view)
    first = operation is part.operations[0]
    if not (first or operation.irreversible or operation.sent_out):
        return []
    what = "cannot be undone" if operation.irreversible else ""
    if operation.sent_out:
        what = ", ".join(w for w in (f"goes out to {operation.sent_out}", what) if w)
    if first:
        what = "before stock is cut"
    margin = (
        f"{view.margin} to spare"
        if view.margin > 0
        else "no spare: every piece that is lost is missing"
        if view.margin == 0
        else f"{-view.margin} too few already"
    )
    odds = (
        f"{percent(stock.chance)} that enough come through with {percent(LOSS)} lost at each "
        "operation"
    )
    lines = [f"{what}: {stock.live} {part.id} for {part.needed}, {margin}; {odds}"]
    if first and stock.more:
        lines.append(f"{blanks(stock.more)} would make it 95 %")
    return lines


def _undecided(view: Batch, op: int) -> list[str]:
    decided = {p.number for p in view.pieces if p.decision}
    return [
        f"{r.part}-{r.piece} {s.dimension.name} {r.typed} is out and nothing is decided "
        f"(qlog piece {r.part}-{r.piece} scrap|rework|use-as-is --why ...)"
        for s in view.series
        if s.operation.number < op
        for r in s.readings
        if r.bad and r.piece not in decided and view.part.takes(op, r.piece)
    ]


def _instruments(picture: Picture, view: Batch, op: int) -> list[str]:
    wanted = {d.instrument for d in view.part.read_after(op)}
    return [
        f"{v.instrument.name} failed its last check (qlog gauge check {v.instrument.id} ...)"
        for v in picture.instruments
        if v.fit is False and v.instrument.id in wanted
    ]


def _afterwards(view: Batch, operation: Operation) -> tuple[str, ...]:
    """What is wanted once it is done."""
    part = view.part
    names = [d.name for d in part.read_after(operation.number)]
    found: list[str] = []
    if names:
        found.append(f"read {_listed(names)}: qlog read {part.id} {operation.number}")
    wanted: list[str] = []
    if operation.photos:
        wanted.append(f"{count(operation.photos, 'photo', 'photos')} of the batch")
    if operation.photos_each:
        wanted.append(f"{count(operation.photos_each, 'photo', 'photos')} of every piece")
    if wanted:
        found.append(
            f"{' and '.join(wanted)}: qlog photo add FILE --part {part.id} --op {operation.number}"
        )
    return tuple(found)


def _listed(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
