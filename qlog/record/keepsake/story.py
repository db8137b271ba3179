"""The story: operations by the month, what the maker tells between them, and its end."""

from __future__ import annotations

from qlog.drawing.gift import PLACES
from qlog.frozen import replace
from qlog.record.keepsake.keepsake import Chapter, Step
from qlog.record.keepsake.source import Source
from qlog.review.part.batch import Batch
from qlog.review.views import OpView


def chapters_of(source: Source) -> tuple[Chapter, ...]:
    """Beginning, months, assembly, first use, handing over; what holds nothing is not there."""
    told: dict[str, list[Step]] = {place: [] for place in PLACES}
    dated: list[Step] = []
    for n, step in enumerate(_told(source)):
        at = source.build.gift.chapters[n].at
        if step is not None:
            told.get(at, dated).append(step)
    begun, *ends = PLACES
    chapters = [Chapter("", tuple(told[begun]))] if told[begun] else []
    chapters += _months([*_operations(source), *dated], source)
    told["assembly"] = _dated(told["assembly"], source)
    chapters += [
        Chapter(source.words(f"story.{place.replace(' ', '_')}"), tuple(told[place]))
        for place in ends
        if told[place]
    ]
    return tuple(chapters)


def _told(source: Source) -> list[Step | None]:
    """The maker's own chapters; None for one of which nothing may be shown."""
    steps: list[Step | None] = []
    for n, chapter in enumerate(source.build.gift.chapters, start=1):
        title = source.say(f"chapter {n} title", "nav.story", chapter.title)
        text = source.paragraphs(f"chapter {n} text", "nav.story", chapter.text)
        photos = source.picked(chapter.photos)
        day = None if chapter.at in PLACES else chapter.at
        step = Step(title, "", text, day, source.words.date(day), photos)
        steps.append(step if text or photos else None)
    return steps


def _months(steps: list[Step], source: Source) -> list[Chapter]:
    found: list[tuple[str, list[Step]]] = []
    for step in sorted(steps, key=lambda s: (s.first or "")[:10]):
        title = source.words.month(step.first)
        if not found or found[-1][0] != title:
            found.append((title, []))
        found[-1][1].append(step)
    return [Chapter(title, tuple(listed)) for title, listed in found]


def _operations(source: Source) -> list[Step]:
    """The operations that were done or are to be seen, in the order in which they began."""
    steps = [
        step
        for view in source.picture.parts
        for op in view.ops
        if (step := _step(op, view, source)).photos
        or (op.done and op.first and (step.part or step.paragraphs))
    ]
    return sorted(steps, key=lambda s: s.first or "")


def _step(op: OpView, view: Batch, source: Source) -> Step:
    operation, key = op.operation, f"op {view.part.id} {op.operation.number}"
    shown = [
        p
        for p in source.views
        if p.part == view.part.id and p.op == operation.number and p.item is None
    ]
    seen = min((p.taken for p in shown if p.taken is not None), default=None)
    title = source.say(f"{key} title", "nav.story", operation.title)
    return Step(
        title=title or view.part.name,  # the name in the route is the workshop's
        part=view.part.name if title else "",
        paragraphs=source.paragraphs(f"{key} story", "nav.story", operation.story),
        first=op.first or seen,
        when=source.words.period(op.first, op.last),
        photos=source.gallery.of(shown),
    )


def _dated(told: list[Step], source: Source) -> list[Step]:
    """What is told of the assembly with its day, as the log has it; the day alone if need be."""
    times = sorted(e.made for item in source.picture.items for e in item.assembly
                   if not item.single)  # fmt: skip
    if not times:
        return told
    when = source.words.period(times[0], times[-1])
    first = replace(told[0], when=when) if told else Step("", "", (), times[0], when, ())
    return [first, *told[1:]]
