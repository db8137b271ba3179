"""Sizes: lengths, diameters, radii, depths, squares, chamfers and angles."""

from __future__ import annotations

import re
from decimal import Decimal

from qlog.drawing import general_tolerance
from qlog.drawing.callouts import hints
from qlog.drawing.callouts.callout import AS_WRITTEN, Callout, CalloutError, Kind
from qlog.drawing.callouts.scan import Scanner, written_unit
from qlog.drawing.callouts.size import (
    DIAMETER,
    MAX,
    MIN,
    WrittenSize,
    arc_reader,
    finished,
    length_reader,
)
from qlog.drawing.limits import Limits
from qlog.drawing.units import Unit
from qlog.frozen import replace
from qlog.problem import ToSay

DEPTH = ("depth", "deep", "↧")
_ENVELOPE = ("Ⓔ", "(E)")
_SQUARE = ("□", "sq", "square")
_FLATS = ("AF", "A/F", "across flats", "width across flats", "WAF", "SW")
_COUNTERBORE = ("⌴", "cbore", "c'bore", "counterbore", "spotface", "csk", "countersink", "⌵")
#: What stands behind the size on older drawings and is read as if it stood in front.
_BEHIND = (
    (r"(?i)^((?=[^a-zØ]).*?[0-9\"]) ?(?:R|RAD|RADIUS)\.?(?![a-z0-9])(.*)$", "R"),
    (r"(?i)^((?=[^a-zØ]).*?[0-9\"n]) ?(?:DIA|DIAM|DIAMETER|Ø)\.?(?![a-z0-9])(.*)$", "Ø"),
    (r"(?i)^((?=[^a-zØ□]).*?[0-9\"]) ?(?:SQ|SQUARE|□)\.?(?![a-z0-9])(.*)$", "□"),
    (r"(?i)^((?=[^a-zØ]).*?[0-9\"]) ?(?:A/?F|WAF|ACROSS FLATS|SW)(?![a-z0-9])(.*)$", "AF "),
)  # fmt: skip
_CHAMFER_TURNED = r"(?i)([0-9.,]+ ?(?:°|deg(?:rees?)?\b\.?)) ?x ?([^x]+)$"
_CHAMFER_HEAD = r"(?i)(?<!ma)x ?[0-9.,]+ ?(?:°|deg)"
_CHAMFER_BARE = r"(?i)^([0-9., /\"]+?) ?x ?(45|[1-7]?[05])(?= ?(?:±|\+|-|max|min|$))"
_CHAMFER_C = r"^C ?(?=[.0-9])"
_ANGLE_HEAD = r"(?i)(?:(?:max|min)\w*\.? |[<>]= ?)?[0-9.,]+ ?(?:°|deg|')"
_ANGLE_LATER = r"(?i)^[0-9., ±+/\-]*(?:\.\.|to)?[0-9., ±+/\-]*(?:°|deg)"
_BARE_ANGLES = ("15", "20", "30", "45", "60")


def turned(line: str) -> str:
    """A callout with its word behind the size, written with the word in front."""
    for pattern, front in _BEHIND:
        if match := re.match(pattern, line):
            return f"{front}{match[1].strip()} {match[2].strip()}".strip()
    return line


def chamfer_or_angle(text: str, line: str, unit: Unit, general: str) -> Callout | None:
    """A chamfer or an angle; None when it is neither."""
    if match := re.match(_CHAMFER_C, line):
        return _chamfer(text, Scanner(line[match.end() :]), unit, general, 45)
    marked = "°" in line or "'" in line or "deg" in line.lower()
    if marked and (match := re.match(_CHAMFER_TURNED, line)):
        return _chamfer(text, Scanner(f"{match[2]} x {match[1]}"), unit, general)
    if marked and re.search(_CHAMFER_HEAD, line):
        return _chamfer(text, Scanner(line), unit, general)
    if marked and (re.match(_ANGLE_HEAD, line) or re.match(_ANGLE_LATER, line)):
        return _angle(text, Scanner(line), unit, general)
    match = None if marked else re.match(_CHAMFER_BARE, line)
    if match and match[2] in _BARE_ANGLES and (match[2] == "45" or re.search(r"[.,]", match[1])):
        return _chamfer(
            text, Scanner(f"{match[1]} x {match[2]}°{line[match.end() :]}"), unit, general
        )
    return None


def length(text: str, line: str, unit: Unit, general: str, *, in_fit: bool = False) -> Callout:
    """A length, diameter, radius, depth, square or width across flats.

    `in_fit` tells that a class stands in a fit: there `x6` can be nothing else.
    """
    scanner = Scanner(line)
    if scanner.text[:1] in ("(", "["):
        raise CalloutError(
            ToSay("error.reference_theoretical_size"), ToSay("error.leave_out_write")
        )
    kind, characteristic = _kind(scanner)
    unit = written_unit(scanner.rest, unit)
    if not re.match(r"[-.,0-9<>]|m(?:ax|in)", scanner.rest, re.I):
        if not scanner.rest:
            raise CalloutError(ToSay("error.number_missing"), hints.size(unit))
        raise _unknown(text, unit)
    reader = length_reader(scanner, unit)
    size = reader.size()
    scanner.unit(unit)  # "12 max mm"
    if kind is Kind.LENGTH and scanner.word(DEPTH):
        kind = Kind.DEPTH
    elif (
        scanner.rest.lower().startswith(("↧", "depth", "deep", "x ")) and scanner.rest[-1].isdigit()
    ):
        before = scanner.text[: scanner.place].strip()
        what = ToSay("error.two_dimensions_one", rest=scanner.rest)
        raise CalloutError(what, ToSay("error.depth_each_dimension", before=before))
    if size.fit_class[:1] in ("x", "X") and not in_fit:
        what = ToSay("error.may_be_class", fit_class=size.fit_class)
        raise CalloutError(what, ToSay("error.limits_class_second"))
    if size.fit_class:
        callout = _classed(text, scanner, kind, characteristic, size, unit)
        envelope = _envelope(scanner, unit)
    else:
        envelope = _envelope(scanner, unit)
        callout = sized(text, kind, characteristic, size, unit, general)
    return replace(callout, envelope=True) if envelope else callout


def _envelope(scanner: Scanner, unit: Unit) -> bool:
    """Whether the callout ends in Ⓔ; it must end here."""
    found = bool(scanner.word(_ENVELOPE))
    finished(scanner, hints.size(unit))
    return found


def _kind(scanner: Scanner) -> tuple[Kind, str]:
    """The kind of size by the sign or word in front, and what the kind does not say."""
    scanner.word(_COUNTERBORE)
    if scanner.word(("SØ", "S Ø", "Sdia")):
        return Kind.DIAMETER, "spherical"
    if scanner.word(DIAMETER):
        return Kind.DIAMETER, ""
    if scanner.word(("SR",)):
        return Kind.RADIUS, "spherical"
    if scanner.word(("R", "radius", "rad")):
        return Kind.RADIUS, ""
    if scanner.word(DEPTH):
        return Kind.DEPTH, ""
    if scanner.word(_SQUARE):
        return Kind.LENGTH, "square"
    if scanner.word(_FLATS):
        return Kind.LENGTH, "across flats"
    return Kind.LENGTH, ""


def sized(
    text: str,
    kind: Kind,
    characteristic: str,
    size: WrittenSize,
    unit: Unit,
    general: str,
    angle: Decimal | None = None,
) -> Callout:
    """A size with its own tolerance, or with the general one where it has none."""
    lower, upper, source = size.lower, size.upper, AS_WRITTEN
    if size.open:
        assert size.nominal is not None
        edge = kind in (Kind.RADIUS, Kind.CHAMFER)
        fraction = unit is Unit.INCH and "/" in text
        deviation, source = general_tolerance.of_length(
            general, size.nominal, unit, edge=edge, fraction=fraction
        )
        lower, upper = size.nominal - deviation, size.nominal + deviation
    if kind is not Kind.LENGTH or characteristic:
        _positive(kind, lower, upper)
    return Callout(
        text,
        kind,
        unit,
        size.nominal,
        Limits(lower, upper, unit),
        source,
        general=size.open,
        characteristic=characteristic,
        angle=angle,
    )


def _positive(kind: Kind, lower: Decimal | None, upper: Decimal | None) -> None:
    if (lower is not None and lower < 0) or (upper is not None and upper <= 0):
        raise CalloutError(ToSay("error.below_zero", kind=kind), ToSay("error.limits_above_zero"))


def _classed(
    text: str, scanner: Scanner, kind: Kind, characteristic: str, size: WrittenSize, unit: Unit
) -> Callout:
    """A size with an ISO 286 class, and the deviations or limits that drawings like to add."""
    assert size.nominal is not None
    if scanner.rest.startswith("/"):
        raise CalloutError(ToSay("error.fit_two_sides"), ToSay("error.hole_class_one"))
    if unit is Unit.INCH:
        raise CalloutError(
            ToSay("error.class_inch_size", fit_class=size.fit_class), ToSay("error.mm_iso_class")
        )
    if kind not in (Kind.DIAMETER, Kind.LENGTH):
        what = ToSay("error.class_on_kind", fit_class=size.fit_class, kind=kind)
        raise CalloutError(what, ToSay("error.iso_class_diameter"))
    from qlog.drawing.standards.iso286 import deviations

    lower, upper = deviations(size.nominal, size.fit_class)
    written = _added(scanner, size.nominal, unit)
    micro = Decimal(1000)
    if written is not None and written not in ((lower, upper), (lower * micro, upper * micro)):
        raise CalloutError(
            ToSay(
                "error.what_means",
                upper=written[1],
                lower=written[0],
                fit_class=size.fit_class,
                nominal=size.nominal,
            ),
            ToSay("error.nothing_behind_class", upper=f"{upper:+f}", lower=f"{lower:+f}"),
        )
    lower, upper = size.nominal + lower, size.nominal + upper
    _positive(kind, lower, upper)
    return Callout(
        text,
        kind,
        unit,
        size.nominal,
        Limits(lower, upper, unit),
        f"ISO 286-1 {size.fit_class}",
        characteristic=characteristic,
        fit_class=size.fit_class,
    )


def _added(scanner: Scanner, nominal: Decimal, unit: Unit) -> tuple[Decimal, Decimal] | None:
    """Lower and upper deviation written behind a class, as deviations or as limits."""
    if scanner.rest.startswith(_ENVELOPE):
        return None
    bracket = scanner.take(r"\(([^()]*)\)")
    inner = Scanner(bracket.group(1).strip()) if bracket else scanner
    if not bracket and not re.match(r"[+\-±0-9.]", inner.rest):
        return None
    reader = length_reader(inner, unit)
    written = reader.tolerance()
    if written is None and inner.rest[:1].isdigit():
        size = reader.size()
        if size.lower is None or size.upper is None:
            raise CalloutError(ToSay("error.only_one_limit"), ToSay("error.both_none_them"))
        written = size.lower - nominal, size.upper - nominal
    if bracket:
        finished(inner, ToSay("error.class_in_brackets"))
    return written


def _chamfer(
    text: str, scanner: Scanner, unit: Unit, general: str, degrees: int | None = None
) -> Callout:
    unit = written_unit(scanner.text, unit)
    hint = ToSay("error.chamfer_such_as", chamfer=hints.chamfer(unit))
    reader = length_reader(scanner, unit)
    size = reader.size()
    angle: Decimal | None = None if degrees is None else Decimal(degrees * 3600)
    if angle is None:
        if not scanner.word(("x",)):
            finished(scanner, hint)
        angle = scanner.arc(bare=None)
    if angle is None or not 0 < angle < 90 * 3600:
        raise CalloutError(ToSay("error.chamfer_angle_lies"), hint)
    if size.open and scanner.rest:
        assert size.nominal is not None
        nominal = size.nominal
        if deviations := reader.tolerance():
            size = WrittenSize(nominal, nominal + deviations[0], nominal + deviations[1])
        elif scanner.word(MAX):
            size = WrittenSize(None, None, nominal)
        elif scanner.word(MIN):
            size = WrittenSize(None, nominal, None)
    if size.fit_class:
        raise CalloutError(ToSay("error.class_chamfer", fit_class=size.fit_class), hint)
    finished(scanner, ToSay("error.chamfer_height"))
    return sized(text, Kind.CHAMFER, "", size, unit, general, angle / 3600)


def _angle(text: str, scanner: Scanner, unit: Unit, general: str) -> Callout:
    size = arc_reader(scanner).size()
    lower, upper, source = size.lower, size.upper, AS_WRITTEN
    if size.fit_class:
        raise CalloutError(ToSay("error.class_angle", fit_class=size.fit_class), "45° ±0.5°")
    if size.open:
        assert size.nominal is not None
        side = (lambda: _side(scanner)) if scanner.word(("side",)) else None
        spread, source = general_tolerance.of_angle(general, side, unit)
        lower, upper = size.nominal - spread, size.nominal + spread
    finished(scanner, '"45° ±0.5°", "45° ±30\'" or "44.5°..45.5°"')
    if (lower is not None and lower < 0) or any(v is not None and v > 360 * 3600
                                                for v in (lower, upper)):  # fmt: skip
        raise CalloutError(ToSay("error.angle_below_above"), ToSay("error.angle_from"))
    return Callout(
        text,
        Kind.ANGLE,
        Unit.DEGREE,
        _degrees(size.nominal),
        Limits(_degrees(lower), _degrees(upper), Unit.DEGREE),
        source,
        general=size.open,
    )


def _side(scanner: Scanner) -> Decimal:
    return length_reader(scanner, Unit.MM).needed()


def _degrees(seconds: Decimal | None) -> Decimal | None:
    return None if seconds is None else seconds / 3600


def _unknown(text: str, unit: Unit) -> CalloutError:
    import difflib

    from qlog.drawing.callouts.surface import GEOMETRY_NAMES

    head = text.strip().split()[0].lower().rstrip(":")
    near = difflib.get_close_matches(
        head, [*GEOMETRY_NAMES, "depth", "count", "go/no-go", "by", "dia"], 1, 0.7
    )
    hint = hints.size(unit)
    if near:
        hint = ToSay("error.mean_otherwise", name=near[0], hint=hint)
    return CalloutError(ToSay("error.callout_can_be", text=text.strip()), hint)
