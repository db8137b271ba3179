"""A computed dimension as it stands: its raw readings, what they give, how far that is trusted."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

from qlog.drawing.callouts.callout import Callout
from qlog.drawing.decimals import WRITTEN, decimals_of
from qlog.drawing.limits import Limits
from qlog.drawing.plan import Build, Dimension, Part
from qlog.drawing.units import Unit, convert
from qlog.frozen import frozen, replace
from qlog.logbook.facts import Entry, Reading
from qlog.logbook.measured import Measured, measured
from qlog.logbook.part_log import PartLog
from qlog.logbook.store import Logbook
from qlog.review.instrument import judging
from qlog.review.instrument.experience import InstrumentRecord, experience_with
from qlog.study.conformity.verdict import show
from qlog.study.derived import Contradiction, DerivedSize, Outcome, derive

#: What is known of an instrument on a dimension, in a unit.
Known = Callable[[str | None, str, str, Unit], InstrumentRecord]

_LENGTHS = (Unit.MM, Unit.INCH)


@frozen
class Raw:
    """One thing that went into a computed size: a reading as it was typed, or a known size."""

    name: str  # as the rule calls it
    typed: str
    unit: Unit
    value: Decimal  # in the unit of the sum
    u: Decimal | None  # standard uncertainty of it, in the unit of the sum
    sensitivity: float  # change of the result per unit of it
    dimension: str = ""  # "" for a known size
    entry: int = 0
    instrument: str | None = None


@frozen
class Computed:
    """What the raw readings of one piece give; `outcome` is None where they contradict each other.

    `fact` and `newest` are the result as a reading and the newest of the raw entries, by which it
    is dated.
    """

    dimension: Dimension
    raws: tuple[Raw, ...]
    outcome: Outcome | None
    newest: Entry[Reading]
    entries: tuple[Entry[Reading], ...]

    @property
    def trust(self) -> judging.Trust:
        """How far the result is to be trusted."""
        out = self.outcome
        if out is None:
            return judging.Trust(None, None)
        return judging.Trust(out.uncertainty, out.shared, out.dof)

    def value(self, callout: Callout) -> Decimal:
        """The result with one decimal more than the limits have, on its own side of each limit.

        Raises ValueError where there is none.
        """
        if self.outcome is None:
            raise ValueError("nothing can be computed from these readings")
        limits = callout.limits
        ends = [decimals_of(end) for end in (limits.lower, limits.upper) if end is not None]
        return Decimal(show(self.outcome.value, limits, min(max(ends, default=3), WRITTEN) + 1))

    def entry(self, callout: Callout) -> Entry[Reading] | None:
        """The result as an entry that stands nowhere in the log; None where there is no result."""
        if self.outcome is None:
            return None
        fact, value = self.newest.fact, f"{self.value(callout):f}"
        said = Reading(
            fact.part, self.dimension.op, self.dimension.id, fact.piece, value, value,
            callout.unit.value,
        )  # fmt: skip
        return replace(self.newest, fact=said, supersedes=None, superseded_by=None, reason="")

    def measured(self, callout: Callout) -> tuple[Measured, judging.AsRead]:
        """The result as a number to be judged. Raises ValueError where there is none."""
        value = self.value(callout)
        return Measured(value, callout.unit), judging.AsRead(value, value, None)


def compute(
    build: Build, log: PartLog, dimension: Dimension, piece: int, known: Known
) -> Computed | None:
    """What a dimension's raw readings of a piece give; None while one of them is missing."""
    derived = dimension.derived
    assert derived is not None
    callout = dimension.asked_of(piece, dimension.op) or dimension.callout
    length = callout.unit if callout.unit in _LENGTHS else build.unit
    sizes: dict[str, DerivedSize] = {}
    raws: list[Raw] = []
    entries: list[Entry[Reading]] = []
    for given in derived.inputs:
        if given.dimension is None:
            assert given.value is not None
            unit = given.unit if given.unit is Unit.DEGREE else length
            value, half = (convert(v, given.unit, unit) for v in (given.value, given.half))
            # Anywhere within its bounds alike: GUM 4.3.7.
            size = DerivedSize(value, half / Decimal(3).sqrt(), half / Decimal(3).sqrt())
            raws.append(Raw(given.name, f"{given.value:f}", given.unit, value, size.u, 0.0))
        else:
            raw = log.part.dimension(given.dimension)
            entry = log.reading(raw.id, raw.op, piece)
            if entry is None:
                return None
            found = _size(build, log.part, raw, entry.fact, length, known)
            if found is None:
                return None
            size = found
            entries.append(entry)
            fact = entry.fact
            raws.append(
                Raw(given.name, fact.typed, Unit(fact.unit), size.value, size.u, 0.0, raw.id,
                    entry.id, fact.instrument)
            )  # fmt: skip
        sizes[given.name] = size
    outcome: Outcome | None
    try:
        outcome = derive(derived.rule, sizes)
    except Contradiction:
        outcome = None
    slopes = {} if outcome is None else outcome.sensitivities
    return Computed(
        dimension,
        tuple(replace(r, sensitivity=slopes.get(r.name, 0.0)) for r in raws),
        outcome,
        max(entries, key=lambda e: e.id),
        tuple(entries),
    )


def _size(
    build: Build, part: Part, raw: Dimension, fact: Reading, length: Unit, known: Known
) -> DerivedSize | None:
    """A raw reading at 20 degrees, in the unit of the sum; None where it is of another kind."""
    callout = raw.callout
    unit = Unit.DEGREE if callout.unit is Unit.DEGREE else length
    instrument = next((i for i in build.instruments if i.id == fact.instrument), None)
    says = measured(fact)
    try:
        read = judging.as_read(build, part, unit, says, instrument)
    except ValueError:
        return None
    shown = known(fact.instrument, part.id, raw.id, unit)
    about = replace(callout, unit=unit, nominal=read.raw, limits=Limits(None, None, unit))
    warmth = judging.warmth_of(build, part, about, instrument, says.temperature)
    trust = judging.trust_of(instrument, unit, shown, warmth)
    return DerivedSize(read.at_20, trust.uncertainty, trust.shared, fact.instrument, trust.dof)


def known_from(build: Build, logbook: Logbook) -> Known:
    """What is known of an instrument, looked up in the logbook as it is asked for."""

    def known(instrument: str | None, of: str, dimension: str, unit: Unit) -> InstrumentRecord:
        shown = experience_with(build, logbook, instrument, of, dimension)
        return shown.of(instrument, of, dimension, unit)

    return known


@frozen
class Result:
    """A computed dimension of one piece as it comes in: judged, or still waiting."""

    dimension: Dimension
    callout: Callout
    lacking: tuple[str, ...]  # ids of what is still to be read; () with no `judged`: contradiction
    judged: judging.Judged | None = None
    typed: str = ""


def results_with(
    build: Build, logbook: Logbook, part: Part, raw: str, piece: int
) -> tuple[Result, ...]:
    """What is computed with a dimension that was just read, for that piece."""
    wanted = part.computed_with(part.dimension(raw))
    if not wanted:
        return ()
    log = PartLog.read(logbook, part)

    known = known_from(build, logbook)
    found: list[Result] = []
    for dimension in wanted:
        callout = dimension.asked_of(piece, dimension.op) or dimension.callout
        lacking = tuple(
            d.id for d in part.read_for(dimension) if log.reading(d.id, d.op, piece) is None
        )
        computed = None if lacking else compute(build, log, dimension, piece, known)
        entry = None if computed is None else computed.entry(callout)
        if computed is None or entry is None:
            found.append(Result(dimension, callout, lacking))
            continue
        judged = judging.judge_read(build, callout, *computed.measured(callout), computed.trust)
        found.append(Result(dimension, callout, (), judged, entry.fact.typed))
    return tuple(found)
