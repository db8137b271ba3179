"""Gauges: checks against something known, and the trials of a repeatability study."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import TYPE_CHECKING

from qlog.drawing.callouts.callout import Callout, Kind
from qlog.drawing.limits import Limits
from qlog.drawing.plan import Dimension, Instrument, Part
from qlog.drawing.units import Unit, convert
from qlog.intake.bench.readings import ReadingError, typed_value
from qlog.intake.typed.parse import Typed, TypedError, parse_value
from qlog.logbook.facts import GaugeCheck, Trial
from qlog.logbook.own_words import Own
from qlog.logbook.store import Appended, Logbook
from qlog.problem import ToSay, said_by
from qlog.study.gauge.repeatability import CheckResult as Found
from qlog.study.gauge.repeatability import check

if TYPE_CHECKING:
    from qlog.intake.entry_checks import Question


def check_gauge(
    logbook: Logbook,
    instrument: Instrument,
    reference: str,
    readings: Sequence[str],
    *,
    allowed: str | None = None,
    note: str = "",
    made: str | None = None,
) -> Found:
    """Enter a check of an instrument against a gauge block, a setting ring or zero.

    The worst of several readings is kept as the check's reading, all of them in its note. The
    largest error allowed is the instrument's own unless another is given. Answers what it found.
    Raises ReadingError when a number cannot be read or no error limit is known.
    """
    true = _number(reference, instrument)
    values = [_number(text, instrument, true) for text in readings]
    if allowed is not None:
        limit = _number(allowed, instrument)
    elif instrument.error is not None:
        limit = instrument.error
    else:
        raise ReadingError(ToSay("error.error_limit_known", instrument=instrument.id))
    if limit < 0:
        raise ReadingError(ToSay("error.allowed_error_size", limit=limit))
    found = check(values, true, limit)
    worst = true + found.worst_error
    said = f"{Own.READINGS} {', '.join(t.strip() for t in readings)}" if len(readings) > 1 else ""
    fact = GaugeCheck(
        instrument=instrument.id,
        reference=f"{true:f}",
        reading=f"{worst:f}",
        unit=instrument.unit.value,
        allowed=f"{limit:f}",
        fit=int(found.fit),
        note="; ".join(n for n in (note, said) if n),
    )
    logbook.append(fact, made=made)
    return found


def _number(text: str, instrument: Instrument, near: Decimal | None = None) -> Decimal:
    return _typed(text, instrument, near).to(instrument.unit)


def _typed(text: str, instrument: Instrument, near: Decimal | None = None) -> Typed:
    try:
        return parse_value(text, instrument.unit, near or None)
    except TypedError as error:
        raise ReadingError(said_by(error)) from error


def check_question(
    instrument: Instrument, reference: str, text: str, allowed: str | None = None
) -> Question | None:
    """What there is to ask about a reading of something known, before it is entered.

    A failed check puts readings in doubt; a slip of the finger must not. Raises ReadingError.
    """
    from qlog.intake.entry_checks import About, Check, Context, Question, of_the_number

    true = _number(reference, instrument)
    typed = _typed(text, instrument, true)
    limit = instrument.error if allowed is None else _number(allowed, instrument)
    if not true or limit is None or limit <= 0:
        return None
    unit = instrument.unit
    limits = Limits(true - limit, true + limit, unit)
    known = Callout(
        text=reference, kind=Kind.LENGTH, unit=unit, nominal=true, limits=limits, source="as known"
    )
    value = typed.to(unit)
    asked = of_the_number(typed, value, Context(callout=known, instrument=instrument))
    if asked and not asked[0].once:
        return asked[0]
    for other in (Unit.INCH, Unit.MM):
        meant = convert(true, other, unit) if unit in (Unit.MM, Unit.INCH) else true
        if meant != true and abs(value - meant) <= max(limit, abs(meant) / 50):
            about: dict[str, About] = {"reference": reference, "other": other}
            return Question(Check.INCH, about, case="reference")
    return asked[0] if asked else None


def trial_question(instrument: Instrument, dimension: Dimension, text: str) -> Question | None:
    """What there is to ask about one reading of a study. Raises ReadingError."""
    from qlog.intake.entry_checks import Context, of_the_number

    typed = typed_value(dimension.callout, instrument, text)
    if isinstance(typed, bool):
        return None
    context = Context(
        callout=dimension.callout, name=dimension.name, measures=dimension.measures,
        instrument=instrument,
    )  # fmt: skip
    asked = of_the_number(typed, typed.to(dimension.callout.unit), context)
    return asked[0] if asked else None


def check_name(
    logbook: Logbook, study: str, instrument: Instrument, part: Part, dimension: Dimension
) -> None:
    """Refuse a name under which something else was studied. Raises ReadingError."""
    wanted = (instrument.id, part.id, dimension.id)
    for entry in logbook.live(Trial, study=study):
        found = (entry.fact.instrument, entry.fact.part, entry.fact.dimension)
        if found != wanted:
            raise ReadingError(ToSay("error.study_give_one", study=study, names=" ".join(found)))


def trials_left(
    logbook: Logbook, study: str, pieces: Sequence[int], repeats: int, person: str
) -> list[tuple[int, int]]:
    """(trial, piece) still to be read by that person, all pieces once before any is repeated.

    Going round keeps the eye from remembering the last figure of the same piece.
    """
    done = {(e.fact.trial, e.fact.piece) for e in logbook.live(Trial, study=study, person=person)}
    return [(t, p) for t in range(1, repeats + 1) for p in pieces if (t, p) not in done]


def enter_trial(
    logbook: Logbook,
    study: str,
    instrument: Instrument,
    part: Part,
    dimension: Dimension,
    person: str,
    piece: int,
    trial: int,
    text: str,
) -> Appended[Trial]:
    """Enter one trial. Raises ReadingError when it is no reading."""
    typed = typed_value(dimension.callout, instrument, text)
    if isinstance(typed, bool):
        raise ReadingError(ToSay("error.passes_fails_study", part=part.id, dimension=dimension.id))
    try:
        typed.to(dimension.callout.unit)
    except TypedError as error:
        raise ReadingError(said_by(error)) from error
    fact = Trial(
        study=study,
        instrument=instrument.id,
        part=part.id,
        dimension=dimension.id,
        person=person,
        piece=piece,
        trial=trial,
        value=f"{typed.value:f}",
        unit=typed.unit.value,
    )
    return logbook.append(fact)
