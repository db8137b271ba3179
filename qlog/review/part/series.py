"""Series: the readings of one dimension after one operation, over the pieces of a batch."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace
from decimal import Decimal, InvalidOperation

from qlog.drawing.callouts.callout import Callout
from qlog.drawing.limits import Limits
from qlog.drawing.plan import Build, Dimension, Instrument, Part, Requirement
from qlog.drawing.units import Unit, convert
from qlog.logbook.facts import Entry, Gap, Reading, Setup
from qlog.review.instrument.experience import Experience
from qlog.review.instrument.judging import Judged, judge_value
from qlog.review.picture import (
    Correction,
    ReadingView,
    SeriesView,
    SetupView,
    Slot,
    SlotView,
    Standing,
)
from qlog.review.revisions import Revisions
from qlog.study.batch.summary import summarise
from qlog.study.conformity.verdict import Verdict

#: dimension id -> operation -> piece -> the thing logged there
ByPlace = Mapping[tuple[str, int], Mapping[int, Entry[Reading]]]


def setups_of(part: Part, op: int, entries: Sequence[Entry[Setup]]) -> tuple[SetupView, ...]:
    """The setups of one operation over the batch, numbered from 1 in the order of making."""
    last = part.pieces[-1]
    begun: dict[int, Entry[Setup]] = {}
    for entry in entries:
        if entry.fact.part == part.id and entry.fact.op == op:
            begun[entry.fact.piece] = entry
    starts: list[tuple[int, Entry[Setup] | None]] = [(p, e) for p, e in sorted(begun.items())]
    if not starts or starts[0][0] > 1:
        starts.insert(0, (1, None))
    return tuple(
        SetupView(
            number=number,
            first_piece=first,
            last_piece=starts[number][0] - 1 if number < len(starts) else max(last, first),
            cause="" if entry is None else entry.fact.cause,
            entry=entry,
        )
        for number, (first, entry) in enumerate(starts, start=1)
    )


def series_of(
    build: Build,
    part: Part,
    revisions: Revisions,
    readings: Sequence[Entry[Reading]],
    older: Mapping[int, Entry[Reading]],
    gaps: Sequence[Entry[Gap]],
    setups: Sequence[Entry[Setup]],
    standings: Mapping[int, Standing],
    done: Mapping[tuple[int, int], object],
    suspect: frozenset[int],
    scrapped_at: Mapping[int, int],
    experience: Experience,
) -> tuple[SeriesView, ...]:
    """All series of a part, in the order of the drawing, then of the route.

    A series stands for every requirement, and for every later operation after which the
    dimension was read once more. `done` is keyed by (operation, piece), `older` maps an entry to
    the one that it superseded, `scrapped_at` a scrapped piece to its operation.

    A reading that is no answer to what the drawing asks for by now - a number where it asks for
    go or no-go, millimetres where it asks for degrees - is left out, and its piece named in
    `SeriesView.unmatched`. Those after an operation that the route has lost are left out too.
    """
    route = {o.number for o in part.operations}
    placed: dict[tuple[str, int], dict[int, Entry[Reading]]] = defaultdict(dict)
    for entry in readings:
        if entry.fact.op in route:
            placed[entry.fact.dimension, entry.fact.op][entry.fact.piece] = entry
    blanks = {(e.fact.dimension, e.fact.op, e.fact.piece): e.fact for e in gaps}
    found: list[SeriesView] = []
    for dimension in part.dimensions:
        wanted = {r.op: r for r in dimension.requirements}
        ops = sorted(set(wanted) | {op for name, op in placed if name == dimension.id})
        for op in ops:
            requirement = dimension.requirement_at(op) or dimension.requirements[0]
            stretch = setups_of(part, op, setups)
            slots: list[SlotView] = []
            unmatched: list[int] = []
            for piece in _pieces(part, placed[dimension.id, op]):
                logged = placed[dimension.id, op].get(piece)
                if logged is not None and not _answers(logged.fact, requirement.callout):
                    unmatched.append(piece)
                    logged = None
                if logged is not None:
                    view = _view(
                        build,
                        part,
                        dimension,
                        requirement,
                        revisions,
                        logged,
                        older,
                        _setup_number(stretch, piece),
                        logged.id in suspect,
                        experience,
                    )
                    slots.append(SlotView(piece, Slot.READ, view))
                elif op in wanted and part.takes(op, piece):
                    slots.append(
                        _empty(
                            piece,
                            op,
                            blanks.get((dimension.id, op, piece)),
                            standings,
                            done,
                            scrapped_at,
                        )
                    )
            found.append(
                _series(
                    build,
                    part,
                    dimension,
                    requirement.callout,
                    op,
                    tuple(slots),
                    stretch,
                    tuple(unmatched),
                    final=op >= dimension.op,
                )
            )
    return tuple(found)


def _answers(fact: Reading, callout: Callout) -> bool:
    """Whether a logged value is of the kind that the callout asks for."""
    passed = fact.value in ("go", "no-go")
    if callout.attribute or passed:
        return callout.attribute and passed
    try:
        convert(Decimal(fact.value), Unit(fact.unit), callout.unit)
    except (InvalidOperation, ValueError):
        return False
    return True


def _pieces(part: Part, logged: Mapping[int, object]) -> list[int]:
    """Planned pieces, and any further ones that were made all the same."""
    return sorted(set(part.pieces) | set(logged))


def _setup_number(setups: Sequence[SetupView], piece: int) -> int:
    return max((s.number for s in setups if s.first_piece <= piece), default=1)


def _empty(
    piece: int,
    op: int,
    gap: Gap | None,
    standings: Mapping[int, Standing],
    done: Mapping[tuple[int, int], object],
    scrapped_at: Mapping[int, int],
) -> SlotView:
    if gap is not None:
        return SlotView(
            piece, Slot.SKIPPED if gap.kind == "skipped" else Slot.CANNOT, None, gap.why
        )
    if standings.get(piece) is Standing.SCRAP and scrapped_at.get(piece, 0) <= op:
        return SlotView(piece, Slot.SCRAPPED, None)
    if (op, piece) in done:
        return SlotView(piece, Slot.MISSING, None)
    return SlotView(piece, Slot.NOT_YET, None)


def _instrument(build: Build, id: str | None) -> Instrument | None:
    try:
        return None if id is None else build.instrument(id)
    except KeyError:
        return None


def _view(
    build: Build,
    part: Part,
    dimension: Dimension,
    requirement: Requirement,
    revisions: Revisions,
    entry: Entry[Reading],
    older: Mapping[int, Entry[Reading]],
    setup: int,
    suspect: bool,
    experience: Experience,
) -> ReadingView:
    fact = entry.fact
    corrections: list[Correction] = []
    reason, previous = entry.reason, older.get(entry.supersedes or -1)
    while previous is not None:
        corrections.append(Correction(previous.id, previous.fact.typed, previous.entered, reason))
        reason, previous = previous.reason, older.get(previous.supersedes or -1)
    judged_by = revisions.plan_or_present(entry.revision)
    callout = _callout_then(judged_by, part, dimension, fact.op) or requirement.callout
    base = ReadingView(
        entry=entry.id,
        part=part.id,
        op=fact.op,
        dimension=dimension.id,
        piece=fact.piece,
        typed=fact.typed,
        value=None,
        passed=fact.value == "go",
        unit="",
        instrument=fact.instrument,
        made=entry.made,
        setup=setup,
        verdict=None,
        judgement=None,
        uncertainty=None,
        suspect=suspect,
        corrections=tuple(corrections),
        note=fact.note,
    )
    if callout.attribute:
        return base
    then = _judge(judged_by, part, callout, fact, experience)
    now = (
        then
        if callout == requirement.callout and judged_by.rule is build.rule
        else _judge(build, part, requirement.callout, fact, experience)
    )
    return replace(
        base,
        value=then.value,
        passed=None,
        unit=callout.unit.value,
        verdict=then.judgement.verdict,
        judgement=then.judgement,
        uncertainty=then.uncertainty,
        raw=then.raw if then.raw != then.value else None,
        today=now.judgement.verdict if now.judgement.verdict != then.judgement.verdict else None,
    )


def _callout_then(then: Build, part: Part, dimension: Dimension, op: int) -> Callout | None:
    """The callout in that revision; None when it had no such dimension."""
    try:
        old = then.part(part.id).dimension(dimension.id)
    except KeyError:
        return None
    callout = (old.requirement_at(op) or old.requirements[0]).callout
    now = (dimension.requirement_at(op) or dimension.requirements[0]).callout
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
        limits = Limits(here(callout.limits.lower), here(callout.limits.upper), unit)
        return replace(callout, unit=unit, nominal=here(callout.nominal), limits=limits)
    except ValueError:
        return None


def _judge(
    build: Build,
    part: Part,
    callout: Callout,
    fact: Reading,
    experience: Experience,
) -> Judged:
    instrument = _instrument(build, fact.instrument)
    try:  # the part as that plan has it: its material may have another name by now
        its_part = build.part(part.id)
    except KeyError:
        its_part = replace(part, material=None)
    return judge_value(
        build,
        its_part,
        callout,
        Decimal(fact.value),
        Unit(fact.unit),
        instrument,
        temperature=None if fact.temperature is None else Decimal(fact.temperature),
        instrument_temperature=(
            None if fact.instrument_temperature is None else Decimal(fact.instrument_temperature)
        ),
        shown=experience.of(fact.instrument, part.id, fact.dimension, callout.unit),
    )


def _series(
    build: Build,
    part: Part,
    dimension: Dimension,
    callout: Callout,
    op: int,
    slots: tuple[SlotView, ...],
    setups: tuple[SetupView, ...],
    unmatched: tuple[int, ...],
    *,
    final: bool,
) -> SeriesView:
    readings = [s.reading for s in slots if s.reading is not None]
    values = [r.value for r in readings if r.value is not None]
    verdicts = [r.verdict for r in readings]
    return SeriesView(
        part=part,
        dimension=dimension,
        operation=part.operation(op),
        callout=callout,
        limits=callout.limits,
        final=final,
        slots=slots,
        setups=setups,
        summary=summarise(values, callout.limits) if values else None,
        out_low=verdicts.count(Verdict.LOW),
        out_high=verdicts.count(Verdict.HIGH),
        not_proven=verdicts.count(Verdict.NOT_PROVEN),
        passed=sum(r.passed is True for r in readings),
        failed=sum(r.passed is False for r in readings),
        instrument=_instrument(build, dimension.instrument),
        unmatched=unmatched,
    )
