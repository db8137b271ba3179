"""What to know before an operation is begun, said."""

from __future__ import annotations

from collections.abc import Iterable

from qlog.drawing.decimals import as_typed
from qlog.intake.bench.route import Held
from qlog.review.cautions.caution import Caution
from qlog.review.part.ready import Lack, Lacking, Ready
from qlog.review.part.stock import Stock
from qlog.words.catalogue import Words
from qlog.words.stock import percent


def lacking_text(ready: Ready, one: Lacking, words: Words) -> tuple[str, str]:
    """One thing that ought to be there first, and how to supply it."""
    about = {
        "part": ready.part.id,
        "op": one.operation.number,
        "pieces": words.pieces(ready.part.id, one.pieces),
        "name": one.operation.name,
        "dimension": "",
    }
    if one.dimension is not None:
        about |= {"name": one.dimension.name, "dimension": one.dimension.id}
    key = f"ready.{one.lack.value}"
    remedy = words(f"{key}.remedy", **about)
    if one.lack is Lack.PHOTOS:
        return words.count(key, one.photos, **about), remedy
    return words(key, **about), remedy


def warning_texts(ready: Ready, words: Words) -> list[str]:
    """What to mind: how many may be lost, what is undecided, which instrument failed."""
    said = [] if ready.stock is None else _losses(ready, ready.stock, words)
    said += [
        words(
            "ready.undecided",
            piece=words.piece(ready.part.id, one.reading.piece),
            name=one.dimension.name,
            typed=as_typed(one.reading.typed),
        )
        for one in ready.undecided
    ]
    said += [words("ready.instrument", name=i.name, instrument=i.id) for i in ready.unfit]
    return said


def _losses(ready: Ready, stock: Stock, words: Words) -> list[str]:
    operation = ready.operation
    if ready.first:
        what = words("ready.before_stock")
    else:
        out = words("ready.goes_out", who=operation.sent_out) if operation.sent_out else ""
        last = words("ready.irreversible") if operation.irreversible else ""
        what = ", ".join(w for w in (out, last) if w)
    if stock.margin > 0:
        margin = words("margin.over", n=stock.margin)
    elif stock.margin == 0:
        margin = words("ready.no_spare")
    else:
        margin = words("ready.short", n=-stock.margin)
    said = [
        words(
            "ready.losses",
            what=what,
            live=stock.live,
            part=ready.part.id,
            needed=ready.part.needed,
            margin=margin,
            chance=percent(stock.chance, words),
            loss=percent(stock.loss, words),
        )
    ]
    if ready.first and stock.more:
        said.append(words.count("blanks", stock.more))
    return said


def afterwards_texts(ready: Ready, words: Words) -> list[str]:
    """What is wanted once it is done: readings and photos."""
    operation, about = ready.operation, {"part": ready.part.id, "op": ready.operation.number}
    said: list[str] = []
    if ready.to_read:
        said.append(words("ready.read", names=words.list([d.name for d in ready.to_read]), **about))
    photos = [
        words.count(f"ready.photos_of_{of}", n)
        for of, n in (("batch", operation.photos), ("each", operation.photos_each))
        if n
    ]
    if photos:
        said.append(words("ready.take_photos", photos=words.list(photos), **about))
    return said


def held_text(held: Held, words: Words) -> str:
    """What has to come first on these pieces."""
    pieces = words.pieces(held.part, held.pieces)
    if held.open_ops:
        return words(
            "held.open",
            ops=", ".join(map(str, held.open_ops)),
            first=held.open_ops[0],
            pieces=pieces,
            part=held.part,
        )
    return words(
        "held.unread",
        name=held.dimension,
        pieces=pieces,
        op=held.op,
        part=held.part,
        at=held.read_at,
    )


def caution_texts(cautions: Iterable[Caution], words: Words) -> tuple[str, ...]:
    """The sentence of each caution, in the order given."""
    return tuple(words(f"caution.{caution.value}") for caution in cautions)
