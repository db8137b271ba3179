"""Readings judged by the drawing that they were made to, and by today's beside it."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass, field
from decimal import Decimal

from qlog.drawing.callouts.callout import Callout
from qlog.drawing.plan import Build, Dimension, Instrument, Part
from qlog.drawing.units import Unit, convert
from qlog.frozen import frozen, replace
from qlog.logbook.facts import Entry, Reading
from qlog.logbook.measured import Measured
from qlog.review.instrument import judging
from qlog.review.instrument.derived import Computed
from qlog.review.instrument.experience import Experience
from qlog.review.revisions import Revisions
from qlog.study.conformity.verdict import Verdict


@frozen
class JudgedTwice:
    """A reading by its own drawing, and its verdict by today's where that is another."""

    then: judging.Judged
    today: Verdict | None


@frozen
class _Used:
    """An instrument on one dimension, and how far it is to be trusted with no temperature given."""

    instrument: Instrument | None
    known: judging.Trust


@dataclass(frozen=True, slots=True)
class _Drawn:
    """What one revision asked of one place, with the instruments that it was read with so far."""

    then: Build
    part: Part  # as that revision has it
    callout: Callout
    part_now: Part
    now: Callout
    same: bool  # whether today's plan judges alike
    used: dict[tuple[bool, str | None], _Used] = field(default_factory=dict)


class Judge:
    """Judges readings of a build, each by the revision under which it was made.

    What is kept of drawings and instruments cannot grow old: it lives no longer than one picture.
    """

    def __init__(self, build: Build, revisions: Revisions, experience: Experience) -> None:
        self.build = build
        self.experience = experience
        self._revisions = revisions
        self._parts_of: dict[str | None, dict[str, Part]] = {}
        self._drawn: dict[tuple[str | None, str, str, int, int], _Drawn] = {}
        #: Last pieces of the limits that hold for the first pieces only, by revision and dimension.
        self._ends: dict[tuple[str | None, str, str], list[int]] = {}

    def revision_of(self, entry: Entry[Reading]) -> str:
        """Letter of the revision that a reading was made under; "" where none is recorded."""
        return self._revisions.named(entry.revision)

    def judge(
        self, entry: Entry[Reading], measured: Measured, part: Part, dimension: Dimension
    ) -> JudgedTwice:
        """Judge a reading that answers what today's drawing asks for."""
        drawn, fact = self._at(entry, part, dimension), entry.fact
        then = self._by(drawn, fact, measured, now=False)
        if drawn.same:
            return JudgedTwice(then, None)
        verdict = self._by(drawn, fact, measured, now=True).judgement.verdict
        return JudgedTwice(then, verdict if verdict is not then.judgement.verdict else None)

    def judge_computed(
        self, entry: Entry[Reading], computed: Computed, part: Part, dimension: Dimension
    ) -> JudgedTwice:
        """Judge what was computed from raw readings, dated by the newest of them."""
        drawn = self._at(entry, part, dimension)

        def by(build: Build, callout: Callout) -> judging.Judged:
            says, read = computed.measured(callout)
            return judging.judge_read(build, callout, says, read, computed.trust)

        then = by(drawn.then, drawn.callout)
        if drawn.same:
            return JudgedTwice(then, None)
        verdict = by(self.build, drawn.now).judgement.verdict
        return JudgedTwice(then, verdict if verdict is not then.judgement.verdict else None)

    def _by(self, drawn: _Drawn, fact: Reading, measured: Measured, *, now: bool) -> judging.Judged:
        """The reading by today's drawing, or by its own."""
        build, part, callout = (
            (self.build, drawn.part_now, drawn.now)
            if now
            else (drawn.then, drawn.part, drawn.callout)
        )
        used = drawn.used.get((now, fact.instrument))
        if used is None:
            instrument = next((i for i in build.instruments if i.id == fact.instrument), None)
            shown = self.experience.of(fact.instrument, fact.part, fact.dimension, callout.unit)
            warmth = judging.warmth_of(build, part, callout, instrument, None)
            used = _Used(instrument, judging.trust_of(instrument, callout.unit, shown, warmth))
            drawn.used[now, fact.instrument] = used
        if measured.temperature is not None:
            shown = self.experience.of(fact.instrument, fact.part, fact.dimension, callout.unit)
            return judging.judge_value(build, part, callout, measured, used.instrument, shown=shown)
        read = judging.as_read(build, part, callout.unit, measured, used.instrument)
        return judging.judge_read(build, callout, measured, read, used.known)

    def _at(self, entry: Entry[Reading], part: Part, dimension: Dimension) -> _Drawn:
        run = self.run_of(entry, part, dimension)
        key = (entry.revision, part.id, dimension.id, entry.fact.op, run)
        found = self._drawn.get(key)
        if found is None:
            found = self._drawn[key] = self._draw(entry, part, dimension)
        return found

    def run_of(self, entry: Entry[Reading], part: Part, dimension: Dimension) -> int:
        """Which pieces in a row, with the same limits then and the same now, its piece is among."""
        key = (entry.revision, part.id, dimension.id)
        ends = self._ends.get(key)
        if ends is None:
            then = self._revisions.plan_or_present(entry.revision)
            its_part = self._parts(entry.revision, then).get(part.id)
            old = [] if its_part is None else its_part.dimensions
            both = (dimension, *(d for d in old if d.id == dimension.id))
            # An earlier making of a piece, below 0, has the limits of none of the first pieces.
            found = {e.piece for d in both for e in d.earlier}
            ends = self._ends[key] = sorted({0, *found}) if found else []
        return bisect_left(ends, entry.fact.piece) if ends else 0

    def _draw(self, entry: Entry[Reading], part: Part, dimension: Dimension) -> _Drawn:
        op = entry.fact.op
        piece = entry.fact.piece
        now = dimension.asked_of(piece, op) or dimension.requirements[0].callout
        then = self._revisions.plan_or_present(entry.revision)
        its_part = self._parts(entry.revision, then).get(part.id)
        callout = (None if its_part is None else _asked(its_part, dimension, op, piece, now)) or now
        if its_part is None:  # its material may have had another name
            its_part = replace(part, material=None)
        same = (callout, then.decision, then.temperature) == (
            now, self.build.decision, self.build.temperature
        )  # fmt: skip
        return _Drawn(then, its_part, callout, part, now, same)

    def _parts(self, revision: str | None, plan: Build) -> dict[str, Part]:
        if revision not in self._parts_of:
            self._parts_of[revision] = {p.id: p for p in plan.parts}
        return self._parts_of[revision]


def _asked(part: Part, dimension: Dimension, op: int, piece: int, now: Callout) -> Callout | None:
    """What an earlier drawing asked of a place; None when it had no such dimension."""
    old = next((d for d in part.dimensions if d.id == dimension.id), None)
    if old is None:
        return None
    callout = old.asked_of(piece, op) or old.requirements[0].callout
    if callout.attribute or now.attribute:
        return callout if callout.attribute and now.attribute else None
    return _in_unit(callout, now.unit)


def _in_unit(callout: Callout, unit: Unit) -> Callout | None:
    """The same limits in another unit, so that one chart can hold them; None where none fits."""
    if callout.unit is unit:
        return callout

    def here(value: Decimal | None) -> Decimal | None:
        return None if value is None else convert(value, callout.unit, unit)

    try:
        limits = callout.limits.to(unit)
        return replace(callout, unit=unit, nominal=here(callout.nominal), limits=limits)
    except ValueError:
        return None
