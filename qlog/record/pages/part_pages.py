"""Batches: one part with its route grid, its pieces' lives, its drawing and its report."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from qlog.drawing.general_tolerance import name as general_name
from qlog.frozen import frozen
from qlog.record.charts import chart as charts
from qlog.record.charts.chart import Shape
from qlog.record.charts.overlays import percent_of
from qlog.record.pages.dimension.figures import Labelled
from qlog.record.pages.dimension.series_page import SeriesPage, page_of_series
from qlog.record.pages.dimension.table_rows import Row, row_piece
from qlog.record.pages.gallery import Gallery, Shown
from qlog.record.pages.page import series_key
from qlog.record.pages.phrases import Phrase, phrases
from qlog.review.findings.of_build import told_together
from qlog.review.part.batch import Batch
from qlog.review.part.decided import failed_readings
from qlog.review.part.finishes import finish_views
from qlog.review.photo_views import covers_of
from qlog.review.picture import Picture
from qlog.review.views import CellView, OpView, PieceView, Standing
from qlog.words.catalogue import Words
from qlog.words.ready import caution_texts
from qlog.words.settings import over_pieces
from qlog.words.values import fixed, with_unit

#: Photos of an operation on the page of its part; the index has all of them.
MOST_PHOTOS = 12

#: Pieces side by side in a block of the measurement report, so that it fits a portrait sheet.
REPORT_COLUMNS = 10


@frozen
class Cell:
    """A cell of the route grid in a shape and in words."""

    shape: str
    words: str
    short: str


@frozen
class PartPage:
    """Everything that the pages show of one part."""

    view: Batch
    material: str
    series_pages: tuple[SeriesPage, ...]
    grid: tuple[tuple[PieceView, str, tuple[Cell, ...]], ...]
    drawing: charts.Drawing | None
    findings: tuple[Phrase, ...]
    photos: Mapping[int, tuple[Shown, ...]]  # by operation, the first of them
    more_photos: Mapping[int, int]  # how many there are where they are more than are shown
    loose: tuple[Shown, ...]  # photos of the part, of no operation
    covers: tuple[Shown, ...]
    counts: str
    facts: tuple[Labelled, ...]
    op_lines: Mapping[int, str]
    cautions: Mapping[int, tuple[str, ...]]  # by operation
    next: str  # what to do next, empty when all is done
    finishes: Mapping[int, tuple[str, ...]]  # by operation: what a finish did to the sizes
    settings: Mapping[int, list[tuple[str, list[tuple[str, str]]]]]  # by operation: what was set


@frozen
class ReportBlock:
    """Part of a measurement report: so many pieces side by side."""

    title: str
    pieces: tuple[str, ...]  # as they are called
    lines: tuple[tuple[SeriesPage, tuple[tuple[str, Shape | None, str], ...]], ...]


def page_of_part(
    view: Batch,
    picture: Picture,
    words: Words,
    gallery: Gallery,
    drawings: Mapping[str, tuple[str, float, float]],
) -> PartPage:
    """Lay out one part; `drawings` as in `maker.pages`."""
    pieces = {piece.number: row_piece(piece) for piece in view.pieces}
    series_pages = tuple(
        page_of_series(series_key(series, view), series, pieces, words, named=bool(picture.people))
        for series in view.series
    )
    material = next((m.name for m in picture.build.materials if m.id == view.part.material), "")
    by_op = {op.operation.number: gallery.of(op.photos) for op in view.ops}
    return PartPage(
        view=view,
        material=material,
        series_pages=series_pages,
        grid=tuple(_grid_row(piece, view, words) for piece in view.pieces),
        drawing=_drawing(view, series_pages, drawings),
        findings=phrases(told_together(picture.of_part[view.part.id]), picture, words),
        photos={op: own[:MOST_PHOTOS] for op, own in by_op.items()},
        more_photos={op: len(own) for op, own in by_op.items() if len(own) > MOST_PHOTOS},
        loose=gallery.of(p for p in view.photos if p.op not in by_op and p.cover != "part"),
        covers=gallery.of(covers_of(view.photos, "part")),
        counts=words(
            "part.counts",
            live=words.count("n.good_pieces", view.live),
            needed=view.part.needed,
            scrapped=view.scrapped,
        ),
        facts=_part_facts(view, material, words),
        op_lines={op.operation.number: _op_line(op, words) for op in view.ops},
        cautions={op.operation.number: caution_texts(op.cautions, words) for op in view.ops},
        next=_next(view, picture, words),
        finishes={
            op.operation.number: _finishes(view, op, words)
            for op in view.ops
            if op.operation.sent_out and op.done
        },
        settings={
            op.operation.number: over_pieces(op.settings, words.about(view.part.id))
            for op in view.ops
        },
    )


def _part_facts(view: Batch, material: str, words: Words) -> tuple[Labelled, ...]:
    part = view.part
    facts = [Labelled(words("part.number"), part.drawing)] if part.drawing else []
    if material:
        facts.append(Labelled(words("part.material"), material))
    return (
        *facts,
        Labelled(words("col.needed"), str(part.needed)),
        Labelled(words("col.good"), str(view.live)),
        Labelled(words("col.finished"), str(view.finished)),
        Labelled(words("col.scrapped"), str(view.scrapped)),
        Labelled(words("col.spares"), words.number(view.margin)),
    )


def _finishes(view: Batch, op: OpView, words: Words) -> tuple[str, ...]:
    """What an operation sent out did to the sizes of the pieces read before and after it."""
    said = []
    for finish in finish_views(view, op.operation.number):
        if finish.layer is None:
            continue
        change = finish.layer.change
        symbol = finish.limits.unit.symbol

        def size(number: float, unit: str = symbol) -> str:
            return with_unit(words.number(fixed(number, 4)), unit)

        said.append(
            words(
                "op.finish" if finish.layer.seen else "op.finish_unseen",
                name=finish.dimension.name,
                n=change.n,
                change=size(change.mean),
                low=size(change.interval.low),
                high=size(change.interval.high),
                share=percent_of(change.interval),
            )
        )
    return tuple(said)


def _op_line(op: OpView, words: Words) -> str:
    operation = op.operation
    said = [words("op.done", done=op.done, open=op.open)]
    period = words.period(op.first, op.last)
    if period:
        said.append(period)
    said += [text for text in (operation.machine, operation.tool) if text]
    if operation.sent_out:
        said.append(words("op.sent_out", who=operation.sent_out))
    return " · ".join(said)


def _next(view: Batch, picture: Picture, words: Words) -> str:
    for line in picture.next:
        if line.part == view.part.id:
            operation = view.part.operation(line.op)
            return words("op.next", op=line.op, name=operation.name)
    return ""


def _grid_row(
    piece: PieceView, view: Batch, words: Words
) -> tuple[PieceView, str, tuple[Cell, ...]]:
    cells = tuple(_cell(cell, piece, words) for cell in piece.cells)
    return piece, _standing(piece, view, words), cells


def _standing(piece: PieceView, view: Batch, words: Words) -> str:
    """What has become of a piece; one that has had every operation is in work no more.

    A piece that failed is not finished until somebody has decided about it.
    """
    finished = all(cell.done or not cell.applies for cell in piece.cells)
    finished = finished and not failed_readings([piece], view.series)
    if piece.standing is Standing.LIVE and finished:
        return words("standing.finished")
    return words(f"standing.{piece.standing.name.lower()}")


def _cell(cell: CellView, piece: PieceView, words: Words) -> Cell:
    said = []
    scrapped = piece.standing is Standing.SCRAP
    lacking = cell.done and (cell.readings < cell.wanted or cell.photos < cell.photos_wanted)
    if not cell.applies:
        return Cell("none", words("cell.none"), "")
    if cell.bad:
        shape = "bad"
        said.append(words("cell.bad"))
    elif cell.done and lacking:
        shape = "evidence"
        said.append(words("cell.lacking"))
    elif cell.done:
        shape = "good"
        said.append(words("cell.done"))
    elif scrapped:
        shape = "gone"
        said.append(words("cell.scrapped"))
    elif cell.due:
        shape = "due"
        said.append(words("cell.due"))
    else:
        shape = "later"
        said.append(words("cell.later"))
    if cell.wanted:
        said.append(words("cell.readings", n=cell.readings, wanted=cell.wanted))
    if cell.photos_wanted:
        said.append(words("cell.photos", n=cell.photos, wanted=cell.photos_wanted))
    if cell.override:
        said.append(words("cell.override", why=cell.override))
    short = f"{cell.readings}/{cell.wanted}" if cell.wanted and not scrapped else ""
    return Cell(shape, ", ".join(said), short)


def _drawing(
    view: Batch,
    series_pages: Sequence[SeriesPage],
    drawings: Mapping[str, tuple[str, float, float]],
) -> charts.Drawing | None:
    if view.part.id not in drawings:
        return None
    href, width, height = drawings[view.part.id]
    marks = []
    for series_page in series_pages:
        dimension = series_page.series.dimension
        if dimension.at is not None and series_page.series.final:
            name = f"{series_page.heading}, {series_page.series.callout.text}"
            said = f"{name}: {series_page.verdicts}"
            mark = (series_page.shape, series_page.href, said)
            marks.append((*dimension.at, dimension.number, *mark))
    return charts.drawing(href, width, height, marks)


def decisions(pieces: Sequence[PieceView], words: Words) -> list[str]:
    """What was decided about pieces, with the reason."""
    return [
        words(
            "decision.line",
            piece=piece.name,
            date=words.date(entry.made),
            decision=words.maybe(f"decision.{entry.fact.decision}", entry.fact.decision),
            why=entry.fact.why,
        ).rstrip(": ")
        for piece in pieces
        for entry in piece.dispositions
    ]


def _revision(picture: Picture, words: Words) -> str:
    """The letter of the plan in force, with the day since which it is used."""
    name, day = picture.revision
    return f"{name} ({words.date(day)})" if day else name


def report_facts(part: PartPage, picture: Picture, words: Words) -> tuple[Labelled, ...]:
    """The head of a measurement report: which facts, after the public field list of AS9102."""
    view, build = part.view, picture.build
    numbers = [p.number for p in view.pieces]
    return (
        Labelled(words("col.part"), view.part.name),
        Labelled(words("part.number"), view.part.drawing or words("value.none")),
        Labelled(words("report.revision"), _revision(picture, words)),
        Labelled(words("part.material"), part.material or words("value.none")),
        Labelled(
            words("col.pieces"),
            words(
                "format.period",
                first=view.part.called(numbers[0]),
                last=view.part.called(numbers[-1]),
            ),
        ),
        Labelled(words("report.quantity"), str(view.live)),
        Labelled(words("report.general"), general_name(build.general) or words("value.none")),
        Labelled(words("state.maker"), build.maker or words("value.none")),
    )


def report_blocks(part: PartPage, words: Words) -> tuple[ReportBlock, ...]:
    """The measurement report in blocks of so many pieces as fit a sheet side by side."""
    pieces = part.view.pieces
    blocks = []
    for start in range(0, len(pieces), REPORT_COLUMNS):
        block = pieces[start : start + REPORT_COLUMNS]
        numbers = {p.number for p in block}
        lines = []
        for series_page in part.series_pages:
            by_piece = {row.number: row for row in series_page.rows if row.number in numbers}
            lines.append((series_page, tuple(_report_cell(by_piece.get(p.number)) for p in block)))
        called = tuple(part.view.part.called(p.number) for p in block)
        title = words("report.block", first=called[0], last=called[-1])
        blocks.append(ReportBlock(title, called, tuple(lines)))
    return tuple(blocks)


def _report_cell(row: Row | None) -> tuple[str, Shape | None, str]:
    if row is None:
        return "", None, ""
    if row.reading is None:
        return "", None, row.slot_word
    # The unit stands once, in the requirement's column.
    return row.value.split("\N{NARROW NO-BREAK SPACE}")[0], row.shape, row.word
