"""Readings: a typed text made into a fact for the logbook."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from qlog.drawing.callouts.callout import Callout
from qlog.drawing.plan import Build, Dimension, Instrument, Part
from qlog.drawing.units import Unit
from qlog.intake.typed.parse import Typed, TypedError, parse_passed, parse_value
from qlog.intake.typed.places import PlaceError, instrument_of
from qlog.logbook.facts import Reading
from qlog.problem import Problem, ToSay, said_by

if TYPE_CHECKING:
    pass


class ReadingError(Problem):
    """A reading that cannot be taken."""


def requirement_for(part: Part, dimension: Dimension, op: int, piece: int) -> Callout:
    """The callout that a reading of a piece after `op` is held against.

    Raises PlaceError when the dimension is not there yet at that operation, and when it is
    computed and not read.
    """
    if dimension.derived is not None:
        read = part.read_for(dimension)
        named = ", ".join(d.id for d in read)
        raise PlaceError(
            ToSay(
                "error.computed_from_read",
                part=part.id,
                dimension=dimension.id,
                named=named,
                op=read[0].op,
                read=read[0].id,
            )
        )
    found = dimension.asked_of(piece, op)
    if found is None:
        first = dimension.requirements[0].op
        raise PlaceError(
            ToSay("error.made_op_after", part=part.id, dimension=dimension.id, first=first, op=op)
        )
    return found


def instrument_for(build: Build, dimension: Dimension, named: str | None) -> Instrument | None:
    """The instrument named, else the one the plan gives. Raises PlaceError when unknown."""
    id = named or dimension.instrument
    return None if id is None else instrument_of(build, id)


def unit_of_entry(callout: Callout, instrument: Instrument | None) -> Unit:
    """The unit that a bare number is taken in: the instrument's, if it measures that kind.

    A metric caliper on an inch drawing shows millimetres, and its number comes without a unit.
    """
    lengths = (Unit.MM, Unit.INCH)
    if instrument is not None and instrument.unit in lengths and callout.unit in lengths:
        return instrument.unit
    return callout.unit


def typed_value(callout: Callout, instrument: Instrument | None, text: str) -> Typed | bool:
    """What was typed: a value with its unit, or passed / failed for a counted check.

    Raises ReadingError with what would be accepted.
    """
    try:
        if callout.attribute:
            return parse_passed(text)
        unit = unit_of_entry(callout, instrument)
        near = callout.nominal if callout.nominal is not None else callout.limits.middle
        if near is not None and unit is not callout.unit:
            from qlog.drawing.units import convert

            near = convert(near, callout.unit, unit)
        return parse_value(text, unit, near)
    except TypedError as error:
        raise ReadingError(said_by(error)) from error


def make_reading(
    part: Part,
    op: int,
    dimension: Dimension,
    piece: int,
    typed: Typed | bool,
    *,
    text: str = "",
    instrument: Instrument | None = None,
    temperature: Decimal | None = None,
    instrument_temperature: Decimal | None = None,
    note: str = "",
) -> Reading:
    """A reading as the logbook keeps it: the text as typed beside its canonical value."""
    if isinstance(typed, bool):
        value, unit, as_typed = ("go" if typed else "no-go"), "", text or str(typed)
    else:
        value, unit, as_typed = f"{typed.value:f}", typed.unit.value, typed.text
    return Reading(
        part=part.id,
        op=op,
        dimension=dimension.id,
        piece=piece,
        typed=as_typed.strip() or value,
        value=value,
        unit=unit,
        instrument=None if instrument is None else instrument.id,
        temperature=None if temperature is None else f"{temperature:f}",
        instrument_temperature=(
            None if instrument_temperature is None else f"{instrument_temperature:f}"
        ),
        note=note,
    )
