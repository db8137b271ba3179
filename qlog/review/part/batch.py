"""The batch of one part: its pieces, operations and series as they stand."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from qlog.drawing.plan import Build, Operation, Part
from qlog.frozen import frozen
from qlog.logbook.facts import Disposition, Entry, Note, Remade
from qlog.logbook.part_log import PartLog
from qlog.review.cautions.recognise import cautions_of
from qlog.review.moments import first_and_last
from qlog.review.part.decided import decision_on, failed_readings, spare_pieces
from qlog.review.part.series import Series
from qlog.review.part.settings import set_views
from qlog.review.views import CellView, OpView, PhotoView, PieceView, Slot, SlotView, Standing

if TYPE_CHECKING:
    from qlog.review.part.series_study import SeriesStudy

_STANDING = {
    "scrap": Standing.SCRAP,
    "use as is": Standing.AS_IS,
    "rework": Standing.REWORK,
}
_WANTED = (Slot.READ, Slot.NOT_YET, Slot.MISSING)


@frozen
class SeriesView(Series):
    """A series with what it means."""

    study: SeriesStudy | None  # drift, forecast, capability ...; None when not studied


@frozen
class Batch:
    """One part's batch."""

    part: Part
    pieces: tuple[PieceView, ...]
    ops: tuple[OpView, ...]
    series: tuple[SeriesView, ...]
    photos: tuple[PhotoView, ...]
    live: int
    scrapped: int
    margin: int  # live pieces (uncut ones included) minus needed
    finished_pieces: tuple[int, ...]
    finished: int  # pieces here that have had every operation and reading and have not failed
    remade: tuple[Entry[Remade], ...]  # pieces made anew, the newest entry of each
    earlier: Mapping[int, Sequence[Entry[Any]]]  # what is logged of earlier makings of pieces

    @property
    def given_up(self) -> tuple[Entry[Disposition], ...]:
        """What was decided about the pieces that were replaced under their number."""
        return tuple(
            e for of in self.earlier.values() for e in of if isinstance(e.fact, Disposition)
        )


def batch_of(
    build: Build,
    log: PartLog,
    series: Sequence[Series],
    photos: Sequence[PhotoView],
    *,
    studied: bool,
) -> Batch:
    """The batch of a part out of its log, its series and the photos that count for it.

    Without `studied` the series carry no drift, forecast and charts, which take the longest.
    """
    part = log.part
    standings = {piece: _standing(log, piece) for piece in log.pieces}
    live = sum(s is not Standing.SCRAP for s in standings.values())
    pieces = _pieces(build, log, standings, series, photos)
    failed = failed_readings(pieces, series)
    finished = tuple(
        piece.number
        for piece in pieces
        if piece.standing not in (Standing.SCRAP, Standing.OUT)
        and piece.number not in failed
        and not piece.owes
        and not any(cell.due for cell in piece.cells)
    )
    return Batch(
        part=part,
        pieces=pieces,
        ops=_ops(build, log, standings, photos),
        series=_studied(series) if studied else tuple(_view(s) for s in series),
        photos=tuple(photos),
        live=live,
        scrapped=len(standings) - live,
        margin=live - part.needed,
        finished_pieces=finished,
        finished=len(finished),
        remade=tuple(log.remade[p] for p in sorted(log.remade)),
        earlier=log.earlier,
    )


def _studied(series: Sequence[Series]) -> tuple[SeriesView, ...]:
    from qlog.review.part.series_study import SeriesStudy

    return tuple(_view(s, SeriesStudy(s) if s.readings else None) for s in series)


def _view(series: Series, study: SeriesStudy | None = None) -> SeriesView:
    return SeriesView(
        **{name: getattr(series, name) for name in Series.__match_args__}, study=study
    )


def _standing(log: PartLog, piece: int) -> Standing:
    decision = decision_on(log, piece)
    if decision == "scrap":
        return Standing.SCRAP
    if piece in log.assembly:
        return Standing.ASSEMBLED
    if piece in log.away:
        return Standing.OUT
    if decision:
        return _STANDING[decision]
    return Standing.LIVE if piece in log.touched else Standing.UNCUT


def _ops(
    build: Build,
    log: PartLog,
    standings: Mapping[int, Standing],
    photos: Sequence[PhotoView],
) -> tuple[OpView, ...]:
    times: dict[int, list[str]] = defaultdict(list)
    finished: dict[int, set[int]] = defaultdict(set)
    for (op, piece), entry in log.done.items():
        finished[op].add(piece)
        times[op].append(entry.made)
    started: dict[int, str] = {}
    for begun in log.starts:
        started.setdefault(begun.fact.op, begun.made)
        times[begun.fact.op].append(begun.made)
    for reading in log.readings:
        times[reading.fact.op].append(reading.made)
    own: dict[int, list[PhotoView]] = defaultdict(list)
    for photo in photos:
        if photo.op is not None:
            own[photo.op].append(photo)
    stretch = {o.number: first_and_last(times[o.number]) for o in log.part.operations}
    return tuple(
        OpView(
            operation=operation,
            done=len(finished[operation.number]),
            open=sum(
                standing is not Standing.SCRAP
                and piece not in finished[operation.number]
                and (not operation.only or piece in operation.only)
                for piece, standing in standings.items()
            ),
            started=started.get(operation.number),
            first=stretch[operation.number][0],
            last=stretch[operation.number][1],
            photos=tuple(own[operation.number]),
            photos_missing=_photos_missing(
                operation, log, finished[operation.number], own[operation.number]
            ),
            cautions=cautions_of(build, log.part, operation),
            notes=tuple(e for e in log.notes if e.fact.op == operation.number),
            shipments=tuple(e for e in log.shipments if e.fact.op == operation.number),
            settings=set_views(log, operation.number),
            begun=tuple(e for e in log.starts if e.fact.op == operation.number),
        )
        for operation in log.part.operations
    )


def _photos_missing(
    operation: Operation, log: PartLog, finished: Collection[int], photos: Sequence[PhotoView]
) -> int:
    if not finished:
        return 0
    photos = [photo for photo in photos if not photo.is_paper]
    missing = max(0, operation.photos - len(photos))
    if not operation.photos_each:
        return missing
    taken: dict[int | None, int] = defaultdict(int)
    for photo in photos:
        taken[photo.piece] += 1
    short = sum(
        max(0, operation.photos_each - taken[piece])
        for piece in finished
        if not 0 < log.scrapped.get(piece, 0) < operation.number
    )
    return max(missing, short)


def _pieces(
    build: Build,
    log: PartLog,
    standings: Mapping[int, Standing],
    series: Sequence[Series],
    photos: Sequence[PhotoView],
) -> tuple[PieceView, ...]:
    part = log.part
    items = {piece: entry.fact.item for piece, entry in log.assembly.items()}
    good = [p for p, standing in standings.items() if standing is not Standing.SCRAP]
    spares = spare_pieces(build, part, good, items)
    slots: dict[tuple[int, int], list[SlotView]] = defaultdict(list)
    owes: dict[int, int] = defaultdict(int)
    for s in series:
        for slot in s.slots:
            slots[s.operation.number, slot.piece].append(slot)
        for piece in s.owed:
            owes[piece] += 1
    notes: dict[int | None, list[Entry[Note]]] = defaultdict(list)
    for note in log.notes:
        notes[note.fact.piece].append(note)
    taken: dict[tuple[int | None, int | None], int] = defaultdict(int)
    for photo in photos:
        taken[photo.op, photo.piece] += 1
    made: dict[int, list[str]] = defaultdict(list)
    for mark in log.done.values():
        made[mark.fact.piece].append(mark.made)
    for reading in log.readings:
        made[reading.fact.piece].append(reading.made)
    return tuple(
        PieceView(
            part=part.id,
            number=piece,
            name=part.named(piece),
            standing=standing,
            cells=tuple(
                _cell(
                    log,
                    operation,
                    piece,
                    slots.get((operation.number, piece), ()),
                    taken.get((operation.number, piece), 0),
                )
                for operation in part.operations
            ),
            dispositions=log.decisions(piece),
            item=items.get(piece),
            notes=tuple(notes[piece]),
            decision=decision_on(log, piece),
            made=first_and_last(made[piece])[1],
            spare=piece in spares,
            owes=owes[piece],
            mark=part.mark(piece),
        )
        for piece, standing in standings.items()
    )


def _cell(
    log: PartLog, operation: Operation, piece: int, slots: Sequence[SlotView], photos: int
) -> CellView:
    op = operation.number
    entry = log.done.get((op, piece))
    applies = entry is not None or not operation.only or piece in operation.only
    ended = log.scrapped.get(piece)
    return CellView(
        op=op,
        done=entry is not None,
        due=applies and entry is None and (ended is None or op <= ended),
        readings=sum(s.slot is Slot.READ for s in slots),
        wanted=sum(s.slot in _WANTED for s in slots),
        photos=photos,
        photos_wanted=operation.photos_each,
        bad=any(s.reading is not None and s.reading.bad for s in slots),
        override="" if entry is None else entry.fact.override,
        applies=applies,
        made=None if entry is None else entry.made,
    )
