"""How many places a number is shown with: those of the callout and of the instrument's display."""

from __future__ import annotations

from decimal import Decimal, localcontext
from typing import TYPE_CHECKING

from qlog.drawing.callouts.callout import Callout
from qlog.drawing.limits import Limits
from qlog.drawing.units import Unit, convert

if TYPE_CHECKING:
    from qlog.drawing.plan import Build

#: Places beyond which a number was not written by anybody but came of a conversion.
WRITTEN = 7

#: Where neither callout nor display says anything: a micrometre, and its like.
_USUAL = {Unit.MM: 3, Unit.INCH: 5, Unit.DEGREE: 3, Unit.MICROMETRE: 2, Unit.MICROINCH: 1}


def decimals_of(value: Decimal) -> int:
    """Places behind the point that a number is written with."""
    exponent = value.as_tuple().exponent
    return max(0, -exponent) if isinstance(exponent, int) else 0


def places_for(
    callout: Callout, unit: Unit, step: Decimal | None = None, step_unit: Unit | None = None
) -> int:
    """Places that a number of this callout is shown with in `unit`.

    As many as its limits and nominal are written with, or as the instrument's display step
    (`step`, in `step_unit`) needs: the finer of the two. In another unit than its own the place is
    the one that is at least as fine.
    """
    return _places(callout.limits, callout.nominal, unit, step, step_unit)


def places_within(limits: Limits, step: Decimal | None, step_unit: Unit | None) -> int:
    """The same for limits without a callout, in their own unit."""
    return _places(limits, None, limits.unit, step, step_unit)


def _places(
    limits: Limits,
    nominal: Decimal | None,
    unit: Unit,
    step: Decimal | None,
    step_unit: Unit | None,
) -> int:
    own = [
        value
        for value in (limits.lower, limits.upper, nominal)
        if value is not None and decimals_of(value) <= WRITTEN
    ]
    ends = [(Decimal(1).scaleb(-max(map(decimals_of, own))), limits.unit)] if own else []
    if step and decimals_of(step) <= WRITTEN:
        ends.append((step, step_unit or limits.unit))
    found = [_place(value, given, unit) for value, given in ends]
    known = [place for place in found if place is not None]
    return max(known) if known else _USUAL.get(unit, 3)


def places_read(
    callout: Callout,
    into: Unit,
    typed: Decimal,
    unit: Unit,
    step: Decimal | None = None,
    step_unit: Unit | None = None,
) -> int:
    """Places that a reading, `typed` in `unit`, is shown with in the unit `into`.

    As many as `places_for` says, or as many more as were typed; a number that nobody wrote with
    so many places, such as minutes of an angle, gets two more than the callout's.
    """
    least = places_for(callout, into, step, step_unit)
    written = decimals_of(typed)
    if written > WRITTEN:
        return least + 2
    finest = _place(Decimal(1).scaleb(-written), unit, into)
    return least if finest is None else max(least, finest)


def places_of(build: Build, part: str, dimension: str, unit: Unit) -> int:
    """Places that sizes of a dimension of the plan are shown with in `unit`.

    Those of its callout and of the instrument planned for it, see `places_for`.
    """
    found = build.part(part).dimension(dimension)
    if found.instrument is None:
        return places_for(found.callout, unit)
    used = build.instrument(found.instrument)
    return places_for(found.callout, unit, used.step, used.unit)


def _place(value: Decimal, given: Unit, unit: Unit) -> int | None:
    if given is unit:
        return decimals_of(value)
    try:
        return max(0, -convert(value, given, unit).adjusted())
    except ValueError:
        return None


def as_typed(text: str) -> str:
    """What was typed, cut where it has more places than anybody writes: `0.8662519... in`."""
    import re

    if len(text) <= WRITTEN:
        return text
    return re.sub(rf"([.,]\d{{{WRITTEN}}})\d+", r"\1...", text)


def shortened(value: Decimal, places: int) -> Decimal:
    """A number with at most so many places, halves away from zero.

    More where it would become nothing. It decides nothing: a value beside its limits is shown by
    the rule that never rounds it onto one of them.
    """
    if not value or decimals_of(value) <= places:
        return value
    with localcontext() as context:
        context.prec = 40
        context.rounding = "ROUND_HALF_UP"
        return value.quantize(Decimal(1).scaleb(min(-places, value.adjusted())))
