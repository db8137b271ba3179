"""Paper that goes along with pieces sent out: a delivery note, and the sheet to receive them by."""

from __future__ import annotations

from collections.abc import Sequence

from qlog.drawing.limits import Limits
from qlog.drawing.plan import PAPERS, Build
from qlog.frozen import frozen
from qlog.record.publish.templates import environment, folder
from qlog.review.part.batch import Batch
from qlog.review.part.finishes import FinishView, finish_views
from qlog.words.catalogue import Words, words_of
from qlog.words.values import limits_text
from qlog.writing import PAGE_MARK


@frozen
class HeadSize:
    """One size at the head of both tables: what it was before, and its limits afterwards."""

    name: str
    limits: str
    before: dict[int, str]


def shipment_sheet(
    build: Build,
    view: Batch,
    op: int,
    parcel: str,
    who: str,
    pieces: Sequence[int],
    *,
    day: str,
    note: str = "",
    masked: Sequence[str] = (),
) -> str:
    """Both papers of one parcel as a page of HTML that stands alone, in the build's language.

    `day` is when it went, ISO 8601; `masked` names places to be kept free of the layer. Nothing
    but what the other shop needs is on it: no reading of another dimension, no verdict.
    """
    from markupsafe import Markup

    words = words_of(build)
    operation = view.part.operation(op)
    css = (folder() / "sheet" / "sheet.css").read_text(encoding="utf-8")
    sizes = [_size(words, finish) for finish in finish_views(view, op) if finish.before]
    return (
        environment(words)
        .get_template("sheet/shipment.html")
        .render(
            mark=Markup(PAGE_MARK),
            style=Markup(f"<style>\n@page {{ size: {PAPERS[build.paper]}; }}\n{css}</style>"),
            build=build.title,
            maker=build.maker,
            parcel=parcel,
            who=who,
            day=words.date(day),
            part=view.part.name,
            drawing=view.part.drawing or "",
            asked=words("paper.op", op=op, name=operation.name),
            layer=_layer(words, operation.layer),
            masked=tuple(masked),
            note=note,
            count=words.count("n.pieces", len(pieces)),
            pieces=[(view.part.named(n), n) for n in pieces],
            sizes=sizes,
        )
    )


def _layer(words: Words, layer: Limits | None) -> str:
    return "" if layer is None else limits_text(words, layer)


def _size(words: Words, finish: FinishView) -> HeadSize:
    unit = finish.limits.unit.symbol
    before = {n: f"{words.number(size, unit)} {unit}".rstrip() for n, size in finish.before.items()}
    return HeadSize(finish.dimension.name, limits_text(words, finish.limits), before)
