"""Paper for the bench: one operation's sheet, to be filled in by pencil and photographed."""

from __future__ import annotations

from qlog.drawing.plan import PAPERS, Build, Dimension, Instrument, Requirement
from qlog.frozen import frozen
from qlog.logbook.facts import SETTINGS
from qlog.record.publish.templates import environment, folder
from qlog.review.cautions.recognise import cautions_of
from qlog.review.part.batch import Batch
from qlog.review.views import PieceView, Standing
from qlog.words.catalogue import Words, words_of
from qlog.words.ready import caution_texts
from qlog.words.settings import set_value_text, setting_name
from qlog.words.values import limits_text, source_text
from qlog.writing import PAGE_MARK

#: Dimensions side by side on an upright page; more of them go into a further table.
ACROSS = 5


@frozen
class SheetColumn:
    """One dimension at the head of the table."""

    number: int
    name: str
    callout: str
    limits: str
    instrument: str


@frozen
class SheetRow:
    """One piece; `why` says that there is nothing to fill in."""

    name: str
    why: str


@frozen
class SheetTable:
    """So many dimensions as fit side by side, for all pieces."""

    dimensions: tuple[SheetColumn, ...]
    rows: tuple[SheetRow, ...]


def paper_sheet(build: Build, view: Batch, op: int, code: str, *, paper: str | None = None) -> str:
    """The sheet of one operation as a page of HTML that stands alone, in the build's language.

    `code` is an inline SVG element that ties a photo of the sheet to its place; `paper` one of
    PAPERS, the build's where it is not given. Raises KeyError for an operation or a paper that
    there is not.
    """
    words = words_of(build)
    part, operation = view.part, view.part.operation(op)
    dimensions = part.read_after(op)
    rows = tuple(_row(words, p) for p in view.pieces if part.takes(op, p.number))
    known = {i.id: i for i in build.instruments}
    columns = [_column(words, d, op, known.get(d.instrument or "")) for d in dimensions]
    heading = words("paper.op", op=op, name=operation.name)
    from markupsafe import Markup

    # The sheet is one file that may be carried to any printer: its style goes with it.
    css = (folder() / "sheet" / "sheet.css").read_text(encoding="utf-8")
    template = environment(words).get_template("sheet/sheet.html")
    return template.render(
        mark=Markup(PAGE_MARK),
        title=f"{part.name} · {heading}",
        build=build.title,
        part=part.name,
        op=heading,
        id=part.id,
        number=op,
        tool=", ".join(w for w in (part.drawing, operation.machine, operation.tool) if w),
        heads=[words(f"paper.{key}") for key in ("date", "who", "temperature", "gauge")],
        code=Markup(code),
        settings=_settings(view, op, words),
        remarks=[
            (words.date(made), text)
            for view_of in view.ops
            if view_of.operation.number == op
            for made, text in view_of.remarks
        ],
        cautions=caution_texts(cautions_of(build, part, operation), words),
        tables=[
            SheetTable(tuple(columns[i : i + ACROSS]), rows) for i in range(0, len(columns), ACROSS)
        ],
        style=Markup(f"<style>\n@page {{ size: {PAPERS[paper or build.paper]}; }}\n{css}</style>"),
    )


def _settings(view: Batch, op: int, words: Words) -> list[tuple[str, str]]:
    """What is set, with what it was the last time, to be written beside it; not for what is sent.

    What was never set is there too: it is what the next maker will look for.
    """
    found = next(o for o in view.ops if o.operation.number == op)
    last = {s.what: s for s in found.settings if s.last}
    wanted = () if found.operation.sent_out else SETTINGS
    return [
        (
            setting_name(what, words),
            set_value_text(last[what].value, last[what].unit, words) if what in last else "",
        )
        for what in (*wanted, *(w for w in last if w not in wanted))
    ]


def _row(words: Words, piece: PieceView) -> SheetRow:
    return SheetRow(piece.name, words("paper.scrapped") if piece.standing is Standing.SCRAP else "")


def _limits(words: Words, dimension: Dimension, found: Requirement) -> str:
    """The limits, and those of the first pieces where an earlier drawing holds for them."""
    first = dimension.earlier if found is dimension.requirements[-1] else ()
    told = [f"1-{e.piece}: {limits_text(words, e.callout.limits)}" for e in first]
    return "; ".join([*told, limits_text(words, found.callout.limits)])


def _column(
    words: Words, dimension: Dimension, op: int, instrument: Instrument | None
) -> SheetColumn:
    found = dimension.requirement_at(op) or dimension.requirements[0]
    callout = found.callout
    return SheetColumn(
        dimension.number,
        dimension.name,
        f"{callout.text} ({source_text(callout, words)})" if callout.general else callout.text,
        "" if callout.attribute else _limits(words, dimension, found),
        "" if instrument is None else instrument.name,
    )
