"""The keepsake gathered: everything that the recipient's edition shows, from its source."""

from __future__ import annotations

from collections.abc import Iterable

from qlog.drawing.named_files import FileKind, fault
from qlog.drawing.units import Unit
from qlog.record.keepsake.keepsake import Chapter, CreditLine, Item, Keepsake, Letter, Memory
from qlog.record.keepsake.owner import care_of, general_of, safety_of, sheet_pages, sheets_of
from qlog.record.keepsake.source import Source, of_log, paragraphs
from qlog.record.keepsake.story import chapters_of
from qlog.record.keepsake.things import items_of, memories_of, tile_rows
from qlog.record.pages.gallery import Shown, front
from qlog.review.picture import Picture
from qlog.words.catalogue import Words


def keepsake(source: Source) -> Keepsake:
    """Pick out what the recipient's edition shows."""
    picture, words, gallery, build = source.picture, source.words, source.gallery, source.build
    say = source.say
    title = say("title", "nav.cover", build.title)
    maker = say("maker", "nav.cover", build.maker)
    recipient = say("recipient", "nav.cover", build.recipient)
    occasion = say("occasion", "nav.cover", build.occasion)
    dedication = say("dedication", "nav.cover", build.gift.dedication)
    letter = _letter(source)
    pages = sheet_pages(source)
    items = items_of(source, pages)
    chapters = chapters_of(source)
    cover = front(source.views, gallery)
    memories = _best_last(memories_of(source, None), cover)
    told = {p.sha256 for n in _told(source) if (p := of_log(n, source.views)) is not None}
    covers = gallery.of(p for p in source.views if p.cover == "build" and p.sha256 not in told)
    return Keepsake(
        title=title or words("cover.untitled"),
        maker=maker,
        recipient=recipient,
        occasion=occasion,
        dedication=dedication,
        signed=_signed(source, maker),
        for_by=tuple(
            (label, text)
            for label, text in (
                (words("state.for"), recipient),
                (words("cover.by"), maker),
                (words("cover.when"), words.period(picture.first, picture.last)),
            )
            if text
        ),
        marks=_marks(source),
        shows=_shows(items, chapters, words),
        waiting=_waiting(source),
        cover=cover,
        more_covers=tuple(c for c in covers if c is not cover),
        letter=letter,
        items=items,
        rows=tile_rows(len(items)),
        intro=_intro(items, words),
        chapters=chapters,
        end=_end(cover, memories) if chapters else None,
        memories=memories,
        general=general_of(source),
        care=care_of(source),
        safety=safety_of(source),
        ask=say("ask", "nav.repair", build.gift.ask),
        sheets=sheets_of(source, pages),
        credits=tuple(
            CreditLine(who, what, source.named(c.portrait) if c.portrait else None)
            for n, c in enumerate(build.credits, start=1)
            if (who := say(f"credit {n} who", "nav.about", c.who))
            and (what := say(f"credit {n} what", "nav.about", c.what))
        ),
        record=_object_record(source, title, maker, recipient, occasion),
        terms=terms_of(picture, words),
    )


def _best_last(memories: tuple[Memory, ...], best: Shown | None) -> tuple[Memory, ...]:
    """The memories, with the one that shows the best picture behind the others."""
    return tuple(sorted(memories, key=lambda m: m.photo is not None and m.photo is best))


def _end(best: Shown | None, memories: tuple[Memory, ...]) -> Shown | None:
    """The best picture, on which the story ends; None where a memory ends on it already."""
    return None if memories and memories[-1].photo is best else best


def _told(source: Source) -> Iterable[str]:
    """The pictures that a chapter or a memory shows in its own place."""
    gift = source.build.gift
    yield from (name for c in gift.chapters for name in c.photos)
    yield from (m.photo for m in gift.memories)


def _letter(source: Source) -> Letter | None:
    """The letter and the recording, as far as there are any; None for neither."""
    gift = source.build.gift
    text = _read(source, "letter text", "nav.letter", gift.letter.text)
    scan = source.named(gift.letter.scan)
    transcript = _read(source, "voice transcript", "nav.letter", gift.voice.transcript)
    if not (text or scan is not None or source.voice):
        return None
    return Letter(text, scan, source.voice, source.voice_type, transcript if source.voice else ())


def _read(source: Source, key: str, place: str, written: str) -> tuple[str, ...]:
    folder = source.build.folder
    if not written or fault(folder, written, FileKind.TEXT):
        return ()
    text = (folder / written).read_text(encoding="utf-8-sig")
    return paragraphs(source.say(key, place, text.strip()))


def _marks(source: Source) -> tuple[str, ...]:
    """Where to look for the marks, once for each place."""
    groups = [g for g in source.build.groups if g.marks and g.mark_place]
    places = [source.say(f"item {g.id} mark-place", "nav.set", g.mark_place) for g in groups]
    return tuple(source.words("cover.marks", place=p) for p in dict.fromkeys(places) if p)


def _intro(items: tuple[Item, ...], words: Words) -> str:
    count = len(items)
    return words.count("set.intro", count, spelt=_spelt(count, words).capitalize())


def _spelt(count: int, words: Words) -> str:
    return words.maybe(f"number.{count}", str(count))


def _shows(items: Iterable[Item], chapters: Iterable[Chapter], words: Words) -> str:
    shown = [words("cover.how")] if any(True for _ in chapters) else []
    if any(item.sizes for item in items):
        shown.append(words("cover.measured"))
    return words("cover.shows", what=words.list([*shown, words("cover.care")]))


def _waiting(source: Source) -> str:
    """How many photos that may be for both wait to be looked at."""
    count = sum(
        p.waits and (p.placement is None or p.placement.audience == "both")
        for p in source.picture.photos
    )
    return source.words.count("cover.waiting", count) if count else ""


def _signed(source: Source, maker: str) -> str:
    words = source.words
    # A photo that is shown may be later than the last work: nothing is dated before what it holds.
    taken = [p.taken[:10] for p in source.views if p.taken and p.taken_certain]
    when = words.month(max([(source.picture.last or "")[:10], *taken]))
    if maker and when:
        return words("foot.recipient", maker=maker, when=when)
    if maker:
        return words("foot.recipient_undated", maker=maker)
    return words("foot.recipient_plain", when=when) if when else ""


def _object_record(
    source: Source, title: str, maker: str, recipient: str, occasion: str
) -> tuple[tuple[str, str], ...]:
    """The facts by which an object can be known again: the plan's own, then those that follow.

    The fields are those of Object ID (ICOM). A field that the maker filled in is not filled twice.
    """
    picture, words, build = source.picture, source.words, source.build
    given = [
        (label, said)
        for label, text in build.object_record
        if (said := source.say(f"object {label}", "nav.about", text))
    ]
    labels = {label.strip().casefold() for label, _ in build.object_record}
    complete = sum(item.complete for item in picture.items)
    used = [m.name for m in build.materials if any(p.material == m.id for p in build.parts)]
    known = {
        "title": title,
        "maker": maker,
        "for": recipient,
        "occasion": occasion,
        "made": words.period(picture.first, picture.last),
        "materials": words.list(used),
        "count": words.count("object.things", complete, spelt=_spelt(complete, words))
        if complete
        else "",
    }
    own = [
        (words(f"object.{key}"), text)
        for key, text in known.items()
        if text and words(f"object.{key}").casefold() not in labels
    ]
    return (*own, *given)


#: Terms of the glossary: a kind of operation or a thing whose presence calls for them.
_TERMS = (
    "turning", "boring", "reaming", "drilling", "tapping", "thread", "milling", "indexing",
    "parting", "knurling", "polishing", "blackening", "form_turning", "tolerance",
    "micrometre", "runout", "roughness", "press_fit", "sliding_fit", "lathe",
)  # fmt: skip


def terms_of(picture: Picture, words: Words) -> tuple[tuple[str, str], ...]:
    """The words that this record uses, explained, in the order of the alphabet."""
    present = {"tolerance"}
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
