"""One reading judged as it comes in, with what checks and studies have shown of its instrument."""

from __future__ import annotations

from qlog.drawing.callouts.callout import Callout
from qlog.drawing.plan import Build, Part
from qlog.logbook.facts import Reading
from qlog.logbook.measured import measured
from qlog.logbook.store import Logbook
from qlog.review.instrument.experience import experience_with
from qlog.review.instrument.judging import Judged, judge_value


def judge_entry(
    build: Build, logbook: Logbook, part: Part, callout: Callout, reading: Reading
) -> Judged:
    """Judge a numeric reading by the build's rule. Raises ValueError as `judge_value` does."""
    instrument = next((i for i in build.instruments if i.id == reading.instrument), None)
    known = experience_with(build, logbook, reading.instrument, part.id, reading.dimension)
    return judge_value(
        build, part, callout, measured(reading), instrument,
        shown=known.of(reading.instrument, part.id, reading.dimension, callout.unit),
    )  # fmt: skip
