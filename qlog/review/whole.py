"""Plan and logbook put together into the picture of how the build stands."""

from __future__ import annotations

import gc
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from qlog.drawing.plan import Build
from qlog.frozen import frozen
from qlog.logbook.build_log import BuildLog
from qlog.logbook.facts import (
    Assembly,
    Clock,
    Done,
    Entry,
    GaugeCheck,
    ItemSize,
    Photo,
    Placement,
    Reading,
    Said,
    Shipment,
    Start,
    Trial,
)
from qlog.logbook.part_log import PartLog
from qlog.logbook.store import Logbook
from qlog.problem import Problem
from qlog.review.findings.kinds import Finding, NoMatching, Place, Weight
from qlog.review.findings.of_build import build_findings
from qlog.review.findings.of_part import part_findings
from qlog.review.homeless import Homeless, homeless
from qlog.review.instrument.by_revision import Judge
from qlog.review.instrument.experience import Experience
from qlog.review.instrument.instrument_views import instrument_views, studies_of, suspects
from qlog.review.items.item_views import ItemView, item_views
from qlog.review.items.overall import overall_sizes
from qlog.review.moments import first_and_last
from qlog.review.part.batch import Batch, batch_of
from qlog.review.part.next_up import next_up
from qlog.review.part.series import series_of
from qlog.review.photo_views import photo_views
from qlog.review.picture import Picture
from qlog.review.revisions import Revisions
from qlog.review.views import PhotoView

if TYPE_CHECKING:
    from qlog.review.diary.days import Diary
    from qlog.review.diary.events import Event
    from qlog.review.items.mating import JointView, StackView
    from qlog.review.items.within import Within
    from qlog.review.part.charts.deviations import DeviationView
    from qlog.study.matching.model import Matching


@contextmanager
def _uncollected() -> Iterator[None]:
    """Nothing is looked through for circles: no value of a picture leads back to itself.

    Looking took a tenth of the time of a large one. Most processes make one picture and end:
    what the first one came to is set aside, or all of it would be looked through when it is done.
    """
    on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if on:
            if not gc.get_freeze_count():
                gc.freeze()
            gc.enable()


@_uncollected()
def picture_from(
    build: Build,
    logbook: Logbook,
    *,
    studied: bool = True,
    mated: bool = False,
    dated: bool = False,
) -> Picture:
    """The whole picture, from the plan in force and every entry of the logbook.

    Without `studied` the series carry no drift, forecast and charts, which take the longest;
    with `mated` there are joints, stacks and the choice of pieces for the items; with `dated` the
    diary. Only reads.
    """
    log = BuildLog(logbook)
    readings, checks, sizes = log.live(Reading), log.live(GaugeCheck), log.live(ItemSize)
    suspect = suspects(readings, checks)
    studies = studies_of(build, log.live(Trial))
    experience = Experience(checks, studies)
    revisions = Revisions(build, log)
    photos = photo_views(build, log.history(Photo), log.live(Placement), log.live(Clock))
    assembly = log.live(Assembly)
    instruments = instrument_views(build, checks, readings, sizes, suspect, studies)
    lost = homeless(build, log)
    first, last = _first_and_last((readings, assembly, *map(log.live, (Done, Start, Shipment))))
    of_build = _events_of_build(log, revisions, photos, lost) if dated else []
    del readings  # what the whole build is asked is known: from here on, part by part
    batches: list[Batch] = []
    events: list[Event] = []
    shown = _by_part(photos)
    for own in log.each(build.parts):
        series = series_of(own, Judge(build, revisions, experience), suspect)
        batches.append(batch_of(build, own, series, shown[own.part.id], studied=studied))
        if dated:
            events += _events_of_part(own, batches[-1])
    overall = overall_sizes(build, experience, sizes)
    items = item_views(build, batches, assembly, overall, photos)
    mating = _mating(build, batches, items, experience) if mated else _Mating((), (), None, (), ())
    unplaced = tuple(p for p in photos if _unplaced(p))
    deviations = _deviations(batches) if studied else ()
    of_part = {batch.part.id: part_findings(batch) for batch in batches}
    of_parts = [finding for found in of_part.values() for finding in found]
    return Picture(
        build=build,
        parts=tuple(batches),
        items=items,
        instruments=instruments,
        photos=photos,
        unplaced=unplaced,
        homeless=lost,
        findings=(
            *build_findings(of_parts, items, instruments, unplaced, lost, deviations),
            *mating.findings,
        ),
        of_part=of_part,
        next=next_up(batches),
        first=first,
        last=last,
        entered=log.last_entered,
        head=log.head,
        revisions=len(revisions),
        revision=revisions.in_force,
        experience=experience,
        deviations=deviations,
        joints=mating.joints,
        stacks=mating.stacks,
        said=_said(log.live(Said)),
        rehearsed=bool(log.history(Said)),
        people=log.people,
        within=mating.within,
        matching=mating.matching,
        diary=_diary([*events, *of_build]) if dated else None,
    )


def _first_and_last(timed: Iterable[Sequence[Entry[Any]]]) -> tuple[str | None, str | None]:
    return first_and_last([e.made for entries in timed for e in entries])


def _by_part(photos: Sequence[PhotoView]) -> dict[str, list[PhotoView]]:
    """The photos that count for each part."""
    found: dict[str, list[PhotoView]] = defaultdict(list)
    for photo in photos:
        if photo.part and photo.counts:
            found[photo.part].append(photo)
    return found


def _said(entries: Sequence[Entry[Said]]) -> dict[str, Said]:
    """What was decided, by its key; where two computers decided otherwise, nothing is decided."""
    found: dict[str, Said] = {}
    clash = set()
    for entry in entries:
        other = found.setdefault(entry.fact.what, entry.fact)
        if other != entry.fact:
            clash.add(entry.fact.what)
    return {what: said for what, said in found.items() if what not in clash}


def _events_of_build(
    log: BuildLog, revisions: Revisions, photos: Sequence[PhotoView], lost: Sequence[Homeless]
) -> list[Event]:
    from qlog.review.diary.days import events_of_build

    return events_of_build(log, revisions, photos, lost)


def _events_of_part(log: PartLog, batch: Batch) -> Iterator[Event]:
    from qlog.review.diary.days import events_of_part

    return events_of_part(log, batch)


def _diary(events: Sequence[Event]) -> Diary:
    from qlog.review.diary.days import Diary, told

    return Diary(told(events))


def _deviations(batches: Sequence[Batch]) -> tuple[DeviationView, ...]:
    from qlog.review.part.charts.deviations import deviation_views

    return deviation_views(batches)


@frozen
class _Mating:
    """Joints, stacks and, where items are planned, the choice of pieces for them."""

    joints: tuple[JointView, ...]
    stacks: tuple[StackView, ...]
    matching: Matching | None
    within: tuple[Within, ...]
    findings: tuple[Finding, ...]


def _mating(
    build: Build,
    batches: Sequence[Batch],
    items: Sequence[ItemView],
    experience: Experience,
) -> _Mating:
    """Bans that contradict each other or what is assembled become a finding."""
    from qlog.review.items.mating import joint_views, match_items, stack_views
    from qlog.review.items.within import within

    matching = None
    findings: list[Finding] = []
    if any(group.takes for group in build.groups):
        try:
            matching = match_items(build, batches, items)
        except Problem:
            findings.append(NoMatching(Weight.WARN, Place()))
    return _Mating(
        joint_views(build, batches, experience),
        stack_views(build, batches),
        matching,
        within(build, batches, matching, items),
        tuple(findings),
    )


def _unplaced(photo: PhotoView) -> bool:
    """Whether nobody has said yet where the photo belongs."""
    placed = photo.part or photo.item or photo.cover
    return not placed and photo.audience != "nobody"
