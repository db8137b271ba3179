"""Mistakes of the setting: the instrument, the temperature or the route rather than the reading.

They hold for every reading of a dimension or a piece, and are asked about once.
"""

from __future__ import annotations

from decimal import Decimal

from qlog.drawing.plan import STEEL
from qlog.drawing.units import Unit, convert
from qlog.intake.entry_checks.questions import LENGTHS, About, Check, Context, Question, Scope
from qlog.intake.typed.parse import Typed

_HOT = Decimal(30)  # kelvin above 20 °C of a piece straight off the machine; common practice
_JAW_FLAT = Decimal("0.5")  # mm, flat of a caliper's inside jaws and the gap between; typical


def sealed(context: Context) -> Question | None:
    """A reading after an operation that leaves the dimension out of reach."""
    if context.sealed_by is None:
        return None
    return Question(
        Check.SEALED, {"name": context.name, "op": context.sealed_by}, scope=Scope.PIECE
    )


def skipped(context: Context) -> Question | None:
    """A reading after an operation while an earlier one of the piece is open."""
    if not context.open_ops:
        return None
    return Question(
        Check.OPEN,
        {"ops": context.open_ops},
        scope=Scope.PIECE,
        case="one" if len(context.open_ops) == 1 else "many",
    )


def jaws(context: Context) -> Question | None:
    """A bore read with caliper jaws: low by w²/(2D), w their flat and gap.

    The jaws touch on chords: D' = sqrt(D² - w²). Asked when that exceeds a tenth of the
    tolerance.
    """
    tolerance, size = context.tolerance, context.centre
    if context.measures != "inside" or not context.is_kind("caliper"):
        return None
    if tolerance is None or not size or context.callout.unit not in LENGTHS:
        return None
    flat = convert(_JAW_FLAT, Unit.MM, context.callout.unit)
    low = flat * flat / (2 * abs(size))
    if low <= tolerance / 10:
        return None
    return Question(
        Check.JAWS,
        {"amount": _small(context, low), "unit": context.callout.unit},
        scope=Scope.DIMENSION,
    )


def finer_than_display(typed: Typed, context: Context) -> Question | None:
    """A reading with a digit that the instrument cannot show: a slip, or another instrument.

    A fraction or an angle in minutes has no such digits, nor has a value in another unit.
    """
    shown = context.shown
    instrument = context.instrument
    step = None if instrument is None else instrument.step
    if instrument is None or not step or instrument.unit is not typed.unit:
        return None
    if any(sign in typed.text for sign in "/'°") or typed.value % step == 0:
        return None
    return Question(
        Check.STEP,
        {
            "instrument": instrument.name,
            "step": shown(step),
            "unit": instrument.unit,
            "value": shown(typed.value),
        },
        scope=Scope.DIMENSION,
    )


def coarse(context: Context) -> Question | None:
    """Error limit above a fifth of the tolerance.

    A tenth is wanted, a fifth often the practical best (National Physical Laboratory).
    """
    shown = context.shown
    tolerance, error = context.tolerance, context.error
    if tolerance is None or error is None or error <= tolerance / 5:
        return None
    return Question(
        Check.COARSE,
        {
            "instrument": "" if context.instrument is None else context.instrument.name,
            "error": shown(error),
            "tolerance": shown(tolerance),
            "unit": context.callout.unit,
        },
        scope=Scope.DIMENSION,
    )


def warm(context: Context) -> Question | None:
    """A piece away from 20 °C by enough to move it a tenth of the tolerance.

    alpha L dT > T/10 (ISO 1; the tenth after the National Physical Laboratory), at the
    temperature given, or 30 K up when it comes straight off the machine with none.
    """
    shown = context.shown
    tolerance, size = context.tolerance, context.centre
    if tolerance is None or not size or context.expansion is None:
        return None
    if context.callout.unit not in LENGTHS or context.measures == "":
        return None
    if context.temperature is None:
        if not context.hot:
            return None
        excess = _HOT
    else:
        excess = context.temperature - 20
    change = abs(_grown(context, abs(size), excess))
    if change <= tolerance / 10:
        return None
    about: dict[str, About] = {
        "amount": _small(context, change),
        "unit": context.callout.unit,
        "kelvin": _HOT,
    }
    if context.temperature is not None:
        about["temperature"] = shown(context.temperature)
    case = (
        "still"
        if context.temperature is None
        else "large"
        if _grown(context, abs(size), excess) > 0
        else "small"
    )
    return Question(Check.WARM, about, scope=Scope.DIMENSION, case=case)


def _grown(context: Context, size: Decimal, excess: Decimal) -> Decimal:
    """By how much it reads large: what the correction to 20 °C takes off, to first order.

    A part straight off the machine meets an instrument at 20 °C. With a temperature given, the
    instrument has that of the part unless its own is given, and grows too.
    """
    assert context.expansion is not None
    part = context.expansion * excess
    if context.temperature is None:
        return part * size / 1_000_000
    own = context.instrument_temperature
    tool = excess if own is None else own - 20
    of_tool = None if context.instrument is None else context.instrument.expansion
    return (part - (STEEL if of_tool is None else of_tool) * tool) * size / 1_000_000


def _small(context: Context, value: Decimal) -> Decimal:
    """A small amount to two significant figures."""
    return context.shown(value.quantize(Decimal(1).scaleb(value.adjusted() - 1)))
