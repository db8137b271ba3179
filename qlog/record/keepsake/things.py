"""The finished things: what is told of each on its own page."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_CEILING, Decimal

from qlog.drawing.units import Unit, convert
from qlog.record.charts.multiples import strip
from qlog.record.keepsake.keepsake import Item, Memory, Piece, Size
from qlog.record.keepsake.source import Source
from qlog.review.items.finished import Closeness, FinishedItem, FinishedSize, finished_items
from qlog.review.items.item_views import ItemView
from qlog.review.part.batch import Batch
from qlog.review.photo_views import covers_of
from qlog.review.views import PieceView, Standing
from qlog.words.catalogue import Words
from qlog.words.values import fixed, overall_text, value_text, with_unit

#: A human hair is about so thick, in millimetres (0.05 to 0.1; common knowledge, rounded).
HAIR = Decimal("0.07")
#: Decimals of the distance, which is rounded up so that the sentence stays true.
_DECIMALS = {Unit.MM: 3, Unit.INCH: 4}
#: Sizes that are named by which a thing stands out; more are no help.
_STANDOUTS = 3


def items_of(source: Source, sheets: dict[str, str]) -> tuple[Item, ...]:
    """Every item in the order of the plan; `sheets` are the pages on mending, by part."""
    picture = source.picture
    return tuple(
        _item(n, item, source, sheets)
        for n, item in enumerate(
            finished_items(picture.build, picture.items, picture.parts), start=1
        )
    )


def tile_rows(count: int) -> str:
    """How so many tiles stand, as classes: no row of a wide page or a phone holds a single one."""
    even = [c for c in (4, 3, 5) if count % c == 0]
    wide = count if count <= 5 else (even or [max((4, 3, 5), key=lambda c: count % c)])[0]
    return f"tiles-{max(wide, 1)}{' odd' if count % 2 else ''}"


def page_of(view: ItemView, source: Source) -> str:
    """The page of an item, relative to the record: by its mark, or else by its id."""
    group = next(g for g in source.build.groups if g.id == view.group)
    return f"{source.words('folder.items')}/{group.address(int(view.id.rpartition('-')[2]))}.html"


def _item(n: int, finished: FinishedItem, source: Source, sheets: dict[str, str]) -> Item:
    view, words, gallery = finished.item, source.words, source.gallery
    own = [p for p in source.views if p.item == view.id]
    covers = gallery.of(covers_of(own, "item"))
    shown = (*covers, *gallery.of(p for p in own if p.cover != "item"))
    sizes = _sizes(finished, source)
    parts = {v.part.id: v for v in source.picture.parts}
    pieces = tuple(
        _piece(piece, parts[piece.part], sizes, source, sheets)
        for piece in sorted(view.pieces, key=lambda p: list(parts).index(p.part))
    )
    group = next(g for g in source.build.groups if g.id == view.group)
    where = group.mark_place if view.mark else ""
    place = source.say(f"item {group.id} mark-place", "nav.set", where)
    stacks = {stack.id: stack.name for stack in source.build.stacks}
    return Item(
        id=view.id,
        href=page_of(view, source),
        name=view.name,
        kind=group.name if view.name != group.name else "",
        mark=view.mark,
        marked=words("item.marked", place=place) if place else "",
        place=words("item.place", n=n, of=len(source.picture.items)),
        cover=shown[0] if shown else None,
        photos=shown[1:],
        pieces=pieces,
        holds=_links(view.holds, source),
        inside=_links((view.inside,) if view.inside else (), source),
        overall=tuple(
            (stacks.get(entry.fact.stack, entry.fact.stack), overall_text(words, entry))
            for entry in view.sizes
        ),
        sizes=tuple(sizes.values()),
        recognise=tuple(
            said
            for n, text in enumerate(_recognise(finished, source), start=1)
            if (said := source.say(f"item {view.id} recognise {n}", "nav.set", text))
        ),
        closeness=source.say(
            f"item {view.id} closeness", "nav.set", closeness_text(finished.closeness, words)
        ),
        taken=_taken(view, words),
        memories=memories_of(source, view),
    )


def _links(ids: Sequence[str], source: Source) -> tuple[tuple[str, str], ...]:
    """Items by name, with their pages."""
    views = {v.id: v for v in source.picture.items}
    return tuple((views[id].name, page_of(views[id], source)) for id in ids)


def _sizes(finished: FinishedItem, source: Source) -> dict[int, Size]:
    """The sizes of an item by their place in the list of its readings."""
    parts = {v.part.id: v.part.name for v in source.picture.parts}
    return {
        n: Size(
            part=parts[size.piece.part],
            piece=size.piece.mark or size.piece.number,
            name=size.series.dimension.name,
            value=value_text(source.words, size.series, size.reading),
            strip=None if size.share is None else strip(size.share, beside),
            dimension=size.series.dimension.id,
            number=f"{size.value:f}",
            unit=size.reading.unit,
        )
        for n, (size, beside) in enumerate(zip(finished.sizes, finished.beside, strict=True))
    }


def _piece(
    piece: PieceView, view: Batch, sizes: dict[int, Size], source: Source, sheets: dict[str, str]
) -> Piece:
    part, words = view.part, source.words
    # Numbers tell the order of making only where none was given to a piece made anew.
    made = 0 if view.remade else sum(p.standing is not Standing.UNCUT for p in view.pieces)
    finish = source.build.gift.finish(part.finish)
    material = next((m.name for m in source.build.materials if m.id == part.material), "")
    reason = next(
        (a for a in source.build.gift.accepted if (a.part, a.piece) == (part.id, piece.number)),
        None,
    )
    return Piece(
        part=part.name,
        nth=nth(part.name, piece.number, made, words),
        material=", ".join(t for t in (material, finish.name if finish else "") if t),
        story=source.say(f"part {part.id} story", "nav.set", part.story),
        accepted=""
        if reason is None
        else source.say(f"accepted {piece.name}", "nav.set", reason.why),
        sheet=sheets.get(part.id, ""),
        sizes=tuple(
            s
            for s in sizes.values()
            if (s.part, s.piece) == (part.name, piece.mark or piece.number)
        ),
        photos=source.gallery.of(
            p
            for p in source.views
            if p.part == part.id and p.piece == piece.number and p.item is None
        ),
    )


def nth(part: str, number: int, made: int, words: Words) -> str:
    """Which of the pieces made it was: "Its foot was the ninth of ten."; "" for the only one."""
    if made < 2 or number > made:
        return ""
    if words.has(f"nth.{number}") and words.has(f"number.{made}"):
        word, of = words(f"nth.{number}"), words(f"number.{made}")
        return words("item.nth", part=words.within(part), nth=word, of=of)
    return words("item.nth_number", part=words.within(part), number=number, of=made)


def _recognise(finished: FinishedItem, source: Source) -> tuple[str, ...]:
    """What tells it from its siblings: each was held against each, or nothing is said."""
    words = source.words
    if not finished.siblings:
        return ()
    said = [
        words(
            "recognise.largest" if s.largest else "recognise.smallest",
            size=_called(s.size, source),
            n=words.maybe(f"number.{finished.siblings + 1}", str(finished.siblings + 1)),
        )
        for s in finished.standouts[:_STANDOUTS]
    ]
    if finished.told_apart and not said:
        said.append(words("recognise.together"))
    if finished.alike:
        said.append(
            words("recognise.alike", others=words.list([other.name for other in finished.alike]))
        )
        if finished.item.mark:
            said.append(words("recognise.mark"))
    return tuple(said)


def _called(size: FinishedSize, source: Source) -> str:
    part = source.build.part(size.piece.part).name
    value = value_text(source.words, size.series, size.reading)
    return source.words(
        "recognise.size",
        part=source.words.within(part),
        name=size.series.dimension.name,
        value=value,
    )


def memories_of(source: Source, item: ItemView | None) -> tuple[Memory, ...]:
    """The memories of one item, or of the whole set."""
    wanted = "" if item is None else item.id
    found = []
    for n, memory in enumerate(source.build.gift.memories, start=1):
        if memory.item != wanted:
            continue
        line = source.say(f"memory {n}", "nav.memories", memory.line)
        photo = source.named(memory.photo)
        if line or photo is not None:
            found.append(Memory(photo, line))
    return tuple(found)


def _taken(view: ItemView, words: Words) -> str:
    """When it came together, as far as the log says it; nothing of an item of one piece to come."""
    if view.complete and view.assembled:
        key = "item.taken" if view.single else "item.assembled"
        return words(key, date=words.date(view.assembled))
    if view.single:
        return ""
    return words("item.incomplete") if view.pieces else words("item.not_yet")


def closeness_text(found: Closeness | None, words: Words) -> str:
    """One sentence on the distance from the middle and one on the hair; "" for nothing known."""
    if found is None:
        return ""
    decimals = _DECIMALS[found.unit]
    shown = found.within.quantize(Decimal(1).scaleb(-decimals), ROUND_CEILING)
    typical = with_unit(words.number(fixed(shown, decimals)), found.unit.symbol)
    said = words("closeness.half", n=found.count, typical=typical)
    hair = _hair(convert(found.within, found.unit, Unit.MM), words)
    return f"{said} {hair}" if hair else said


def _hair(within: Decimal, words: Words) -> str:
    if within * 2 > HAIR:
        return words("closeness.hair") if within <= HAIR * Decimal("1.5") else ""
    times = int((HAIR / within).to_integral_value()) if within else 0
    if 2 <= times <= 20:
        return words("closeness.hair_part", times=words(f"times.{times}"))
    return words("closeness.tiny")
