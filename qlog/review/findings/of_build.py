"""All findings of a part and of the build, worst first."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from qlog.drawing.plan import Build
from qlog.logbook.facts import Entry, Fact
from qlog.review.findings.finding import Finding, Place, Weight, worst_first
from qlog.review.findings.kinds import Gone, NotInThePlan, Suspect, Unplaced
from qlog.review.findings.of_evidence import evidence_findings
from qlog.review.findings.of_readings import reading_findings
from qlog.review.findings.of_stock import stock_findings
from qlog.review.findings.of_trends import trend_findings
from qlog.review.part.mixups import mixups
from qlog.review.picture import InstrumentView, PartView, PhotoView


def part_findings(view: PartView) -> tuple[Finding, ...]:
    """Everything to know about one part's batch, worst first."""
    return worst_first(
        [
            *reading_findings(view),
            *trend_findings(view),
            *mixups(view),
            *evidence_findings(view),
            *stock_findings(view),
        ]
    )


def build_findings(
    build: Build,
    views: Sequence[PartView],
    instruments: Sequence[InstrumentView],
    unplaced: Sequence[PhotoView],
    entries: Sequence[Entry[Fact]],
) -> tuple[Finding, ...]:
    """The findings of all parts, and those that belong to no part, worst first."""
    found = [finding for view in views for finding in view.findings]
    found += [Suspect(Weight.WARN, Place(), view) for view in instruments if view.suspect]
    if unplaced:
        proposed = sum(p.placement is not None and bool(p.placement.proposed) for p in unplaced)
        found.append(Unplaced(Weight.WARN, Place(), len(unplaced), proposed))
    found += _strangers(build, entries)
    return worst_first(found)


def _strangers(build: Build, entries: Sequence[Entry[Fact]]) -> list[Finding]:
    """Entries whose part, operation or dimension the plan no longer has."""
    known = {p.id: {o.number for o in p.operations} for p in build.parts}
    drawn = {(p.id, d.id) for p in build.parts for d in p.dimensions}
    lost: Counter[tuple[Gone, Place]] = Counter()
    for entry in entries:
        part, op = getattr(entry.fact, "part", None), getattr(entry.fact, "op", None)
        dimension = getattr(entry.fact, "dimension", None)
        if part is None:
            continue
        if part not in known:
            lost[Gone.PART, Place(part)] += 1
        elif op is not None and op not in known[part]:
            lost[Gone.OPERATION, Place(part, op)] += 1
        elif dimension is not None and (part, dimension) not in drawn:
            lost[Gone.DIMENSION, Place(part, dimension=dimension)] += 1
    return [
        NotInThePlan(Weight.WARN, place, gone, number)
        for (gone, place), number in sorted(lost.items(), key=lambda x: _sorted_by(x[0][1]))
    ]


def _sorted_by(place: Place) -> tuple[str, int, str]:
    return place.part, place.op or 0, place.dimension or ""
