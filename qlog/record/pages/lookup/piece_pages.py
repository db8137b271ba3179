"""One page a piece with everything about it, and the list of a part's pieces."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from qlog.drawing.plan import Operation
from qlog.frozen import frozen
from qlog.logbook.facts import Entry
from qlog.record.charts.chart import Shape
from qlog.record.pages.dimension.figures import Labelled, requirement
from qlog.record.pages.dimension.series_page import SeriesPage
from qlog.record.pages.dimension.table_rows import Row
from qlog.record.pages.gallery import Gallery, Shown, item_name
from qlog.record.pages.page import piece_href
from qlog.record.pages.part_pages import Cell, PartPage
from qlog.record.pages.verdict_marks import shape_of, worst
from qlog.review.diary.history import earlier_makings
from qlog.review.part.batch import Batch
from qlog.review.picture import Picture
from qlog.review.views import CellView, OpView, PieceView
from qlog.words.catalogue import Words
from qlog.words.entries import own_text
from qlog.words.history import by_whom, event_text, state_text
from qlog.words.settings import settings_text
from qlog.words.values import limits_text


@frozen
class ReadHere:
    """A dimension on the page of a piece: its reading, by what it was judged and corrected."""

    name: str
    callout: str
    href: str
    row: Row
    limits: str  # those by which it was judged


@frozen
class LifeStep:
    """One operation in the life of a piece."""

    operation: Operation
    cell: Cell
    made: str | None  # when it was done
    day_href: str  # that day in the diary; "" for none
    readings: tuple[ReadHere, ...]
    lines: tuple[str, ...]  # what was set, decisions, notes, corrections
    photos: tuple[Shown, ...]


@frozen
class PiecePage:
    """Everything about a piece."""

    piece: PieceView
    standing: str
    facts: tuple[Labelled, ...]
    steps: tuple[LifeStep, ...]
    lines: tuple[str, ...]  # decisions and notes of no operation
    photos: tuple[Shown, ...]  # of no operation
    before: tuple[tuple[str, tuple[str, ...]], ...]  # earlier makings: what became of it, and how
    back: tuple[str, str] | None  # the piece before it: its page and name
    on: tuple[str, str] | None


@frozen
class PieceLine:
    """One line of the list of a part's pieces."""

    piece: PieceView
    href: str
    standing: str
    item: str
    last: str | None  # when something was done to it last
    readings: str  # "8 of 8"
    verdict: tuple[Shape, str] | None  # the worst of them
    photos: int
    remarks: int  # decisions and notes


def piece_lines(part: PartPage, picture: Picture, words: Words) -> tuple[PieceLine, ...]:
    """The list of a part's pieces, one line each."""
    words_of_shape: dict[int, list[Row]] = {p.number: [] for p in part.view.pieces}
    for series_page in part.series_pages:
        for row in series_page.rows:
            if row.reading is not None:
                words_of_shape[row.number].append(row)
    found = []
    for piece, standing, _ in part.grid:
        rows = words_of_shape[piece.number]
        wanted = sum(cell.wanted for cell in piece.cells)
        found.append(
            PieceLine(
                piece=piece,
                href=piece_href(piece.anchor),
                standing=standing,
                item=item_name(piece.item, picture.build) if piece.item else "",
                last=piece.made,
                readings=words("pieces.read", n=sum(c.readings for c in piece.cells), of=wanted)
                if wanted
                else "",
                verdict=_worst(rows),
                photos=sum(p.piece == piece.number for p in part.view.photos),
                remarks=len(piece.dispositions) + len(piece.notes),
            )
        )
    return tuple(found)


def _worst(rows: Sequence[Row]) -> tuple[Shape, str] | None:
    if not rows:
        return None
    shape = worst(shape_of(row.reading) for row in rows if row.reading is not None)
    return shape, next(row.word for row in rows if row.shape is shape)


def piece_pages(
    part: PartPage, picture: Picture, gallery: Gallery, days: Mapping[str, str], words: Words
) -> Iterator[PiecePage]:
    """The page of every piece of a part, in the order of their numbers.

    `days` gives the place of every day in the diary.
    """
    view, ways = part.view, [(piece_href(p.anchor), p.name) for p in part.view.pieces]
    rows: dict[int, list[tuple[SeriesPage, Row]]] = {p.number: [] for p in view.pieces}
    for series_page in part.series_pages:
        for row in series_page.rows:
            rows[row.number].append((series_page, row))
    named = bool(picture.people)
    for index, (piece, standing, cells) in enumerate(part.grid):
        own = [p for p in view.photos if p.piece == piece.number]
        known = {op.operation.number for op in view.ops}
        steps = []
        for op, said, cell in zip(view.ops, cells, piece.cells, strict=True):
            number = op.operation.number
            read = [(s, r) for s, r in rows[piece.number] if s.series.operation.number == number]
            steps.append(
                LifeStep(
                    op.operation,
                    said,
                    cell.made,
                    days.get((cell.made or "")[:10], ""),
                    tuple(_read_here(s, r, words) for s, r in read),
                    (
                        *_set_lines(op, cell, piece, words),
                        *_lines(piece, frozenset({number}), words, named=named),
                        *_corrections(read, words),
                    ),
                    gallery.of(p for p in own if p.op == number),
                )
            )
        elsewhere = {d.fact.op for d in piece.dispositions} | {n.fact.op for n in piece.notes}
        yield PiecePage(
            piece=piece,
            standing=standing,
            facts=_facts(piece, standing, picture, words),
            steps=tuple(steps),
            lines=_lines(piece, frozenset(elsewhere - known), words, named=named),
            photos=gallery.of(p for p in own if p.op not in known),
            before=_before(view, piece.number, words, named=named),
            back=ways[index - 1] if index else None,
            on=ways[index + 1] if index + 1 < len(ways) else None,
        )


def _facts(piece: PieceView, standing: str, picture: Picture, words: Words) -> tuple[Labelled, ...]:
    facts = [Labelled(words("col.standing"), standing)]
    if piece.mark:
        facts.append(Labelled(words("pieces.mark"), piece.mark))
        facts.append(Labelled(words("col.number"), str(piece.number)))
    if piece.item:
        facts.append(Labelled(words("pieces.built_into"), item_name(piece.item, picture.build)))
    if piece.made:
        facts.append(Labelled(words("pieces.last"), words.date(piece.made)))
    return tuple(facts)


def _read_here(series_page: SeriesPage, row: Row, words: Words) -> ReadHere:
    series, limits = series_page.series, _judged_by(series_page, row, words)
    return ReadHere(series.dimension.name, series.callout.text, series_page.href, row, limits)


def _judged_by(series_page: SeriesPage, row: Row, words: Words) -> str:
    """The limits by which a reading was judged; today's where there is none."""
    if row.reading is None or row.reading.limits is None:
        return requirement(series_page.series, words)
    return limits_text(words, row.reading.limits)


def _corrections(read: Sequence[tuple[SeriesPage, Row]], words: Words) -> tuple[str, ...]:
    """The earlier values of the readings, each with why it was replaced and when."""
    return tuple(
        words(
            "pieces.corrected",
            name=series_page.series.dimension.name,
            old=words.number(c.typed),
            new=words.number(c.became),
            reason=own_text(c.reason, words),
            date=words.date(c.corrected),
        )
        for series_page, row in read
        if row.reading is not None
        for c in row.reading.corrections
    )


def _set_lines(op: OpView, cell: CellView, piece: PieceView, words: Words) -> tuple[str, ...]:
    """What the operation was set to when it was done on the piece."""
    held = [s for s in op.settings if piece.number in s.pieces]
    if not cell.done or not held:
        return ()
    return (words("set.line", settings=settings_text(held, words)),)


def _lines(
    piece: PieceView, ops: frozenset[int | None], words: Words, *, named: bool
) -> tuple[str, ...]:
    """What was decided and noted about a piece; with who did it where `named`."""

    def by(text: str, entry: Entry[Any]) -> str:
        return by_whom(text, entry.person if named else "", words)

    decided = [
        by(
            words(
                "decision.line_of_piece",
                date=words.date(entry.made),
                decision=words.maybe(f"decision.{entry.fact.decision}", entry.fact.decision),
                why=entry.fact.why,
            ).rstrip(": "),
            entry,
        )
        for entry in piece.dispositions
        if entry.fact.op in ops
    ]
    noted = [
        by(words("decision.note", date=words.date(entry.made), text=entry.fact.text), entry)
        for entry in piece.notes
        if entry.fact.op in ops
    ]
    return (*decided, *noted)


def _before(
    view: Batch, number: int, words: Words, *, named: bool
) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """The pieces that had the number before: what became of each, and what was logged of it."""
    return tuple(
        (
            words("pieces.made_before", state=state_text(history, words)),
            tuple(
                f"{words.date(e.day)}: "
                + by_whom(event_text(e, words), e.person if named else "", words)
                for e in history.events
            ),
        )
        for history in earlier_makings(view.part, view.earlier, number)
    )
