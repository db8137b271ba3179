"""Assemble: plan and logbook put together into the picture of how the build stands."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from qlog.drawing.plan import Build, Part
from qlog.logbook.facts import (
    Assembly,
    Clock,
    Disposition,
    Done,
    Entry,
    Fact,
    Gap,
    GaugeCheck,
    ItemSize,
    Note,
    Photo,
    Placement,
    Reading,
    Setup,
    Shipment,
    Start,
)
from qlog.logbook.store import Logbook
from qlog.review.cautions import cautions_for
from qlog.review.findings import build_findings, part_findings
from qlog.review.instrument.experience import Experience
from qlog.review.instrument.instrument_views import instrument_views, studies_of, suspects
from qlog.review.items.item_views import item_of, item_views
from qlog.review.part.decided import spare_pieces
from qlog.review.part.next_up import next_up
from qlog.review.part.series import series_of
from qlog.review.photo_views import photo_views
from qlog.review.picture import (
    CellView,
    OpView,
    PartView,
    PhotoView,
    Picture,
    PieceView,
    SeriesView,
    Slot,
    Standing,
)
from qlog.review.revisions import Revisions
from qlog.review.times import moment

if TYPE_CHECKING:
    from qlog.review.part.deviations import DeviationView


def assemble(build: Build, logbook: Logbook, *, studied: bool = True) -> Picture:
    """The whole picture, from the plan in force and every entry of the logbook.

    Without `studied` the series carry no drift, forecast and charts, which take the longest.
    Only reads. Entries that name a part, operation or piece that the plan no longer has stay in
    the logbook and are reported as findings.
    """
    revisions = Revisions(build, logbook)
    readings = logbook.live(Reading)
    older = {e.id: e for e in logbook.history(Reading) if e.superseded_by is not None}
    checks = logbook.live(GaugeCheck)
    suspect = suspects(readings, checks)
    gauge_studies = studies_of(build, logbook)
    experience = Experience(checks, gauge_studies)
    photos = photo_views(
        build, logbook.history(Photo), logbook.live(Placement), logbook.live(Clock)
    )
    done = logbook.live(Done)
    starts = logbook.live(Start)
    dispositions = logbook.live(Disposition)
    notes = logbook.live(Note)
    shipments = logbook.live(Shipment)
    assembly = logbook.live(Assembly)
    gaps = logbook.live(Gap)
    setups = logbook.live(Setup)

    views: list[PartView] = []
    for part in build.parts:
        own_done = {(e.fact.op, e.fact.piece): e for e in done if e.fact.part == part.id}
        decided = _by_piece(e for e in dispositions if e.fact.part == part.id)
        own_shipments = [e for e in shipments if e.fact.part == part.id]
        own_readings = [e for e in readings if e.fact.part == part.id]
        own_notes = [e for e in notes if e.fact.part == part.id]
        own_photos = tuple(p for p in photos if p.part == part.id and p.counts)
        items = item_of(assembly, part.id)
        touched = {p for _, p in own_done} | {e.fact.piece for e in own_readings}
        pieces = sorted(set(part.pieces) | touched)
        standings = {
            piece: _standing(piece, decided.get(piece, ()), own_shipments, items, touched)
            for piece in pieces
        }
        scrapped_at = {
            piece: next((e.fact.op or 0 for e in entries if e.fact.decision == "scrap"), 0)
            for piece, entries in decided.items()
        }
        series = series_of(
            build,
            part,
            revisions,
            own_readings,
            older,
            [e for e in gaps if e.fact.part == part.id],
            setups,
            standings,
            own_done,
            suspect,
            scrapped_at,
            experience,
        )
        ops = tuple(
            _op_view(
                build,
                part,
                number,
                own_done,
                standings,
                scrapped_at,
                starts,
                own_readings,
                own_photos,
                own_notes,
                own_shipments,
            )
            for number in (o.number for o in part.operations)
        )
        piece_views = _piece_views(
            build,
            part,
            pieces,
            standings,
            own_done,
            series,
            own_photos,
            decided,
            items,
            own_notes,
            own_readings,
            scrapped_at,
        )
        live = sum(s is not Standing.SCRAP for s in standings.values())
        view = PartView(
            part=part,
            pieces=piece_views,
            ops=ops,
            series=series,
            photos=own_photos,
            live=live,
            scrapped=len(standings) - live,
            margin=live - part.needed,
            finished=sum(
                standings[piece] is not Standing.SCRAP
                and all(
                    (o.number, piece) in own_done
                    for o in part.operations
                    if part.takes(o.number, piece)
                )
                for piece in pieces
            ),
            findings=(),
        )
        views.append(view)

    deviations: tuple[DeviationView, ...] = ()
    if studied:
        from qlog.review.part.deviations import deviation_views
        from qlog.review.part.series_study import with_studies

        views = list(with_studies(views))
        deviations = deviation_views(views)
    views = [replace(view, findings=part_findings(view)) for view in views]
    instruments = instrument_views(build, checks, readings, suspect, gauge_studies)
    unplaced = tuple(p for p in photos if _unplaced(p))
    items_seen = item_views(build, views, assembly, logbook.live(ItemSize), photos)
    times = [e.made for group in (readings, done, starts, shipments, assembly) for e in group]
    times.sort(key=moment)
    head = logbook.head()
    return Picture(
        build=build,
        parts=tuple(views),
        items=items_seen,
        instruments=instruments,
        photos=photos,
        unplaced=unplaced,
        findings=build_findings(build, views, instruments, unplaced, _all_facts(logbook)),
        next=next_up(views),
        deviations=deviations,
        experience=experience,
        clocks=tuple(logbook.live(Clock)),
        first=times[0] if times else None,
        last=times[-1] if times else None,
        entries=head.entries,
        sum=head.sum,
        revisions=len(revisions),
    )


def _all_facts(logbook: Logbook) -> list[Entry[Fact]]:
    kinds: tuple[type[Fact], ...] = (Reading, Gap, Start, Done, Setup, Disposition, Shipment)
    return [entry for kind in kinds for entry in logbook.live(kind)]


def _unplaced(photo: PhotoView) -> bool:
    """Whether nobody has said yet where the photo belongs."""
    placed = photo.part or photo.item or photo.cover
    return not placed and photo.audience != "nobody"


def _by_piece(
    entries: Iterable[Entry[Disposition]],
) -> dict[int, tuple[Entry[Disposition], ...]]:
    found: dict[int, list[Entry[Disposition]]] = defaultdict(list)
    for entry in entries:
        found[entry.fact.piece].append(entry)
    return {piece: tuple(list_) for piece, list_ in found.items()}


def _standing(
    piece: int,
    decided: Sequence[Entry[Disposition]],
    shipments: Sequence[Entry[Shipment]],
    items: Mapping[int, str],
    touched: set[int],
) -> Standing:
    if any(e.fact.decision == "scrap" for e in decided):
        return Standing.SCRAP
    if piece in items:
        return Standing.ASSEMBLED
    own = [e for e in shipments if e.fact.piece == piece]
    if own and own[-1].fact.direction == "out":
        return Standing.OUT
    if decided:
        return Standing.AS_IS if decided[-1].fact.decision == "use as is" else Standing.REWORK
    return Standing.LIVE if piece in touched else Standing.UNCUT


def _op_view(
    build: Build,
    part: Part,
    number: int,
    done: Mapping[tuple[int, int], Entry[Done]],
    standings: Mapping[int, Standing],
    scrapped_at: Mapping[int, int],
    starts: Sequence[Entry[Start]],
    readings: Sequence[Entry[Reading]],
    photos: Sequence[PhotoView],
    notes: Sequence[Entry[Note]],
    shipments: Sequence[Entry[Shipment]],
) -> OpView:
    operation = part.operation(number)
    entries: list[Entry[Fact]] = [e for (op, _), e in done.items() if op == number]
    begun = [e for e in starts if e.fact.part == part.id and e.fact.op == number]
    entries += begun
    entries += [e for e in readings if e.fact.op == number]
    stretch = sorted((e.made for e in entries), key=moment)
    own = tuple(p for p in photos if p.op == number)
    finished = {piece for (op, piece) in done if op == number}
    waiting = [
        p
        for p, standing in standings.items()
        if p not in finished and standing is not Standing.SCRAP and part.takes(number, p)
    ]
    missing = 0
    if finished:
        missing = max(0, operation.photos - len(own))
        if operation.photos_each:
            live = [p for p in finished if not 0 < scrapped_at.get(p, 0) < number]
            short = sum(
                max(0, operation.photos_each - sum(v.piece == p for v in own)) for p in live
            )
            missing = max(missing, short)
    return OpView(
        operation=operation,
        done=len(finished),
        open=len(waiting),
        started=begun[0].made if begun else None,
        first=stretch[0] if stretch else None,
        last=stretch[-1] if stretch else None,
        photos=own,
        photos_missing=missing,
        cautions=cautions_for(operation.kind, build.language),
        notes=tuple(e for e in notes if e.fact.op == number),
        shipments=tuple(e for e in shipments if e.fact.op == number),
    )


def _piece_views(
    build: Build,
    part: Part,
    pieces: Sequence[int],
    standings: Mapping[int, Standing],
    done: Mapping[tuple[int, int], Entry[Done]],
    series: Sequence[SeriesView],
    photos: Sequence[PhotoView],
    decided: Mapping[int, tuple[Entry[Disposition], ...]],
    items: Mapping[int, str],
    notes: Sequence[Entry[Note]],
    readings: Sequence[Entry[Reading]],
    scrapped_at: Mapping[int, int],
) -> tuple[PieceView, ...]:
    good = [p for p in pieces if standings[p] is not Standing.SCRAP]
    spares = spare_pieces(build, part, good, items)
    views: list[PieceView] = []
    for piece in pieces:
        cells: list[CellView] = []
        ended = scrapped_at.get(piece, 0) if standings[piece] is Standing.SCRAP else None
        for operation in part.operations:
            entry = done.get((operation.number, piece))
            applies = entry is not None or part.takes(operation.number, piece)
            slots = [
                slot
                for s in series
                if s.operation.number == operation.number
                for slot in s.slots
                if slot.piece == piece
            ]
            cells.append(
                CellView(
                    op=operation.number,
                    done=entry is not None,
                    due=applies and entry is None and (ended is None or operation.number <= ended),
                    readings=sum(s.slot is Slot.READ for s in slots),
                    wanted=sum(s.slot in (Slot.READ, Slot.NOT_YET, Slot.MISSING) for s in slots),
                    photos=sum(p.op == operation.number and p.piece == piece for p in photos),
                    photos_wanted=operation.photos_each,
                    bad=any(s.reading is not None and s.reading.bad for s in slots),
                    override=entry.fact.override if entry is not None else "",
                    applies=applies,
                )
            )
        own: list[Entry[Fact]] = [e for (_, p), e in done.items() if p == piece]
        own += [e for e in readings if e.fact.piece == piece]
        times = sorted((e.made for e in own), key=moment)
        views.append(
            PieceView(
                part=part.id,
                number=piece,
                name=f"{part.id}-{piece}",
                standing=standings[piece],
                cells=tuple(cells),
                dispositions=decided.get(piece, ()),
                item=items.get(piece),
                notes=tuple(e for e in notes if e.fact.piece == piece),
                made=times[-1] if times else None,
                spare=piece in spares,
            )
        )
    return tuple(views)
