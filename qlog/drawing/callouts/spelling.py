"""Callouts written back in one canonical spelling, which reads to the same limits again."""

from __future__ import annotations

from decimal import Decimal

from qlog.drawing.callouts.callout import Callout, Kind
from qlog.drawing.limits import arc_seconds, between, format_exact
from qlog.drawing.units import Unit


def format_callout(callout: Callout) -> str:
    """The callout in its canonical spelling; nothing in it is rounded."""
    front = f"{callout.quantity}x " if callout.quantity > 1 else ""
    return front + _written(callout) + (" Ⓔ" if callout.envelope else "")


def _written(callout: Callout) -> str:
    characteristic, limits = callout.characteristic, callout.limits
    if callout.raw:
        sign = "Ø" if callout.kind is Kind.DIAMETER else ""
        about = "" if callout.nominal is None else _number(callout.nominal, callout.unit)
        return f"reading {sign}{about}".rstrip()
    match callout.kind:
        case Kind.GO_NO_GO | Kind.BY_EYE:
            return f"{callout.kind}: {characteristic}" if characteristic else str(callout.kind)
        case Kind.THREAD:
            return characteristic
        case Kind.TAPER if callout.attribute:
            return characteristic if characteristic[0].isalpha() else f"taper {characteristic}"
        case Kind.TAPER:
            return _taper(callout)
        case Kind.HARDNESS | Kind.MASS | Kind.GLOSS:
            return _with_unit(callout)
        case Kind.CASE_DEPTH:
            return f"case {_written_size(callout)}"
        case Kind.LAYER:
            return _layer(callout)
        case Kind.GEOMETRY:
            assert limits.upper is not None
            zone = "Ø" if callout.round_zone else ""
            datums = f" to {callout.datums}" if callout.datums else ""
            return f"{characteristic} {zone}{_number(limits.upper, callout.unit)}{datums}"
        case Kind.ROUGHNESS:
            if limits.lower is None:
                assert limits.upper is not None
                return f"{characteristic} {_number(limits.upper, callout.unit)}{_micro(callout)}"
            return f"{characteristic} {_written_size(callout)}{_micro(callout)}"
        case Kind.COUNT:
            if limits.lower == limits.upper and limits.lower is not None:
                return f"count {limits.lower:f}"
            return f"count {_written_size(callout)}"
        case Kind.CHAMFER:
            assert callout.angle is not None
            angle = _number(callout.angle, Unit.DEGREE)
            if callout.nominal is None and (limits.lower is None or limits.upper is None):
                value, word = _one_sided(callout)
                return f"{value} x {angle} {word}"
            return f"{_written_size(callout)} x {angle}"
        case Kind.DEPTH:
            return f"depth {_written_size(callout)}"
        case Kind.LENGTH if characteristic:
            return f"{'□' if characteristic == 'square' else 'AF '}{_written_size(callout)}"
        case Kind.DIAMETER:
            return f"{'S' if characteristic else ''}Ø{_written_size(callout)}"
        case Kind.RADIUS:
            return f"{'S' if characteristic else ''}R{_written_size(callout)}"
        case _:
            return _written_size(callout)


def _taper(callout: Callout) -> str:
    nominal, limits = callout.nominal, callout.limits
    assert nominal is not None and limits.lower is not None and limits.upper is not None
    lower, upper = limits.lower - nominal, limits.upper - nominal
    spread = f"±{upper:f}" if lower == -upper else f"{_deviation(upper)}/{_deviation(lower)}"
    return f"taper {callout.characteristic} {spread}"


def _with_unit(callout: Callout) -> str:
    """`58..62 HRC`, `mass 250 ±5 g`, `gloss 60° 80..90 GU`."""
    unit = f"{callout.unit.symbol}{callout.characteristic}"
    front = "mass " if callout.kind is Kind.MASS else ""
    if callout.kind is Kind.GLOSS:
        front, unit = " ".join(filter(None, ("gloss", callout.characteristic, ""))), "GU"
        front = front if front.endswith(" ") else f"{front} "
    if callout.limits.lower is None or callout.limits.upper is None:
        value, word = _one_sided(callout)
        return f"{front}{value} {unit} {word}"
    return f"{front}{_written_size(callout)} {unit}"


def _layer(callout: Callout) -> str:
    name = callout.characteristic or "layer"
    if callout.unit in (Unit.MM, Unit.INCH):
        behind = "" if callout.unit is Unit.INCH else " mm"
        return f"{name} {_written_size(callout)}{behind}"
    if callout.unit is Unit.MICROINCH:
        return f"{name} {_written_size(callout)}"
    return f"{name} {_written_size(callout)} µm"


def _micro(callout: Callout) -> str:
    """The unit of a roughness in µm so large that it might be taken for µin."""
    largest = callout.limits.upper or callout.limits.lower or 0
    return " µm" if callout.unit is Unit.MICROMETRE and largest > 25 else ""


def _number(value: Decimal, unit: Unit) -> str:
    suffix = {Unit.INCH: " in", Unit.MICROINCH: " µin"}.get(unit, "")
    return format_exact(value, unit) + suffix


def _one_sided(callout: Callout) -> tuple[str, str]:
    limits = callout.limits
    if limits.upper is not None:
        return _number(limits.upper, callout.unit), "max"
    assert limits.lower is not None
    return _number(limits.lower, callout.unit), "min"


def _written_size(callout: Callout) -> str:
    limits, unit, nominal = callout.limits, callout.unit, callout.nominal
    if limits.lower is None or limits.upper is None:
        return " ".join(_one_sided(callout))
    if nominal is None:
        upper_limit = _number(limits.upper, unit)
        return f"{format_exact(limits.lower, unit)}{between(upper_limit)}{upper_limit}"
    size = _number(nominal, unit)
    if callout.fit_class:
        return f"{size} {callout.fit_class}"
    lower = _difference(limits.lower, nominal, unit)
    upper = _difference(limits.upper, nominal, unit)
    if lower == -upper:
        return f"{size} ±{_magnitude(upper, unit)}"
    return f"{size} {_deviation(upper, unit)}/{_deviation(lower, unit)}"


def _difference(value: Decimal, nominal: Decimal, unit: Unit) -> Decimal:
    """Exact deviation; of angles in arc seconds, where it ends."""
    if unit is Unit.DEGREE:
        return arc_seconds(value) - arc_seconds(nominal)
    return value - nominal


def _magnitude(value: Decimal, unit: Unit) -> str:
    return format_exact(value / 3600 if unit is Unit.DEGREE else value, unit)


def _deviation(value: Decimal, unit: Unit = Unit.MM) -> str:
    if value == 0:
        return "0"
    return ("+" if value > 0 else "-") + _magnitude(abs(value), unit)
