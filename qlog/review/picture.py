"""The picture: how the build stands, as frozen values that screen and record only lay out."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from qlog.drawing.plan import Build
from qlog.frozen import frozen
from qlog.logbook.chain import Head
from qlog.logbook.facts import Said
from qlog.review.findings.kinds import Finding
from qlog.review.homeless import Homeless
from qlog.review.instrument.experience import Experience
from qlog.review.instrument.instrument_views import InstrumentView
from qlog.review.items.item_views import ItemView
from qlog.review.part.batch import Batch
from qlog.review.views import Next, PhotoView

if TYPE_CHECKING:
    from qlog.review.diary.days import Diary
    from qlog.review.items.mating import JointView, StackView
    from qlog.review.items.within import Within
    from qlog.review.part.charts.deviations import DeviationView
    from qlog.study.matching.model import Matching


@frozen
class Picture:
    """How the whole build stands."""

    build: Build
    parts: tuple[Batch, ...]
    items: tuple[ItemView, ...]
    instruments: tuple[InstrumentView, ...]
    photos: tuple[PhotoView, ...]
    unplaced: tuple[PhotoView, ...]  # photos that nobody placed
    homeless: tuple[Homeless, ...]  # entries that name what the plan has no longer
    findings: tuple[Finding, ...]  # of all parts, worst first
    of_part: Mapping[str, tuple[Finding, ...]]  # those of one part's batch, by its id
    next: tuple[Next, ...]
    first: str | None  # when the first and the last work on a piece was done
    last: str | None
    entered: str | None  # when the newest entry of any kind was entered (UTC)
    head: Head  # what the log comes to that all of it was made of
    revisions: int
    revision: tuple[str, str]  # letter of the plan in force, and the day since which it is used
    experience: Experience  # what checks and studies showed of the instruments
    deviations: tuple[DeviationView, ...]  # charts across parts; empty when not studied
    joints: tuple[JointView, ...]  # these three are empty where mating was not asked for
    stacks: tuple[StackView, ...]
    said: Mapping[str, Said]  # by its key: what was decided about what the recipient sees
    rehearsed: bool  # whether a rehearsal was ever begun: then only what is approved leaves
    people: Mapping[str, int]  # who entered how many entries; empty where one person did it all
    diary: Diary | None  # what happened day by day; None where it was not asked for
    within: tuple[Within, ...]  # what goes into items that hold others; empty without mating
    matching: Matching | None  # None as well where no items are planned, or none can be matched

    def part(self, id: str) -> Batch:
        """The batch of that part. Raises KeyError when the build has none."""
        for view in self.parts:
            if view.part.id == id:
                return view
        raise KeyError(id)
