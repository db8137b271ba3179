"""For whoever owns the set: care, what use can hurt with, and how to mend or make a part."""

from __future__ import annotations

from qlog.drawing.callouts.callout import Kind
from qlog.drawing.gift import DANGERS
from qlog.drawing.plan import Dimension, Joint, Part, mark_address
from qlog.record.keepsake.keepsake import Asked, CareNote, Sheet
from qlog.record.keepsake.source import Source
from qlog.review.items.finished import final_reading
from qlog.review.items.item_views import ItemView
from qlog.review.part.batch import Batch, SeriesView
from qlog.review.views import ReadingView
from qlog.words.catalogue import Words
from qlog.words.values import limits_text, value_text


def sheet_pages(source: Source) -> dict[str, str]:
    """The page on mending of each part, relative to the record: by its name, or else by its id."""
    folder, parts = source.words("folder.repair"), source.build.parts
    names = {part.id: mark_address(part.name) for part in parts}
    taken = list(names.values())
    return {
        id: f"{folder}/{name if name and taken.count(name) == 1 else id}.html"
        for id, name in names.items()
    }


def general_of(source: Source) -> tuple[str, ...]:
    """What holds for all of it; what is made to be touched is not to be left alone."""
    words, parts = source.words, source.build.parts
    handled = [p.name for p in parts if p.handled]
    said = [words("care.dry")]
    if len(handled) < len(parts):
        said.append(words("care.touch"))
    if handled:
        said.append(words("care.handled", parts=words.list(handled)))
    return tuple(said)


def care_of(source: Source, part: Part | None = None) -> tuple[CareNote, ...]:
    """Care of every material, then of every finish; of one part where it is given."""
    words, build = source.words, source.build
    wanted = build.parts if part is None else (part,)
    notes = []
    for material in build.materials:
        own = tuple(p.name for p in wanted if p.material == material.id)
        if own:
            care = source.paragraphs(f"material {material.id} care", "nav.care", material.care)
            notes.append(CareNote(material.name, own, care))
    for finish in build.gift.finishes:
        own = tuple(p.name for p in wanted if p.finish == finish.id)
        if own:
            care = source.paragraphs(f"finish {finish.id} care", "nav.care", finish.care)
            usual = (words(f"care.finish.{finish.kind}"),) if finish.kind else ()
            notes.append(CareNote(finish.name, own, care if finish.care else usual))
    return tuple(notes)


def safety_of(source: Source) -> tuple[str, ...]:
    """How use can hurt: the usual caution of what the plan names, or the maker's sentence."""
    words = source.words
    return tuple(
        said
        for n, danger in enumerate(source.build.gift.safety, start=1)
        if (
            said := words(f"danger.{danger.replace(' ', '_')}")
            if danger in DANGERS
            else source.say(f"safety {n}", "nav.care", danger)
        )
    )


def sheets_of(source: Source, pages: dict[str, str]) -> tuple[Sheet, ...]:
    """One sheet a part, in the order of the plan."""
    return tuple(_sheet(view, source, pages[view.part.id]) for view in source.picture.parts)


def _sheet(view: Batch, source: Source, href: str) -> Sheet:
    part, words, build = view.part, source.words, source.build
    material = next((m.name for m in build.materials if m.id == part.material), "")
    finish = build.gift.finish(part.finish)
    threads = [d.callout.text for d in part.dimensions if d.callout.kind is Kind.THREAD]
    facts = (
        (words("part.material"), material),
        (words("repair.finish"), finish.name if finish else ""),
        (words("repair.thread"), words.list(list(dict.fromkeys(threads)))),
    )
    return Sheet(
        href=href,
        part=part.name,
        drawing=_plate(source, part),
        facts=tuple((label, text) for label, text in facts if text),
        asked=tuple(
            Asked(d.name, d.callout.text, _limits(d, words))
            for d in part.dimensions
            if not d.callout.raw  # it only serves to compute another
        ),
        rows=_rows(view, source),
        apart=tuple(dict.fromkeys(  # two joints may come apart alike
            _apart(j, source) for j in build.joints if part.id in (j.inside.part, j.outside.part)
        )),
        care=care_of(source, part),
        again=source.paragraphs(f"part {part.id} again", "nav.repair", part.again),
        steps=source.say(
            f"part {part.id} steps", "nav.repair", ", ".join(o.name for o in part.operations)
        ),
    )  # fmt: skip


def _plate(source: Source, part: Part) -> tuple[str, int, int] | None:
    found = source.drawings.get(part.id)
    return None if found is None else (found[0], round(found[1]), round(found[2]))


def _limits(dimension: Dimension, words: Words) -> str:
    limits = dimension.callout.limits
    return "" if limits.lower is limits.upper is None else limits_text(words, limits)


def _rows(view: Batch, source: Source) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """The sizes of each item's own piece of that part, as they were read."""
    rows = []
    for item in source.picture.items:
        for piece in item.pieces:
            if piece.part != view.part.id:
                continue
            cells = []
            for dimension in view.part.dimensions:
                found = final_reading(piece, view, dimension.id)
                cells.append("" if found is None else _as_read(*found, source.words))
            rows.append((_row_name(item, piece.number, view, source), tuple(cells)))
    return tuple(rows)


def _as_read(series: SeriesView, reading: ReadingView, words: Words) -> str:
    """A value; of what is only tried or looked at, whether it was as it should be."""
    if reading.value is None and reading.passed:
        return words("verdict.good")
    return value_text(words, series, reading)


def _row_name(item: ItemView, piece: int, view: Batch, source: Source) -> str:
    if sum(p.part == view.part.id for p in item.pieces) == 1:
        return item.name
    return source.words("repair.row", item=item.name, piece=piece)


def _apart(joint: Joint, source: Source) -> str:
    """How a joint comes apart: the maker's words, or what the drawing asks of it."""
    said = source.say(f"joint {joint.id} apart", "nav.repair", joint.apart)
    if said:
        return said
    key = "repair.clearance"
    upper, lower = joint.clearance.upper, joint.clearance.lower
    if upper is not None and upper <= 0:
        key = "repair.interference"
    elif lower is None or lower < 0:
        key = "repair.between"
    return source.words(key, name=joint.name, limits=limits_text(source.words, joint.clearance))
