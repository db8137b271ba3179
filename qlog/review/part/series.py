"""Series: the readings of one dimension after one operation, over the pieces of a batch."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal

from qlog.drawing.callouts.callout import Callout
from qlog.drawing.decimals import as_typed, decimals_of, places_read
from qlog.drawing.limits import Limits
from qlog.drawing.plan import Dimension, Instrument, Operation, Part, Requirement
from qlog.drawing.units import Unit
from qlog.frozen import frozen, replace
from qlog.logbook.facts import Entry, Reading
from qlog.logbook.measured import Measured, measured
from qlog.logbook.part_log import PartLog, SetupPieces
from qlog.review.instrument.by_revision import Judge
from qlog.review.instrument.derived import Computed, compute
from qlog.review.instrument.judging import Judged, coarsest_step, ends_at_zero
from qlog.review.moments import in_zone_of
from qlog.review.views import Correction, ReadingView, Slot, SlotView
from qlog.study.batch.counts import Sampled, sampled
from qlog.study.batch.summary import Summary, summarise
from qlog.study.conformity.verdict import Verdict


@frozen
class ByLimits:
    """The readings of a series that were judged by the same limits, one drawing's or several's."""

    limits: Limits
    pieces: tuple[int, ...]
    summary: Summary | None  # of the pieces that are left; None when all were scrapped
    scrapped: frozenset[int]  # those of them that were scrapped
    out_low: int
    out_high: int
    not_proven: int


@frozen
class LimitStep:
    """Pieces in a row that were judged by the same limits, the first and the last of them."""

    limits: Limits
    first_piece: int
    last_piece: int


@frozen
class _SaidAlike:
    """What a reading says and how it is judged: the same for all that say the same at one place."""

    says: Measured
    answers: bool  # whether it is an answer to what the drawing asks for by now
    judged: Judged | None  # None for a check, and for what is no answer
    today: Verdict | None
    raw: Decimal | None
    places: int
    revision: str


@frozen
class Series:
    """One dimension of one batch after one operation, as it was read and judged.

    `limits` and `callout` are today's; every reading is counted by the limits that it was judged
    by. `summary` is of the pieces that are left and were judged by today's limits, or by the last
    ones where none was yet.
    """

    part: Part
    dimension: Dimension
    operation: Operation
    callout: Callout
    limits: Limits
    final: bool  # the requirement of the finished piece
    slots: tuple[SlotView, ...]  # in the order of making
    readings: tuple[ReadingView, ...]  # those of them that are there
    setups: tuple[SetupPieces, ...]
    summary: Summary | None  # None when nothing numeric was read
    scrapped: Summary | None  # of the scrapped pieces, under whatever limits
    gone: frozenset[int]  # the scrapped pieces
    by_limits: tuple[ByLimits, ...]  # in the order of making, one for each set of limits
    steps: tuple[LimitStep, ...]  # the limits over the order of making
    out_low: int
    out_high: int
    not_proven: int
    passed: int  # counted checks
    failed: int
    instrument: Instrument | None
    step: Decimal | None  # coarsest of the instruments that read it, in the unit of the limits
    unmatched: tuple[int, ...]  # pieces whose reading answers an earlier drawing's question

    @property
    def id(self) -> str:
        """`cup-bore`, or `cup-bore-op20` for the size before a finish."""
        base = f"{self.part.id}-{self.dimension.id}"
        return base if self.final else f"{base}-op{self.operation.number}"

    @property
    def sample(self) -> Sampled | None:
        """What the pieces read prove about all; None where all are to be read, or none is yet.

        Scrapped pieces count for nothing: they are not handed over.
        """
        if self.dimension.every < 2:
            return None
        left = [r for r in self.readings if r.piece not in self.gone]
        pieces = sum(s.piece not in self.gone and self._gets(s.piece) for s in self.slots)
        return sampled(pieces, len(left), sum(r.bad for r in left)) if left else None

    def _gets(self, piece: int) -> bool:
        return self.part.takes(self.operation.number, piece)

    @property
    def owed(self) -> tuple[int, ...]:
        """Pieces that have had the operation and wait for a reading of it."""
        return tuple(s.piece for s in self.slots if s.owed and s.piece not in self.unmatched)

    @property
    def counted_with_summary(self) -> ByLimits:
        """The readings that `summary` is of: judged by today's limits, or by the last ones.

        Raises IndexError when nothing numeric was read.
        """
        return self.under_present_limits or self.by_limits[-1]

    @property
    def under_present_limits(self) -> ByLimits | None:
        """What was judged by today's limits."""
        return next((b for b in self.by_limits if b.limits == self.limits), None)


def series_of(log: PartLog, judge: Judge, suspect: frozenset[int]) -> tuple[Series, ...]:
    """All series of a part, in the order of the drawing, then of the route.

    A series stands for every requirement, and for every later operation after which the
    dimension was read once more. `suspect` are readings that a failed check puts in doubt.

    A reading that is no answer to what the drawing asks for by now - a number where it asks for
    go or no-go, millimetres where it asks for degrees - is left out, and its piece named in
    `Series.unmatched`. One after an operation that the route has lost has no home here: see
    `qlog.review.homeless`.
    """
    part = log.part
    operations = {o.number: o for o in part.operations}
    read: dict[str, set[int]] = {}
    for name, op in log.places:
        if op in operations:
            read.setdefault(name, set()).add(op)
    found: list[Series] = []
    pieces = log.pieces
    for dimension in part.dimensions:
        if dimension.callout.raw:  # it has no limits: what is computed from it stands for it
            continue
        wanted = {r.op for r in dimension.requirements}
        for op in sorted(wanted | read.get(dimension.id, set())):
            requirement = dimension.requirement_at(op) or dimension.requirements[0]
            place = _Place(log, judge, suspect, dimension, op, requirement)
            found.append(place.series(operations[op], pieces, wanted=op in wanted))
    return tuple(found)


class _Place:
    """One dimension after one operation, while its readings are looked through."""

    def __init__(
        self,
        log: PartLog,
        judge: Judge,
        suspect: frozenset[int],
        dimension: Dimension,
        op: int,
        requirement: Requirement,
    ) -> None:
        self.log = log
        self.judge = judge
        self.suspect = suspect
        self.dimension = dimension
        self.op = op
        self.callout = requirement.callout
        self.setups = log.setups(op)
        #: Where it is read: itself, or what it is computed from.
        self.places = {(d.id, op if d is dimension else d.op) for d in log.part.read_for(dimension)}
        self.computed: dict[int, Computed] = {}
        #: By all that it depends on. What is kept cannot grow old: it lives no longer than a place.
        self._known: dict[tuple[object, ...], _SaidAlike] = {}
        #: Decimals that a number is shown with, by what that depends on: most are alike.
        self._shown: dict[tuple[str | None, Unit, int], int] = {}

    def _logged(self, pieces: Sequence[int]) -> Mapping[int, tuple[Entry[Reading], ...]]:
        """The readings of every piece; what is computed from others as if it had been read."""
        dimension = self.dimension
        if dimension.derived is None:
            return self.log.places.get((dimension.id, self.op), {})
        known = self.judge.experience.of
        found: dict[int, tuple[Entry[Reading], ...]] = {}
        for piece in pieces:
            computed = compute(self.judge.build, self.log, dimension, piece, known)
            entry = None if computed is None else computed.entry(self.callout)
            if computed is not None and entry is not None:
                self.computed[piece], found[piece] = computed, (entry,)
        return found

    def series(self, operation: Operation, pieces: Sequence[int], *, wanted: bool) -> Series:
        """The series of this place over those pieces."""
        log, op, dimension = self.log, self.op, self.dimension
        logged = self._logged(pieces)
        slots: list[SlotView] = []
        unmatched: list[int] = []
        for piece in pieces:
            entries = logged.get(piece, ())
            good = [(e, said) for e in entries if (said := self._said(piece, e)).answers]
            if entries and not good:
                unmatched.append(piece)
            if good:
                again = not self.places.isdisjoint(log.to_read_again(piece))
                slots.append(SlotView(piece, Slot.READ, self._reading(piece, good), again=again))
            elif wanted and log.part.takes(op, piece):
                slots.append(self._empty(piece))
        readings = tuple(s.reading for s in slots if s.reading is not None)
        verdicts = [r.verdict for r in readings]
        by_limits, scrapped = self._by_limits(readings)
        present = [b for b in by_limits if b.limits == self.callout.limits] or by_limits[-1:]
        instruments = self.judge.build.instruments
        return Series(
            part=log.part,
            dimension=dimension,
            operation=operation,
            callout=self.callout,
            limits=self.callout.limits,
            final=op >= dimension.op,
            slots=tuple(slots),
            readings=readings,
            setups=self.setups,
            summary=present[0].summary if present else None,
            scrapped=scrapped,
            gone=frozenset(self.log.scrapped),
            by_limits=by_limits,
            steps=_steps(readings),
            out_low=verdicts.count(Verdict.LOW),
            out_high=verdicts.count(Verdict.HIGH),
            not_proven=verdicts.count(Verdict.NOT_PROVEN),
            passed=sum(r.passed is True for r in readings),
            failed=sum(r.passed is False for r in readings),
            instrument=next((i for i in instruments if i.id == dimension.instrument), None),
            step=coarsest_step(
                self.judge.build,
                {r.instrument for r in readings if r.value is not None},
                dimension.instrument,
                self.callout.limits.unit,
            ),
            unmatched=tuple(unmatched),
        )

    def _by_limits(
        self, readings: Sequence[ReadingView]
    ) -> tuple[tuple[ByLimits, ...], Summary | None]:
        """The readings by the limits that judged them, and a summary of the scrapped pieces."""
        dead = self.log.scrapped
        groups: dict[Limits, list[ReadingView]] = {}
        last: tuple[Limits, list[ReadingView]] | None = None
        gone = []
        for r in readings:
            if r.value is None or r.limits is None:
                continue
            if last is None or last[0] is not r.limits:
                last = (r.limits, groups.setdefault(r.limits, []))
            last[1].append(r)
            if r.piece in dead:
                gone.append(r.value)
        kind = self.callout.kind
        found: list[ByLimits] = []
        for limits, own in groups.items():
            left = [r.value for r in own if r.value is not None and r.piece not in dead]
            verdicts = [r.verdict for r in own]
            found.append(
                ByLimits(
                    limits,
                    tuple(r.piece for r in own),
                    summarise(left, limits, zero_based=ends_at_zero(kind, limits.lower))
                    if left
                    else None,
                    frozenset(r.piece for r in own if r.piece in dead),
                    verdicts.count(Verdict.LOW),
                    verdicts.count(Verdict.HIGH),
                    verdicts.count(Verdict.NOT_PROVEN),
                )
            )
        limits, scrapped = self.callout.limits, None
        if gone:
            scrapped = summarise(gone, limits, zero_based=ends_at_zero(kind, limits.lower))
        return tuple(found), scrapped

    def _empty(self, piece: int) -> SlotView:
        log = self.log
        gaps = (log.gap(name, op, piece) for name, op in sorted(self.places))
        gap = next((g for g in gaps if g is not None), None)
        if gap is not None:
            slot = Slot.SKIPPED if gap.fact.kind == "skipped" else Slot.CANNOT
            return SlotView(piece, slot, None, gap.fact.why)
        if piece in log.scrapped:  # it is asked for nothing more, whatever it still lacked
            return SlotView(piece, Slot.SCRAPPED, None)
        if log.spared(self.dimension, self.op, piece):
            return SlotView(piece, Slot.SPARED, None)
        done = (self.op, piece) in log.done
        return SlotView(piece, Slot.MISSING if done else Slot.NOT_YET, None)

    def _reading(
        self, piece: int, good: Sequence[tuple[Entry[Reading], _SaidAlike]]
    ) -> ReadingView:
        """The reading that decides; the others of the same place stand beside it.

        The one with the smallest uncertainty decides, the newest of equal ones; one whose
        uncertainty nobody knows comes after all others, and one in doubt after those.
        """
        if len(good) == 1:
            return self._view(piece, *good[0])
        views = [self._view(piece, entry, said) for entry, said in good]
        views.sort(key=lambda one: worth(one.suspect, one.uncertainty, one.entry))
        return replace(views[0], beside=tuple(views[1:]))

    def _said(self, piece: int, entry: Entry[Reading]) -> _SaidAlike:
        """What a reading says, looked at once for all that say the same."""
        if piece in self.computed:
            return self._look(piece, entry)
        fact = entry.fact
        key = (
            fact.value, fact.unit, fact.instrument, fact.temperature, fact.instrument_temperature,
            entry.revision, self.judge.run_of(entry, self.log.part, self.dimension),
        )  # fmt: skip
        found = self._known.get(key)
        if found is None:
            found = self._known[key] = self._look(piece, entry)
        return found

    def _look(self, piece: int, entry: Entry[Reading]) -> _SaidAlike:
        says, computed = measured(entry.fact), self.computed.get(piece)
        answers = computed is not None or says.answers(self.callout)
        twice = None
        if computed is not None:
            twice = self.judge.judge_computed(entry, computed, self.log.part, self.dimension)
        elif answers and says.value is not None:
            twice = self.judge.judge(entry, says, self.log.part, self.dimension)
        judged = None if twice is None else twice.then
        warmed = judged is not None and computed is None and judged.raw != judged.value
        return _SaidAlike(
            says,
            answers,
            judged,
            None if twice is None else twice.today,
            judged.raw if warmed and judged is not None else None,
            self._places(entry.fact, says) + warmed,
            self.judge.revision_of(entry),
        )

    def _view(self, piece: int, entry: Entry[Reading], said: _SaidAlike) -> ReadingView:
        fact, judged, computed = entry.fact, said.judged, self.computed.get(piece)
        of = (entry,) if computed is None else computed.entries
        judgement = None if judged is None else judged.judgement
        replaces = computed is not None or entry.supersedes is not None
        return ReadingView(
            entry=entry.id,
            part=fact.part,
            op=fact.op,
            dimension=fact.dimension,
            piece=piece,
            typed=fact.typed,
            value=None if judged is None else judged.value,
            passed=said.says.passed,
            unit="" if judgement is None else judgement.limits.unit.value,
            instrument=fact.instrument,
            made=entry.made,
            setup=self._setup(piece),
            verdict=None if judgement is None else judgement.verdict,
            judgement=judgement,
            uncertainty=None if judged is None else judged.uncertainty,
            places=said.places,
            shared=None if judged is None else judged.shared,
            suspect=bool(self.suspect) and any(e.id in self.suspect for e in of),
            corrections=self._corrections(of) if replaces else (),
            raws=() if computed is None else computed.raws,
            note=fact.note,
            raw=said.raw,
            today=said.today,
            temperature=fact.temperature,
            person=entry.person,
            revision=said.revision,
        )

    def _places(self, fact: Reading, says: Measured) -> int:
        """Decimals of a reading as its display and the callout have them."""
        if says.value is None:
            return 0
        key = (fact.instrument, says.unit, decimals_of(says.value))
        shown = self._shown.get(key)
        if shown is None:
            used = next((i for i in self.judge.build.instruments if i.id == fact.instrument), None)
            step, unit = (None, None) if used is None else (used.step, used.unit)
            own = self.callout.limits.unit
            shown = places_read(self.callout, own, says.value, says.unit, step, unit)
            self._shown[key] = shown
        return shown

    def _setup(self, piece: int) -> int:
        if len(self.setups) == 1:
            return 1
        return max((s.number for s in self.setups if s.first_piece <= piece), default=1)

    def _corrections(self, entries: Sequence[Entry[Reading]]) -> tuple[Correction, ...]:
        """What each of the entries was before, the newest first."""
        found: list[Correction] = []
        for newer in entries:
            for old in self.log.replaced(newer):
                at = in_zone_of(newer.entered, newer.made)
                was, became = as_typed(old.fact.typed), as_typed(newer.fact.typed)
                found.append(Correction(old.id, was, became, at, newer.reason, old.made))
                newer = old
        return tuple(found)


def worth(
    suspect: bool, uncertainty: Decimal | None, entry: int
) -> tuple[bool, bool, Decimal, int]:
    """How readings of one place are ordered: the first one decides."""
    return suspect, uncertainty is None, uncertainty or Decimal(0), -entry


def _steps(readings: Sequence[ReadingView]) -> tuple[LimitStep, ...]:
    runs: list[tuple[Limits, list[int]]] = []
    for reading in readings:
        limits = reading.limits
        if limits is None:
            continue
        if not runs or (limits is not runs[-1][0] and limits != runs[-1][0]):
            runs.append((limits, []))
        runs[-1][1].append(reading.piece)
    return tuple(LimitStep(limits, pieces[0], pieces[-1]) for limits, pieces in runs)
