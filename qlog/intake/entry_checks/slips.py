"""Mistakes of one reading: what was typed cannot well be true, and something else could.

Each check answers with a question or None. All of them are common practice at the bench; the
factors were settled on simulated batches and are named at the top.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal
from itertools import pairwise
from math import inf, log10

from qlog.drawing.callouts.callout import Kind
from qlog.drawing.limits import format_exact
from qlog.drawing.plan import Instrument
from qlog.drawing.units import Unit, convert
from qlog.intake.entry_checks.questions import (
    LENGTHS,
    About,
    Check,
    Context,
    EarlierReading,
    Question,
)
from qlog.intake.typed.parse import Typed

# How far a reading must lie from the limits and from every other piece, in tolerance widths,
# before it is asked about: see the table that tests/benchmarks/entry_checks.py prints.
ALONE_SLIP = Decimal("0.5")
ALONE_SWAP = Decimal("0.2")
ALONE_OTHER = Decimal("0.5")
ALONE_BURR = Decimal("0.5")
NEAR_ENOUGH = Decimal("0.5")  # a corrected value may itself be out by this much
LOG_BAND = 0.01  # decades, about 2.3 % (decimal slip)
INCH_BAND = Decimal("0.02")  # of the nominal (inch and millimetre mixed)
FAR = Decimal(3)  # one limit only: how often the limit, and how far from the batch's median

_PLACES = (1, -1, 2, -2, 3, -3, 4, -4, 5, -5, 6, -6)

_NEVER_BELOW_ZERO = (
    Kind.LENGTH, Kind.DIAMETER, Kind.RADIUS, Kind.CHAMFER, Kind.DEPTH, Kind.ROUGHNESS, Kind.THREAD,
    Kind.GEOMETRY,
)  # fmt: skip

_OTHER_UNIT = {
    Unit.MM: Unit.INCH,
    Unit.INCH: Unit.MM,
    Unit.MICROMETRE: Unit.MICROINCH,
    Unit.MICROINCH: Unit.MICROMETRE,
}

# Turns of the usual screws and dials; common practice.
_THIMBLE = {Unit.MM: Decimal("0.5"), Unit.INCH: Decimal("0.025")}
_DIAL_CALIPER = {Unit.MM: Decimal(2), Unit.INCH: Decimal("0.1")}
_DIAL = {Unit.MM: Decimal(1), Unit.INCH: Decimal("0.1")}

_REMOVING = (
    "turning", "boring", "milling", "drilling", "reaming", "facing", "parting", "grinding",
    "honing", "lapping", "polishing", "filing", "deburring", "tapping", "threading", "sawing",
    "buffing", "sanding", "broaching", "countersinking", "pickling", "etching",
)  # fmt: skip
_ADDING = (
    "plating", "anodising", "anodizing", "coating", "painting", "lacquering", "galvanising",
    "galvanizing",
)  # fmt: skip


def _as_written(value: Decimal, unit: Unit) -> str:
    """The text that enters a value in `unit`, the unit written where it is a length."""
    return f"{format_exact(value, unit)} {unit.value}" if unit in LENGTHS else f"{value:f}"


def _fits(value: Decimal, context: Context, slack: Decimal) -> bool:
    """Whether a corrected value would be believed.

    Between two limits, it may lie outside by `slack`. With one limit only everything below it
    is inside, so that it must be of the size of the batch as well, once that has three pieces.
    """
    if _two_sided(context):
        return context.outside_by(value) <= slack
    if context.outside_by(value) > 0 or value <= 0:
        return False
    expected = context.expected
    return expected is None or expected <= 0 or expected / FAR <= value <= expected * FAR


def _two_sided(context: Context) -> bool:
    return context.limits.lower is not None and context.limits.upper is not None


def _far(value: Decimal, context: Context, tolerance: Decimal, factor: Decimal) -> bool:
    """Whether a value lies too far out for a piece that is merely bad."""
    if not _two_sided(context):
        factor = max(factor, FAR - 1)
    return context.alone_by(value) > factor * tolerance


def inch(typed: Typed, value: Decimal, context: Context) -> Question | None:
    """Inch typed for millimetre or the other way round: calipers send no unit."""
    shown = context.shown
    other, tolerance = _OTHER_UNIT.get(typed.unit), context.tolerance
    if other is None or tolerance is None or context.callout.unit not in LENGTHS:
        return None
    meant = convert(typed.value, other, context.callout.unit)
    centre = context.centre or Decimal(0)
    slack = max(NEAR_ENOUGH * tolerance, INCH_BAND * abs(centre))
    if not _far(value, context, tolerance, ALONE_SLIP) or not _fits(meant, context, slack):
        return None
    return Question(
        Check.INCH,
        {
            "value": shown(typed.value),
            "other": other,
            "meant": shown(meant),
            "unit": context.callout.unit,
        },
        meant,
        _as_written(typed.value, other),
    )


def slip(typed: Typed, value: Decimal, context: Context) -> Question | None:
    """The decimal point up to six places out, or not typed at all (5010 for .5010).

    A value of another magnitude than the drawing's is asked about even where the batch has such
    values already: one slip that was let stand is no reason for the next.
    """
    tolerance, centre = context.tolerance, context.centre
    if tolerance is None or value == 0:
        return None
    if not _far(value, context, tolerance, ALONE_SLIP) and not _other_magnitude(value, context):
        return None
    for places in _PLACES:
        meant = value.scaleb(-places)
        in_band = _decades(meant, centre) < LOG_BAND
        if in_band or _fits(meant, context, NEAR_ENOUGH * tolerance):
            moved = typed.value.scaleb(-places)
            return Question(
                Check.SLIP,
                {"meant": context.shown(meant), "n": abs(places)},
                meant,
                _as_written(moved, typed.unit),
                case="one" if abs(places) == 1 else "many",
            )
    return None


def decimals_alone(typed: Typed, value: Decimal, context: Context) -> Question | None:
    """Only what stands behind the point was typed: `.031` where 22.031 is meant.

    Asked where the drawing's size has a whole part and one whole number before these decimals
    comes near its limits; nothing is put in front of them unasked.
    """
    tolerance, limits = context.tolerance, context.limits
    if tolerance is None or limits.lower is None or limits.upper is None:
        return None
    if typed.text.strip()[:1] not in (".", ",") or typed.unit is not context.callout.unit:
        return None
    if not _far(value, context, tolerance, ALONE_SLIP):
        return None
    wholes = {int(end) for end in (limits.lower, limits.upper) if end >= 1}
    near = [m for w in wholes if _fits(m := w + value, context, NEAR_ENOUGH * tolerance)]
    if len(near) != 1:
        return None
    return Question(
        Check.SLIP,
        {"meant": context.shown(near[0])},
        near[0],
        _as_written(near[0], typed.unit),
        case="decimals",
    )


def _other_magnitude(value: Decimal, context: Context) -> bool:
    """Whether a value is more than half a decade from where the drawing expects it, and out."""
    tolerance, centre = context.tolerance, context.centre
    if tolerance is None or not _two_sided(context) or not centre:
        return False
    far_out = context.outside_by(value) > ALONE_SLIP * tolerance
    return far_out and 0.5 < _decades(value, centre) < inf


def impossible(typed: Typed, value: Decimal, context: Context) -> Question | None:
    """A size, radius, length, roughness or runout below zero, where the drawing has none such."""
    lower, nominal = context.limits.lower, context.callout.nominal
    if value >= 0 or context.callout.kind not in _NEVER_BELOW_ZERO:
        return None
    if (lower is not None and lower < 0) or (nominal is not None and nominal < 0):
        return None
    return Question(
        Check.IMPOSSIBLE,
        {"value": context.shown(typed.value)},
        -value,
        _as_written(-typed.value, typed.unit),
        case=context.callout.kind.name.lower(),
    )


def _decades(value: Decimal, centre: Decimal | None) -> float:
    """How many powers of ten lie between two values of one sign; infinite for others."""
    if centre is None or value * centre <= 0:
        return inf
    return abs(log10(value / centre))


def swap(typed: Typed, value: Decimal, context: Context) -> Question | None:
    """Two neighbouring digits exchanged: outside the limits as typed, inside the other way."""
    tolerance, expected = context.tolerance, context.expected
    if tolerance is None or expected is None or not _two_sided(context):
        return None
    if not _far(value, context, tolerance, ALONE_SWAP):
        return None
    best: tuple[Decimal, Decimal, Decimal] | None = None
    for other in _swapped(typed):
        meant = Typed("", other, typed.unit).to(context.callout.unit)
        if context.limits.contains(meant):
            distance = abs(meant - expected)
            if best is None or distance < best[0]:
                best = distance, meant, other
    if best is None:
        return None
    return Question(
        Check.SWAP, {"meant": context.shown(best[2])}, best[1], _as_written(best[2], typed.unit)
    )


def _swapped(typed: Typed) -> Iterator[Decimal]:
    """All values that come of exchanging two neighbouring digits, across the point as well.

    The digits are those typed: a leading zero may be one of the two.
    """
    match = re.search(r"[0-9]+[.,]?[0-9]*|[.,][0-9]+", typed.text)
    digits = list(match[0].replace(",", ".")) if match else []
    if not digits or Decimal("".join(digits)) != abs(typed.value):
        return  # a fraction or an angle in minutes: the value has other digits
    places = [i for i, c in enumerate(digits) if c != "."]
    for a, b in pairwise(places):
        if digits[a] != digits[b]:
            other = digits.copy()
            other[a], other[b] = other[b], other[a]
            yield Decimal("".join(other)).copy_sign(typed.value)


def turn(typed: Typed, value: Decimal, context: Context) -> Question | None:
    """A thimble or a dial read one whole turn out: 0.5 mm, 0.025 in; 1 or 2 mm, 0.1 in."""
    tolerance, expected, instrument = context.tolerance, context.expected, context.instrument
    if tolerance is None or expected is None or instrument is None:
        return None
    if context.callout.unit not in LENGTHS or not _two_sided(context):
        return None
    pitch = _pitch(instrument, context)
    if pitch is None:
        return None
    unit = context.callout.unit
    pitch_here = convert(pitch, instrument.unit, unit)
    least = convert(Decimal("0.02"), Unit.MM, unit)
    window = max(context.error or least, least, tolerance / 2)
    away = value - expected
    turns = 1 if away > 0 else -1
    if window > pitch_here / 4 or context.alone_by(value) <= pitch_here / 4:
        return None
    if abs(away - turns * pitch_here) > window:
        return None
    meant_typed = typed.value - turns * convert(pitch, instrument.unit, typed.unit)
    meant = value - turns * pitch_here
    return Question(
        Check.TURN,
        {"meant": context.shown(meant)},
        meant,
        _as_written(context.short(meant_typed, typed.unit), typed.unit),
    )


def _pitch(instrument: Instrument, context: Context) -> Decimal | None:
    if context.is_kind("micrometer"):
        return _THIMBLE.get(instrument.unit)
    if context.is_kind("dial caliper"):
        return _DIAL_CALIPER.get(instrument.unit)
    if context.is_kind("dial", "bore gauge"):
        return _DIAL.get(instrument.unit)
    return None


def other_dimension(value: Decimal, context: Context) -> Question | None:
    """Outside its own limits, far from the batch, and inside another dimension's limits."""
    tolerance = context.tolerance
    if tolerance is None or not _far(value, context, tolerance, ALONE_OTHER):
        return None
    names = [
        other.name
        for other in context.others
        if other.limits.unit is context.callout.unit
        and other.limits.width is not None
        and other.limits.contains(value)
    ]
    if not names:
        return None
    case = ("one", "two")[len(names) - 1] if len(names) < 3 else "many"
    about: dict[str, About] = {"first": names[0], "second": names[-1], "name": context.name}
    return Question(Check.OTHER, about, case=case)


def direction(value: Decimal, context: Context) -> Question | None:
    """A size that went the way that no operation since could have moved it.

    Cutting and polishing make outside sizes and lengths smaller and bores larger; plating and
    coating the other way round. More than both instruments' errors together, in quadrature, is
    asked about. Depths are left alone: facing shortens them, deepening lengthens them.
    """
    shown = context.shown
    if context.measures not in ("outside", "inside", "length") or not context.earlier:
        return None
    before = context.earlier[-1]
    sense = _sense(before)
    if sense == 0:
        return None
    grows = (sense > 0) != (context.measures == "inside")
    change = value - before.value
    wrong_by = -change if grows else change
    error = context.error
    if error is None:
        error = (context.tolerance or Decimal(0)) / 5
    theirs = error if before.error is None else before.error
    if wrong_by <= 0 or wrong_by**2 <= error**2 + theirs**2:
        return None
    return Question(
        Check.DIRECTION,
        {
            "doing": tuple(dict.fromkeys(before.between)),
            "before": shown(before.value),
            "op": before.op,
            "value": shown(value),
            "change": context.short(change),
            "unit": context.callout.unit,
        },
        case="smaller" if grows else "larger",
    )


def _sense(before: EarlierReading) -> int:
    """-1 when everything since takes material off, +1 when it puts some on, else 0."""
    kinds = [kind.casefold() for kind in before.between]
    adding = [any(word in kind for word in _ADDING) for kind in kinds]
    removing = [any(word in kind for word in _REMOVING) for kind in kinds]
    if kinds and all(adding):
        return 1
    if kinds and all(removing) and not any(adding):
        return -1
    return 0


def burr(value: Decimal, context: Context) -> Question | None:
    """One piece of the finished batch apart from the rest, to the side of a burr or of dirt.

    Grubbs' test at 5 % for a side (see `study.outlier`), and the piece has to be out by what
    matters: half the tolerance, more than the instrument's error, and more than three display
    steps. Burrs and dirt make outside sizes and lengths large and bores small; a depth either way
    (a burr at the rim, a chip on the floor). Without a side, as on an angle, nothing is asked.
    """
    shown = context.shown
    tolerance = context.tolerance
    side = {"outside": 1, "length": 1, "inside": -1, "depth": 0}.get(context.measures)
    if not context.last or tolerance is None or side is None or not _two_sided(context):
        return None
    from qlog.study.batch.outlier import OutlierSide, grubbs  # at the end of a batch only

    readings = (*context.batch, value)
    found = grubbs(
        readings,
        side={1: OutlierSide.HIGH, -1: OutlierSide.LOW, 0: OutlierSide.EITHER}[side],
        alpha=0.05 if side else 0.1,  # 5 % for each side
        step=context.step,
    )
    if found is None or not found.found or found.index in context.confirmed:
        return None
    place = found.index
    suspect, rest = readings[place], [r for i, r in enumerate(readings) if i != place]
    apart = min(abs(suspect - r) for r in rest)
    least = max(
        ALONE_BURR * tolerance, context.error or Decimal(0), 3 * (context.step or Decimal(0))
    )
    if apart <= least:
        return None
    current = place == len(context.batch)
    about: dict[str, About] = {
        "value": shown(suspect),
        "apart": shown(apart),
        "unit": context.callout.unit,
    }
    meant = _in_the_other_unit(suspect, context)
    if meant is not None:  # one that was let stand when it came
        about |= {"meant": shown(meant), "other": _OTHER_UNIT[context.callout.unit]}
    return Question(
        Check.BURR,
        about,
        piece=None if current else place,
        case="apart" if meant is None else "unit",
    )


def _in_the_other_unit(value: Decimal, context: Context) -> Decimal | None:
    """A value read in inch where millimetres are asked for, or the other way round."""
    unit, tolerance = context.callout.unit, context.tolerance
    if unit not in LENGTHS or tolerance is None:
        return None
    meant = convert(value, _OTHER_UNIT[unit], unit)
    slack = max(NEAR_ENOUGH * tolerance, INCH_BAND * abs(context.centre or Decimal(0)))
    return meant if _fits(meant, context, slack) else None
