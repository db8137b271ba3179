"""Looking over a readable plan before anything is cut: warnings, no mistakes."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from qlog.drawing.build_file.mistakes import Notes, Place
from qlog.drawing.callouts.callout import Callout, CalloutError, Kind
from qlog.drawing.decimals import WRITTEN, shortened
from qlog.drawing.limits import Limits, clearance, format_exact
from qlog.drawing.plan import STEEL, Build, Dimension, Feature, Instrument, Joint, Stack
from qlog.drawing.units import Unit, convert
from qlog.problem import ToSay

#: Wider than this share of nominal is more often a slip of the pen than a wish.
_WIDE = Decimal("0.1")
#: U is to be at most this share of T; a tenth is wanted, a fifth is often the practical best
#: (NPL, frequently asked questions on measurement).
_JUDGE = Decimal(5)
#: Kelvin from 20 °C that a home workshop is soon off; common practice.
_ROOM = 3
#: Share of the tolerance from which a change with temperature is told, as in the entry checks.
_FELT = Decimal("0.1")
_LENGTHS = (Unit.MM, Unit.INCH)


def before_cutting(build: Build, places: dict[tuple[str, str], Place], notes: Notes) -> None:
    """Note every warning about a build, as far as it could be read.

    `places` tells where joints and stacks stand in the file, by kind and id.
    """
    instruments = {i.id: i for i in build.instruments}
    known: dict[Feature, Limits] = {}
    for index, part in enumerate(build.parts):
        for dimension in part.dimensions:
            place: Place = ("part", index, "dim", dimension.number - 1)
            known[Feature(part.id, dimension.id)] = dimension.callout.limits
            instrument = instruments.get(dimension.instrument or "")
            _dimension(dimension, instrument, place, notes)
    _room(build, instruments, notes)
    for joint in build.joints:
        if {joint.inside, joint.outside} <= known.keys():
            _joint(known, joint, places["joint", joint.id], notes)
    for stack in build.stacks:
        if {feature for _, feature in stack.terms} <= known.keys():
            _stack(known, stack, (*places["stack", stack.id], "callout"), notes)


def _dimension(
    dimension: Dimension, instrument: Instrument | None, place: Place, notes: Notes
) -> None:
    for requirement in dimension.requirements:
        callout = requirement.callout
        last = requirement is dimension.requirements[-1]
        here: Place = (*place, "callout") if last else (*place, "before", "callout")
        if _too_wide(callout):
            width, nominal = callout.limits.width, callout.nominal
            assert width is not None and nominal is not None
            share = round(width / nominal * 100)
            what = ToSay(
                "error.tolerance_size", dimension=dimension.id, text=callout.text, share=share
            )
            notes.warn(here, what, ToSay("error.less_if_decimal"), callout.text)
        if callout.quantity > 1 and last:
            notes.warn(
                here,
                ToSay(
                    "error.one_reading_piece",
                    dimension=dimension.id,
                    text=callout.text,
                    quantity=callout.quantity,
                ),
                ToSay("error.dimension_each_be"),
                callout.text,
            )
        if instrument is not None:
            _judged(dimension, callout, instrument, here, notes)


def _room(build: Build, instruments: Mapping[str, Instrument], notes: Notes) -> None:
    """Warn once where no room temperature is stated and a usual one would be felt.

    Part and instrument grow apart by the difference of their expansions; counted is what moves a
    length by more than a tenth of its tolerance at `_ROOM` kelvin from 20 °C.
    """
    if build.temperature is not None:
        return
    expansion = {m.id: m.expansion for m in build.materials}
    felt: list[tuple[Decimal, str, Callout, Decimal]] = []
    for part in build.parts:
        of_part = expansion.get(part.material or "")
        for dimension in part.dimensions:
            callout, width = dimension.callout, dimension.callout.limits.width
            size = callout.nominal if callout.nominal is not None else callout.limits.middle
            if of_part is None or not width or size is None or callout.unit not in _LENGTHS:
                continue
            instrument = instruments.get(dimension.instrument or "")
            tool = None if instrument is None else instrument.expansion
            off = abs(of_part - (STEEL if tool is None else tool)) * abs(size) * _ROOM / 10**6
            if off > width * _FELT:
                felt.append((off / width, f"{part.id} {dimension.id}", callout, off))
    if felt:
        _, name, callout, off = max(felt, key=lambda one: one[0])
        short = _short(off.quantize(Decimal(1).scaleb(off.adjusted() - 1)), callout.unit)
        key = "error.no_room" if len(felt) == 1 else "error.no_room_more"
        more = {} if len(felt) == 1 else {"more": len(felt) - 1}
        what = ToSay(key, room=_ROOM, name=name, text=callout.text, short=short, **more)
        notes.warn((), what, ToSay("error.temperature_above_first", room=_ROOM))


def _too_wide(callout: Callout) -> bool:
    """Whether a written tolerance is wider than 10 % of nominal.

    Edges are often left that free: radii and chamfers only count when the coarse class of
    ISO 2768-1 is tighter than they are.
    """
    width, nominal = callout.limits.width, callout.nominal
    if callout.general or width is None or nominal is None or nominal <= 0:
        return False
    if callout.kind in (Kind.RADIUS, Kind.CHAMFER) and callout.unit is Unit.MM:
        from qlog.drawing.standards import iso2768

        try:
            if width <= 2 * iso2768.deviation(nominal, "c", edge=True):
                return False
        except CalloutError:
            return False
    sized = (Kind.LENGTH, Kind.DIAMETER, Kind.RADIUS, Kind.CHAMFER, Kind.DEPTH, Kind.ANGLE)
    return callout.kind in sized and width > _WIDE * nominal


def _judged(
    dimension: Dimension, callout: Callout, instrument: Instrument, place: Place, notes: Notes
) -> None:
    """Warn when the instrument's error limit is more than a fifth of the tolerance."""
    width = callout.limits.width
    if width is None or instrument.error is None or callout.kind is Kind.COUNT:
        return
    try:
        error = convert(instrument.error, instrument.unit, callout.unit)
    except ValueError:
        notes.warn(
            (*place[:4], "instrument"),
            ToSay(
                "error.other_unit_read",
                dimension=dimension.id,
                unit=callout.unit.symbol or ToSay("error.no_unit"),
                instrument=instrument.name,
                reads=instrument.unit.symbol or ToSay("error.no_unit"),
            ),
            ToSay("error.instrument_kind_dimension"),
            instrument.id,
        )
        return
    if error * _JUDGE > width:
        unit = callout.unit
        notes.warn(
            (*place[:4], "instrument"),
            ToSay(
                "error.error_too_coarse",
                dimension=dimension.id,
                text=callout.text,
                instrument=instrument.name,
                error=_short(error, unit),
                tolerance=_short(width, unit),
            ),
            ToSay("error.instrument_good_better", error=_short(width / _JUDGE, unit)),
            instrument.id,
        )


def _joint(known: dict[Feature, Limits], joint: Joint, place: Place, notes: Notes) -> None:
    """What the two callouts allow, against what the joint asks for."""
    unit = joint.clearance.unit
    worst = clearance(_in(known[joint.inside], unit), _in(known[joint.outside], unit))
    _reach(
        place,
        joint.id,
        worst,
        joint.clearance,
        ("error.joint_never", "error.joint_sometimes"),
        notes,
        joint.text,
    )


def _stack(known: dict[Feature, Limits], stack: Stack, place: Place, notes: Notes) -> None:
    """The nominal sizes and the limits of the terms, against the stack's own limits."""
    unit = stack.callout.unit
    lower: Decimal | None = Decimal(0)
    upper: Decimal | None = Decimal(0)
    for sign, feature in stack.terms:
        limits = _in(known[feature], unit)
        low, high = limits.lower, limits.upper
        if sign < 0:
            low, high = (None if high is None else -high, None if low is None else -low)
        lower = None if lower is None or low is None else lower + low
        upper = None if upper is None or high is None else upper + high
    _reach(
        place,
        stack.id,
        Limits(lower, upper, unit),
        stack.callout.limits,
        ("error.stack_never", "error.stack_sometimes"),
        notes,
        stack.callout.text,
    )


def _reach(
    place: Place,
    name: str,
    worst: Limits,
    wanted: Limits,
    keys: tuple[str, str],
    notes: Notes,
    text: str,
) -> None:
    apart = (
        worst.lower is not None and wanted.upper is not None and worst.lower > wanted.upper
    ) or (worst.upper is not None and wanted.lower is not None and worst.upper < wanted.lower)
    beyond = any(
        limit is not None and not wanted.contains(limit) for limit in (worst.lower, worst.upper)
    )
    if apart or beyond:
        low, high = (
            None if end is None else shortened(end, WRITTEN) for end in (worst.lower, worst.upper)
        )
        said = Limits(low, high, worst.unit)
        notes.warn(
            place,
            ToSay(keys[0] if apart else keys[1], name=name, said=said, wanted=wanted),
            ToSay("error.other_limits_part") if apart else ToSay("error.tighter_limits_matching"),
            text,
        )


def _in(limits: Limits, unit: Unit) -> Limits:
    return Limits(
        None if limits.lower is None else convert(limits.lower, limits.unit, unit),
        None if limits.upper is None else convert(limits.upper, limits.unit, unit),
        unit,
    )


def _short(value: Decimal, unit: Unit) -> str:
    """A value for a sentence, at most three figures where it is no limit but a comparison."""
    symbol = "" if unit is Unit.DEGREE else f" {unit.symbol}"
    return f"{format_exact(value.normalize(), unit)}{symbol}"
