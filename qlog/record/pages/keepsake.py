"""The keepsake: what the recipient's edition may say, picked out of the picture field by field.

The recipient's templates are given this and nothing else, so that nothing private can slip
through: what is not copied here by name is not there to be shown.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal

from qlog.drawing.units import Unit, convert
from qlog.record.charts import chart as charts
from qlog.record.pages.gallery import Gallery, Shown, front, item_name
from qlog.review.items.finished import Closeness, FinishedItem, FinishedSize, finished_items
from qlog.review.items.item_views import ItemView
from qlog.review.photo_views import covers_of
from qlog.review.picture import PartView, Picture
from qlog.review.views import OpView, PhotoView
from qlog.words.catalogue import Words
from qlog.words.values import fixed, limits_text, value_text, with_unit

#: A human hair is about so thick, in millimetres (0.05 to 0.1; common knowledge, rounded).
HAIR = Decimal("0.07")
#: Decimals of the distance, which is rounded up so that the sentence stays true.
_DECIMALS = {Unit.MM: 3, Unit.INCH: 4}


@dataclass(frozen=True, slots=True)
class Size:
    """One measured size of an item; `share` is its place in the tolerance, 0 to 1."""

    part: str
    piece: int | str  # its mark where it has one
    name: str
    value: str
    allowed: str
    share: float | None
    dimension: str  # for the list of readings, not for the page
    number: str
    unit: str


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece of an item."""

    part: str
    number: str  # its mark where it has one
    material: str
    story: str
    sizes: tuple[Size, ...]
    photos: tuple[Shown, ...]


@dataclass(frozen=True, slots=True)
class Item:
    """One finished thing."""

    id: str
    name: str
    place: str  # "3 of 8"
    cover: Shown | None
    photos: tuple[Shown, ...]
    pieces: tuple[Piece, ...]
    overall: tuple[tuple[str, str], ...]  # overall sizes of the finished item
    sizes: tuple[Size, ...]
    fingerprint: charts.Fingerprint | None
    made_of: str  # "foot 3, stem 1 and cup 4"
    closeness: str  # how near the sizes are to what was asked, in plain words
    told_apart: bool  # by its readings, from every other of its kind
    taken: str  # when it was put together, or that pieces are still to come

    @property
    def href(self) -> str:
        """Its page, relative to the record."""
        return f"items/{self.id}.html"


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the story."""

    title: str
    part: str
    sentence: str
    first: str | None
    when: str
    photos: tuple[Shown, ...]


@dataclass(frozen=True, slots=True)
class Chapter:
    """The steps of one month."""

    title: str
    steps: tuple[Step, ...]


@dataclass(frozen=True, slots=True)
class MaterialNote:
    """A material, what is made of it, and how to care for it."""

    name: str
    parts: tuple[str, ...]
    care: str


@dataclass(frozen=True, slots=True)
class Keepsake:
    """Everything that the recipient's edition shows."""

    title: str
    maker: str
    recipient: str
    occasion: str
    signed: str  # who made and recorded it, and when, as far as it is known
    dedication: tuple[tuple[str, str], ...]  # for whom, by whom, when
    shows: str  # what the pages show, as far as there is something to show
    waiting: str  # how many photos wait to be looked at, "" for none
    cover: Shown | None
    more_covers: tuple[Shown, ...]
    items: tuple[Item, ...]
    chapters: tuple[Chapter, ...]
    materials: tuple[MaterialNote, ...]
    credits: tuple[tuple[str, str], ...]  # who, what
    record: tuple[tuple[str, str], ...]  # the object record, label and text
    marks: tuple[str, ...]
    terms: tuple[tuple[str, str], ...]  # glossary


def keepsake(
    picture: Picture, words: Words, gallery: Gallery, views: Iterable[PhotoView]
) -> Keepsake:
    """Pick out what the recipient's edition shows; `views` are the photos that it may use."""
    allowed = tuple(views)
    build = picture.build
    covers = gallery.of(p for p in allowed if p.cover == "build")
    cover = front(allowed, gallery)
    items = tuple(
        _item(n, item, picture, words, gallery, allowed)
        for n, item in enumerate(finished_items(build, picture.items, picture.parts), start=1)
    )
    chapters = _chapters(picture, words, gallery, allowed)
    facts = tuple((label, text) for label, text in build.object_record if text)
    marks_labels = {label.strip() for label in words("object.marks_labels").split(",")}
    return Keepsake(
        title=build.title,
        maker=build.maker,
        recipient=build.recipient,
        occasion=build.occasion,
        signed=_signed(picture, words),
        dedication=tuple(
            (label, text)
            for label, text in (
                (words("cover.for"), build.recipient),
                (words("cover.by"), build.maker),
                (words("cover.when"), words.period(picture.first, picture.last)),
            )
            if text
        ),
        shows=_shows(items, chapters, words),
        waiting=_waiting(picture, words),
        cover=cover,
        more_covers=tuple(c for c in covers if c is not cover),
        items=items,
        chapters=chapters,
        materials=_materials(picture),
        credits=tuple((credit.who, credit.what) for credit in build.credits),
        record=_object_record(picture, words),
        marks=tuple(text for label, text in facts if label.strip().casefold() in marks_labels),
        terms=_terms(picture, items, words),
    )


def _shows(items: Iterable[Item], chapters: Iterable[Chapter], words: Words) -> str:
    shown = [words("cover.how")] if any(True for _ in chapters) else []
    if any(item.sizes for item in items):
        shown.append(words("cover.measured"))
    return words("cover.shows", what=words.list([*shown, words("cover.care")]))


def _waiting(picture: Picture, words: Words) -> str:
    """How many photos that may be for both wait to be looked at."""
    count = sum(
        p.waits and (p.placement is None or p.placement.audience == "both") for p in picture.photos
    )
    return words.count("cover.waiting", count) if count else ""


def _signed(picture: Picture, words: Words) -> str:
    maker, when = picture.build.maker, words.month(picture.last)
    if maker and when:
        return words("foot.recipient", maker=maker, when=when)
    if maker:
        return words("foot.recipient_undated", maker=maker)
    return words("foot.recipient_plain", when=when) if when else ""


def _object_record(picture: Picture, words: Words) -> tuple[tuple[str, str], ...]:
    """The facts by which an object can be known again: the plan's own, then those that follow.

    The fields are those of Object ID (ICOM). A field that the maker filled in is not filled twice.
    """
    build = picture.build
    given = [(label, text) for label, text in build.object_record if text]
    labels = {label.strip().casefold() for label, _ in given}
    complete = sum(item.complete for item in picture.items)
    known = {
        "title": build.title,
        "maker": build.maker,
        "for": build.recipient,
        "occasion": build.occasion,
        "made": words.period(picture.first, picture.last),
        "materials": words.list([m.name for m in _materials(picture)]),
        "count": words.count("object.things", complete) if complete else "",
    }
    own = [
        (words(f"object.{key}"), text)
        for key, text in known.items()
        if text and words(f"object.{key}").casefold() not in labels
    ]
    return (*own, *given)


def _material(picture: Picture, id_: str | None) -> str:
    return next((m.name for m in picture.build.materials if m.id == id_), "")


def _materials(picture: Picture) -> tuple[MaterialNote, ...]:
    return tuple(
        MaterialNote(
            material.name,
            tuple(v.part.name for v in picture.parts if v.part.material == material.id),
            material.care,
        )
        for material in picture.build.materials
        if any(v.part.material == material.id for v in picture.parts)
    )


def _item(
    place: int,
    finished: FinishedItem,
    picture: Picture,
    words: Words,
    gallery: Gallery,
    allowed: tuple[PhotoView, ...],
) -> Item:
    view = finished.item
    parts = {v.part.id: v for v in picture.parts}
    own = [p for p in allowed if p.item == view.id]
    covers = gallery.of(covers_of(own, "item"))
    rest = gallery.of(p for p in own if p.cover != "item")
    shown = (*covers, *rest)
    pieces = tuple(
        Piece(
            part=parts[piece.part].part.name,
            number=words.called(piece.part, piece.number),
            material=_material(picture, parts[piece.part].part.material),
            story=parts[piece.part].part.story,
            sizes=tuple(
                _size(size, parts[piece.part].part.name, words)
                for size in finished.sizes
                if size.piece is piece
            ),
            photos=gallery.of(
                p
                for p in allowed
                if p.part == piece.part and p.piece == piece.number and p.item is None
            ),
        )
        for piece in view.pieces
        if piece.part in parts
    )
    sizes = tuple(size for piece in pieces for size in piece.sizes)
    in_pattern = [
        (size.share, f"{size.part}, {size.name}: {size.value}")
        for size in sizes
        if size.share is not None
    ]
    stacks = {stack.id: stack.name for stack in picture.build.stacks}
    return Item(
        id=view.id,
        name=item_name(view.id, picture.build),
        place=words("item.place", n=place, of=len(picture.items)),
        cover=shown[0] if shown else None,
        photos=shown[1:],
        pieces=pieces,
        overall=tuple(
            (
                stacks.get(entry.fact.stack, entry.fact.stack),
                with_unit(words.number(entry.fact.value), entry.fact.unit),
            )
            for entry in view.sizes
        ),
        sizes=sizes,
        fingerprint=charts.fingerprint(in_pattern) if in_pattern else None,
        made_of=words.list(
            [
                words("alt.piece", part=owner.name, number=owner.called(p.number))
                for p in view.pieces
                if p.part in parts
                for owner in (parts[p.part].part,)
            ]
        ),
        closeness=_closeness(finished.closeness, words),
        told_apart=finished.told_apart,
        taken=_taken(view, words),
    )


def _size(size: FinishedSize, part: str, words: Words) -> Size:
    return Size(
        part=part,
        piece=size.piece.mark or size.piece.number,
        name=size.series.dimension.name,
        value=value_text(words, size.series, size.reading),
        allowed=limits_text(words, size.series.limits),
        share=size.share,
        dimension=size.series.dimension.id,
        number=f"{size.value:f}",
        unit=size.reading.unit,
    )


def _taken(view: ItemView, words: Words) -> str:
    """When it came together, as far as the log says it; nothing of an item of one piece to come."""
    if view.complete and view.assembled:
        key = "item.taken" if view.single else "item.assembled"
        return words(key, date=words.date(view.assembled))
    if view.single:
        return ""
    return words("item.incomplete") if view.pieces else words("item.not_yet")


def _closeness(found: Closeness | None, words: Words) -> str:
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


def _chapters(
    picture: Picture, words: Words, gallery: Gallery, allowed: tuple[PhotoView, ...]
) -> tuple[Chapter, ...]:
    """The operations that were done or are to be seen, in the order in which they began."""
    steps = [
        step
        for view in picture.parts
        for op in view.ops
        if (step := _step(op, view, words, gallery, allowed)).photos or (op.done and op.first)
    ]
    steps.sort(key=lambda s: s.first or "")
    chapters: list[tuple[str, list[Step]]] = []
    for step in steps:
        title = words.month(step.first)
        if not chapters or chapters[-1][0] != title:
            chapters.append((title, []))
        chapters[-1][1].append(step)
    return tuple(Chapter(title, tuple(listed)) for title, listed in chapters)


def _step(
    op: OpView,
    view: PartView,
    words: Words,
    gallery: Gallery,
    allowed: tuple[PhotoView, ...],
) -> Step:
    operation = op.operation
    shown = [
        p for p in allowed if p.part == view.part.id and p.op == operation.number and p.item is None
    ]
    seen = min((p.taken for p in shown if p.taken is not None), default=None)
    return Step(
        title=operation.name,
        part=view.part.name,
        sentence=operation.story,
        first=op.first or seen,
        when=words.period(op.first, op.last),
        photos=gallery.of(shown),
    )


#: Terms of the glossary: a kind of operation or a thing whose presence calls for them.
_TERMS = (
    "turning", "boring", "reaming", "drilling", "tapping", "thread", "milling", "indexing",
    "parting", "knurling", "polishing", "blackening", "form_turning", "tolerance",
    "micrometre", "runout", "roughness", "press_fit", "sliding_fit", "lathe", "fingerprint",
)  # fmt: skip


def _terms(picture: Picture, items: Iterable[Item], words: Words) -> tuple[tuple[str, str], ...]:
    """The words that this record uses, explained, in the order of the alphabet."""
    present = {"tolerance"}
    if any(item.fingerprint for item in items):
        present.add("fingerprint")
    for view in picture.parts:
        for operation in view.part.operations:
            present.add(operation.kind.casefold().replace(" ", "_"))
        for dimension in view.part.dimensions:
            kind = dimension.callout.kind.value
            present.add(dimension.callout.characteristic.casefold() or kind)
            present.add(kind)
            if any(r.callout.limits.unit is Unit.MICROMETRE for r in dimension.requirements):
                present.add("micrometre")
    for joint in picture.build.joints:
        lower, upper = joint.clearance.lower, joint.clearance.upper
        if upper is not None and upper <= 0:
            present.add("press_fit")
        elif lower is not None and lower >= 0:
            present.add("sliding_fit")
    if present & {"turning", "boring", "facing", "parting", "form_turning"}:
        present.add("lathe")
    found = [
        (words(f"glossary.{term}.term"), words(f"glossary.{term}.text"))
        for term in _TERMS
        if term in present
    ]
    return tuple(sorted(found, key=lambda pair: pair[0].casefold()))
