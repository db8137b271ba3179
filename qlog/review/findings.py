"""Findings: what is out, missing, in doubt or short, each with what to do about it."""

from __future__ import annotations

from collections.abc import Sequence

from qlog.counting import count, pieces
from qlog.drawing.callouts.callout import Callout
from qlog.drawing.limits import Limits
from qlog.review.homeless import Gone, Homeless
from qlog.review.instrument.instrument_views import InstrumentView
from qlog.review.instrument.judging import tidy
from qlog.review.part.batch import Batch
from qlog.review.part.decided import SETTLED
from qlog.review.part.mixups import mixups
from qlog.review.views import Finding, PhotoView, PieceView, ReadingView, Slot, Standing, Weight
from qlog.study.conformity.verdict import Verdict

_ORDER = {Weight.BAD: 0, Weight.WARN: 1, Weight.NOTE: 2}


def part_findings(view: Batch) -> tuple[Finding, ...]:
    """Everything to know about one part's batch, worst first."""
    found = [
        *_readings(view),
        *_trends(view),
        *mixups(view),
        *_missing_readings(view),
        *_missing_photos(view),
        *_order(view),
        *_stock(view),
    ]
    return tuple(sorted(found, key=lambda f: _ORDER[f.weight]))


def build_findings(
    of_parts: Sequence[Finding],
    instruments: Sequence[InstrumentView],
    unplaced: Sequence[PhotoView],
    homeless: Sequence[Homeless],
) -> tuple[Finding, ...]:
    """The findings of all parts, and those that belong to no part, worst first."""
    found = list(of_parts)
    for view in instruments:
        if view.suspect:
            found.append(
                Finding(
                    Weight.WARN,
                    "suspect",
                    "",
                    None,
                    None,
                    None,
                    f"{view.instrument.name}: {count(view.suspect, 'reading', 'readings')} taken "
                    "since its last good check are suspect",
                    "read those dimensions again with an instrument that is fit for use",
                    view.instrument.name,
                )
            )
    if unplaced:
        proposed = sum(p.placement is not None and bool(p.placement.proposed) for p in unplaced)
        found.append(
            Finding(
                Weight.WARN,
                "unplaced",
                "",
                None,
                None,
                None,
                f"{count(len(unplaced), 'photo', 'photos')} not placed yet"
                + (f", {proposed} with a proposal" if proposed else ""),
                "`qlog photo unplaced` shows them, `qlog photo place` puts them"
                + (", `qlog photo place all --as-proposed` confirms" if proposed else ""),
            )
        )
    found += _strangers(homeless)
    return tuple(sorted(found, key=lambda f: _ORDER[f.weight]))


def _readings(view: Batch) -> list[Finding]:
    part = view.part.id
    decided = {p.number: p.decision for p in view.pieces}
    found: list[Finding] = []
    for series in view.series:
        name, op = series.dimension.name, series.operation.number
        for reading in series.readings:
            where = (part, op, reading.piece, series.dimension.id)
            settled = decided[reading.piece] in SETTLED
            said = f"{part}-{reading.piece} {name} {reading.typed}"
            if reading.bad:
                limit = _limit_missed(reading, series.callout)
                found.append(
                    Finding(
                        Weight.NOTE if settled else Weight.BAD,
                        "out",
                        *where,
                        f"{said}: {reading.word}{limit}"
                        + (f", {decided[reading.piece]}" if settled else ""),
                        ""
                        if settled
                        else f"decide: `qlog piece {part}-{reading.piece} scrap|rework|use-as-is`",
                    )
                )
            elif reading.verdict is Verdict.NOT_PROVEN and not settled:
                found.append(
                    Finding(
                        Weight.WARN,
                        "not proven",
                        *where,
                        f"{said}: not proven, too near a limit for this instrument",
                        "read it with a finer instrument",
                    )
                )
            if reading.today is not None:
                found.append(
                    Finding(
                        Weight.WARN,
                        "judged otherwise",
                        *where,
                        f"{said}: {reading.word} by the drawing it was made to, "
                        f"{reading.today.value} by today's",
                        "decide whether the piece still serves",
                    )
                )
    return found


def _limit_missed(reading: ReadingView, today: Callout) -> str:
    """The limit that it was judged by, which may be an earlier drawing's."""
    if reading.judgement is None or not reading.judgement.verdict.out:
        return ""
    limits = reading.judgement.limits
    missed = limits.upper if reading.verdict is Verdict.HIGH else limits.lower
    if missed is None:
        return ""
    general = f" ({today.source})" if today.general and today.limits == limits else ""
    return f", limit {tidy(missed, Limits(None, None, limits.unit)):f}{general}"


def _trends(view: Batch) -> list[Finding]:
    """Drifts, outlier readings and instruments too coarse, where the series were studied."""
    part = view.part.id
    standing = {p.number: p.standing for p in view.pieces}
    found: list[Finding] = []
    for series in view.series:
        study = series.study
        if study is None:
            continue
        where = (part, series.operation.number, None, series.dimension.id)
        if study.drifting:
            ahead = any(s.slot in (Slot.NOT_YET, Slot.MISSING) for s in series.slots)
            found.append(
                Finding(
                    Weight.WARN,
                    "drift",
                    *where,
                    study.sentence,
                    "touch the tool up, or offset it, before the next piece; then "
                    f"`qlog setup {part} {series.operation.number} PIECE re-touch`"
                    if ahead
                    else "",
                )
            )
        outlier = study.outlier_piece
        if outlier is not None and standing[outlier] is not Standing.SCRAP:
            found.append(
                Finding(
                    Weight.WARN,
                    "outlier",
                    part,
                    series.operation.number,
                    outlier,
                    series.dimension.id,
                    f"{part}-{outlier} {series.dimension.name} stands apart from its batch",
                    "deburr, wipe, read again; both readings stay",
                )
            )
        for doubt in study.biases:
            found.append(
                Finding(
                    Weight.NOTE,
                    "instrument",
                    *where,
                    f"{part} {series.dimension.name}: {doubt.text}",
                )
            )
    return found


def _missing_readings(view: Batch) -> list[Finding]:
    found: list[Finding] = []
    for series in view.series:
        op = series.operation.number
        if series.unmatched:
            found.append(
                Finding(
                    Weight.WARN,
                    "read otherwise",
                    view.part.id,
                    op,
                    series.unmatched[0] if len(series.unmatched) == 1 else None,
                    series.dimension.id,
                    f"{pieces(view.part.id, series.unmatched)}: what was read of "
                    f"{series.dimension.name} after op {op} is no answer to "
                    f"{series.callout.text}, which the drawing asks for now",
                    f"read it again: `qlog correct {view.part.id} {op} {series.dimension.id} "
                    "PIECE VALUE --why ...`",
                )
            )
        owed = series.owed
        if owed:
            found.append(
                Finding(
                    Weight.WARN,
                    "reading missing",
                    view.part.id,
                    op,
                    owed[0] if len(owed) == 1 else None,
                    series.dimension.id,
                    f"{pieces(view.part.id, owed)}: no reading of {series.dimension.name} "
                    f"after op {op}",
                    f"`qlog read {view.part.id} {op}`",
                )
            )
    return found


def _missing_photos(view: Batch) -> list[Finding]:
    return [
        Finding(
            Weight.WARN,
            "photo missing",
            view.part.id,
            op.operation.number,
            None,
            None,
            f"{view.part.id} op {op.operation.number} {op.operation.name}: "
            f"{count(op.photos_missing, 'photo', 'photos')} missing",
            f"`qlog photo add FILE --part {view.part.id} --op {op.operation.number}`",
        )
        for op in view.ops
        if op.photos_missing
    ]


def _order(view: Batch) -> list[Finding]:
    found: list[Finding] = []
    for piece in view.pieces:
        skipped = _skipped(piece)
        if skipped is None:
            continue
        open_op, later = skipped
        found.append(
            Finding(
                Weight.WARN,
                "order",
                view.part.id,
                open_op,
                piece.number,
                None,
                f"{piece.name}: op {later} is done, op {open_op} is not",
                f"`qlog done {view.part.id} {open_op} {piece.number}` if it was, or do it now",
                str(later),
            )
        )
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
    part = view.part
    out = [p.number for p in view.pieces if p.standing is Standing.OUT]
    found: list[Finding] = []
    if view.margin < 0:
        found.append(
            Finding(
                Weight.BAD,
                "short",
                part.id,
                None,
                None,
                None,
                f"{part.name}: {view.live} good, {part.needed} needed",
                f"make {count(-view.margin, 'more piece', 'more pieces')}",
            )
        )
    elif view.margin == 0 and view.scrapped:
        found.append(
            Finding(
                Weight.WARN,
                "no spare",
                part.id,
                None,
                None,
                None,
                f"{part.name}: no spare left ({view.live} good, {part.needed} needed)",
                "take care, or cut one more blank while the setup stands",
            )
        )
    if out:
        found.append(
            Finding(
                Weight.NOTE,
                "sent out",
                part.id,
                None,
                None,
                None,
                f"{pieces(part.id, out)} sent out and not back",
                f"`qlog back {part.id}` when they come",
            )
        )
    return found


def _strangers(homeless: Sequence[Homeless]) -> list[Finding]:
    """Entries that name what the plan has not."""
    found = []
    for lost in homeless:
        what = f"{lost.gone.value} {lost.name}"
        if lost.gone in (Gone.OPERATION, Gone.DIMENSION):
            what = f"{lost.part} {'op ' if lost.gone is Gone.OPERATION else ''}{lost.name}"
        readings = len(lost.readings)
        said = f" ({count(readings, 'reading', 'readings')} without a home)" if readings else ""
        found.append(
            Finding(
                Weight.WARN,
                "not in the plan",
                "",
                None,
                None,
                None,
                f"{count(len(lost.entries), 'entry names', 'entries name')} {what}, which "
                f"build.toml has not{said}",
                "put it back into build.toml, or correct the entries",
                what.removeprefix("part "),
            )
        )
    return found
