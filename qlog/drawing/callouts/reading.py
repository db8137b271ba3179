"""Reading callouts, fits and limits as they stand on a drawing (see `grammar` for the forms)."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal

from qlog.drawing.callouts.callout import Callout, CalloutError, Fit, Kind
from qlog.drawing.callouts.scan import Scanner, Unreadable, plain, written_unit
from qlog.drawing.limits import Limits, clearance
from qlog.drawing.units import Unit
from qlog.frozen import frozen

AS_WRITTEN = "as written"

#: ISO 1101 characteristics: name, symbol, other spellings.
_GEOMETRY = (
    ("straightness", "⏤", ()),
    ("flatness", "⏥", ()),
    ("roundness", "○", ("circularity",)),
    ("cylindricity", "⌭", ()),
    ("line profile", "⌒", ("profile of a line", "profile of any line")),
    ("surface profile", "⌓", ("profile of a surface",)),
    ("angularity", "∠", ()),
    ("perpendicularity", "⟂", ("squareness",)),
    ("parallelism", "∥", ("//",)),
    ("position", "⌖", ()),
    ("concentricity", "◎", ("coaxiality",)),
    ("symmetry", "⌯", ()),
    ("total runout", "⌰", ("total run-out",)),
    ("runout", "↗", ("circular runout", "run-out", "circular run-out")),
)
_GEOMETRY_NAMES = {
    spelling: name for name, symbol, others in _GEOMETRY for spelling in (name, symbol, *others)
}
_LONGEST_FIRST = tuple(sorted(_GEOMETRY_NAMES, key=len, reverse=True))

_ROUGHNESS = ("Ra", "Rz", "Rq", "Rt")
_RANGE = ("..", "to")
_MAX = ("max", "maximum", "<=")
_MIN = ("min", "minimum", ">=")
_DIAMETER = ("Ø", "dia", "diameter", "diam")
_DEPTH = ("depth", "deep", "↧")
_ENVELOPE = ("Ⓔ", "(E)")
_BARE_ZERO = r"0(?:[.,]0+)?(?= ?(?:mm|in|inch|°|'|\")? ?/? ?[+-])"
_CLASS = r"(?![xX])([A-Za-z]{1,2})([0-9]{1,2})(?![0-9A-Za-z])"
_DATUMS = r"(?:to (?:datums? )?|\| ?)?([A-Z](?:[ |,-]{1,3}[A-Z])*)$"
_GO = r"(?i)go ?(?:/|-| |and|or) ?no ?-? ?go\b ?:? ?"
_EYE = r"(?i)(?:by|to the) eye\b ?:? ?"
_ANGLE_HEAD = r"(?i)(?:(?:max|min)\w*\.? |[<>]= ?)?[0-9.,]+ ?(?:°|deg|')"
_CHAMFER_HEAD = r"(?i)(?<!ma)x ?[0-9.,]+ ?(?:°|deg)"
_CHAMFER_TURNED = r"(?i)([0-9.,]+ ?(?:°|deg(?:rees?)?\b\.?)) ?x ?([^x]+)$"
_SEVERAL = r"(?i)[0-9]{1,3} ?x ?(?:S?Ø|S?R|dia|M|[0-9])"
_FIT = r"(.*?) ?\b([A-Za-z]{1,2}[0-9]{1,2}) ?/ ?([A-Za-z]{1,2}[0-9]{1,2})$"

_SIZE_HINT = 'a size with its tolerance, such as "12 ±0.05", "Ø8 H7", "11.95..12.05" or "12 max"'


@frozen
class _Size:
    """A size as written; lengths in the callout's unit, angles in arc seconds."""

    nominal: Decimal | None
    lower: Decimal | None
    upper: Decimal | None
    fit_class: str = ""
    open: bool = False  # neither tolerance nor limit is written


def parse(text: str, *, unit: Unit = Unit.MM, general: str = "") -> Callout:
    """Read a callout as it stands on a drawing.

    `unit` (mm or inch) holds where the callout names none; `general` is the ISO 2768-1 class
    ("f", "m", "c" or "v") for a dimension that carries no tolerance, "" when there is none.
    Every accepted form is listed in `qlog.drawing.callouts.grammar.forms`. Raises CalloutError.
    """
    if unit not in (Unit.MM, Unit.INCH):
        raise ValueError(f"a drawing is in mm or inch, not in {unit!r}")
    try:
        return _read(text, unit, general)
    except Unreadable as error:
        raise CalloutError(error.what, error.accepted) from None


def _read(text: str, unit: Unit, general: str) -> Callout:
    words = " ".join(text.split())
    if not words:
        raise CalloutError("the callout is empty", _SIZE_HINT)
    small = words.lower()
    if small.startswith("go") and (match := re.match(_GO, words)):
        return _passed(text, Kind.GO_NO_GO, words[match.end() :])
    if "eye" in small and (match := re.match(_EYE, words)):
        said = words[match.end() :]
        if not said:
            raise CalloutError(
                "by eye, but for what", 'what to look for: "by eye: no scratches at arm\'s length"'
            )
        return _passed(text, Kind.BY_EYE, said)
    line = plain(text)
    from qlog.drawing.standards.threads import looks_like

    if looks_like(line):
        return _thread(text, line)
    scanner = Scanner(line)
    if name := scanner.word(_ROUGHNESS):
        return _roughness(text, scanner, name, unit)
    if name := scanner.word(_LONGEST_FIRST):
        return _geometry(text, scanner, _GEOMETRY_NAMES[name], unit)
    if line[-1] in "xX" and line[:-1].strip().isdigit():
        return _count(text, Scanner(line[:-1].strip()))
    if scanner.word(("count:", "count")):
        return _count(text, scanner)
    marked = "°" in line or "'" in line or "deg" in line.lower()
    if marked and (match := re.match(_CHAMFER_TURNED, line)):
        return _chamfer(text, Scanner(f"{match[2]} x {match[1]}"), unit, general)
    if marked and re.search(_CHAMFER_HEAD, line):
        return _chamfer(text, scanner, unit, general)
    if marked and re.match(_ANGLE_HEAD, line):
        return _angle(text, scanner, general)
    return _length(text, scanner, unit, general)


def _passed(text: str, kind: Kind, said: str) -> Callout:
    nothing = Limits(None, None, Unit.NONE)
    return Callout(text, kind, Unit.NONE, None, nothing, AS_WRITTEN, characteristic=said)


def _size(scanner: Scanner, value: Callable[[], Decimal | None]) -> _Size:
    """A size with whatever tolerance follows it. `value` reads one magnitude."""
    if scanner.word(_MAX):
        return _Size(None, None, _needed(scanner, value))
    if scanner.word(_MIN):
        return _Size(None, _needed(scanner, value), None)
    first = _signed(scanner, value)
    if scanner.word(_RANGE):
        scanner.word(_DIAMETER)
        second = _signed(scanner, value)
        if first > second:
            raise CalloutError("the limits are reversed", "the smaller limit first")
        return _Size(None, first, second)
    if scanner.word(_MAX):
        return _Size(None, None, first)
    if scanner.word(_MIN):
        return _Size(None, first, None)
    if scanner.word(("±",)):
        spread = _needed(scanner, value)
        return _Size(first, first - spread, first + spread)
    if deviations := _deviations(scanner, value):
        return _Size(first, first + deviations[0], first + deviations[1])
    if match := scanner.take(_CLASS):
        return _Size(first, None, None, match.group())
    if scanner.rest.startswith("/"):
        raise CalloutError(
            "a / between two numbers",
            "two limits: 11.95..12.05; an inch fraction has 2, 4, 8 ... 128 below the line",
        )
    return _Size(first, None, None, open=True)


def _needed(scanner: Scanner, value: Callable[[], Decimal | None]) -> Decimal:
    found = value()
    if found is None:
        rest = scanner.rest
        raise CalloutError(f'a number was expected at "{rest}"' if rest else "a number is missing",
                           _SIZE_HINT)  # fmt: skip
    return found


def _signed(scanner: Scanner, value: Callable[[], Decimal | None]) -> Decimal:
    minus = scanner.word(("-",))
    found = _needed(scanner, value)
    return -found if minus else found


def _deviations(
    scanner: Scanner, value: Callable[[], Decimal | None]
) -> tuple[Decimal, Decimal] | None:
    """Lower and upper deviation, written upper first; None when none is written here."""
    found: list[Decimal] = []
    for turn in range(2):
        if sign := scanner.word(("+", "-")):
            amount = _needed(scanner, value)
            found.append(-amount if sign == "-" else amount)
        elif turn == 0:
            start = scanner.place
            if not scanner.take(_BARE_ZERO):
                return None
            scanner.place = start
            found.append(_needed(scanner, value))
        else:
            amount = _needed(scanner, value)
            if amount:
                raise CalloutError(
                    f"the second deviation {amount} has no sign",
                    "both deviations with their sign: +0.02/-0.01",
                )
            found.append(amount)
        if turn == 0:
            scanner.word(("/",))
            if not scanner.rest:
                raise CalloutError(
                    "only one deviation is written",
                    "both deviations: +0.02/0, or ±0.02; two limits: 11.95..12.05",
                )
    first, second = found
    if first < second and (first > 0 or second < 0):
        raise CalloutError(
            "the limits are reversed", "the upper deviation first: +0.05/+0.02, -0.02/-0.05"
        )
    return min(first, second), max(first, second)


def _finished(scanner: Scanner, hint: str = _SIZE_HINT) -> None:
    if scanner.rest:
        before = scanner.text[: scanner.place].strip()
        what = f'"{scanner.rest}" cannot be read' + (f' behind "{before}"' if before else "")
        raise CalloutError(what, hint)


def _length(text: str, scanner: Scanner, unit: Unit, general: str) -> Callout:
    kind, characteristic = Kind.LENGTH, ""
    if scanner.text[:1] in "([":
        raise CalloutError(
            "a reference or theoretical size in brackets has no limits",
            "leave it out, or write its tolerance without brackets",
        )
    if scanner.word(("SØ", "S Ø", "Sdia")):
        kind, characteristic = Kind.DIAMETER, "spherical"
    elif scanner.word(_DIAMETER):
        kind = Kind.DIAMETER
    elif scanner.word(("SR",)):
        kind, characteristic = Kind.RADIUS, "spherical"
    elif scanner.word(("R", "radius")):
        kind = Kind.RADIUS
    elif scanner.word(_DEPTH):
        kind = Kind.DEPTH
    unit = written_unit(scanner.rest, unit)
    if not re.match(r"[-.,0-9<>]|m(?:ax|in)", scanner.rest, re.I):
        if not scanner.rest:
            raise CalloutError("a number is missing", _SIZE_HINT)
        raise _unknown(text)
    if re.match(_SEVERAL, scanner.rest):
        raise CalloutError(
            "several features in one callout",
            "the callout without the number in front, one dimension for each feature to be read",
        )
    size = _size(scanner, lambda: scanner.length(unit))
    scanner.unit(unit)  # "12 max mm"
    if kind is Kind.LENGTH and scanner.word(_DEPTH):
        kind = Kind.DEPTH
    if size.fit_class:
        callout = _classed(text, scanner, kind, characteristic, size, unit)
        envelope = _envelope(scanner)
    else:
        envelope = _envelope(scanner)
        callout = _sized(text, kind, characteristic, size, unit, general)
    return replace(callout, envelope=True) if envelope else callout


def _envelope(scanner: Scanner) -> bool:
    """Whether the callout ends in Ⓔ; it must end here."""
    found = bool(scanner.word(_ENVELOPE))
    _finished(scanner)
    return found


def _sized(
    text: str,
    kind: Kind,
    characteristic: str,
    size: _Size,
    unit: Unit,
    general: str,
    angle: Decimal | None = None,
) -> Callout:
    lower, upper, source = size.lower, size.upper, AS_WRITTEN
    if size.open:
        assert size.nominal is not None
        deviation, source = _general(kind, size.nominal, unit, general)
        lower, upper = size.nominal - deviation, size.nominal + deviation
    if kind is not Kind.LENGTH:
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
        raise CalloutError(f"a {kind} below zero", "limits above zero")


def _general(kind: Kind, nominal: Decimal, unit: Unit, general: str) -> tuple[Decimal, str]:
    if not general:
        raise CalloutError(
            "no tolerance is written",
            f'a tolerance, such as "{nominal} ±0.1", or a general class for the build: '
            'general = "ISO 2768-m"',
        )
    if unit is Unit.INCH:
        raise CalloutError(
            "ISO 2768-1 has no inch sizes", f'a tolerance, such as "{nominal} in ±.005"'
        )
    from qlog.drawing.standards.iso2768 import deviation

    edge = kind in (Kind.RADIUS, Kind.CHAMFER)
    return deviation(nominal, general, edge=edge), f"ISO 2768-1 {general}"


def _classed(
    text: str, scanner: Scanner, kind: Kind, characteristic: str, size: _Size, unit: Unit
) -> Callout:
    """A size with an ISO 286 class, and the deviations in brackets that drawings like to add."""
    assert size.nominal is not None
    if scanner.rest.startswith("/"):
        raise CalloutError(
            "a fit has two sides",
            "the hole's class on one part, the shaft's on the other, and the fit in the joint",
        )
    if unit is Unit.INCH:
        raise CalloutError(
            f"class {size.fit_class} with an inch size",
            "mm for an ISO 286 class, or the limits in inches",
        )
    if kind not in (Kind.DIAMETER, Kind.LENGTH):
        raise CalloutError(
            f"class {size.fit_class} on a {kind}", "an ISO 286 class on a diameter or a width"
        )
    from qlog.drawing.standards.iso286 import deviations

    lower, upper = deviations(size.nominal, size.fit_class)
    if match := scanner.take(r"\((?!E\))([^()]*)\)"):
        inner = Scanner(match.group(1).strip())
        value: Callable[[], Decimal | None] = lambda: inner.length(unit)  # noqa: E731
        written = _deviations(inner, value)
        if written is None:
            limits = _size(inner, value)
            written = (
                (limits.lower or Decimal(0)) - size.nominal,
                (limits.upper or Decimal(0)) - size.nominal,
            )
        _finished(inner, "the deviations of the class in brackets: (+0.015/0)")
        if written != (lower, upper):
            raise CalloutError(
                f"({match.group(1)}) is not what {size.fit_class} means at {size.nominal}",
                f"({upper:+f}/{lower:+f}), or no brackets",
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


def _chamfer(text: str, scanner: Scanner, unit: Unit, general: str) -> Callout:
    unit = written_unit(scanner.text, unit)

    def value() -> Decimal | None:
        return scanner.length(unit)

    size = _size(scanner, value)
    if not scanner.word(("x",)):
        _finished(scanner, 'a chamfer such as "0.5 x 45° ±0.1"')
    angle = scanner.arc(bare=None)
    if angle is None or not 0 < angle < 90 * 3600:
        raise CalloutError(
            "a chamfer's angle lies between 0° and 90°", 'a chamfer such as "0.5 x 45° ±0.1"'
        )
    if size.open and scanner.rest:
        assert size.nominal is not None
        nominal = size.nominal
        if scanner.word(("±",)):
            spread = _needed(scanner, value)
            size = _Size(nominal, nominal - spread, nominal + spread)
        elif deviations := _deviations(scanner, value):
            size = _Size(nominal, nominal + deviations[0], nominal + deviations[1])
        elif scanner.word(_MAX):
            size = _Size(None, None, nominal)
        elif scanner.word(_MIN):
            size = _Size(None, nominal, None)
    if size.fit_class:
        raise CalloutError(f"class {size.fit_class} on a chamfer", "0.5 x 45° ±0.1")
    _finished(scanner, "a tolerance on the chamfer's height; its angle is a dimension of its own")
    return _sized(text, Kind.CHAMFER, "", size, unit, general, angle / 3600)


def _angle(text: str, scanner: Scanner, general: str) -> Callout:
    size = _size(scanner, scanner.arc)
    lower, upper, source = size.lower, size.upper, AS_WRITTEN
    if size.fit_class:
        raise CalloutError(f"class {size.fit_class} on an angle", "45° ±0.5°")
    if size.open:
        assert size.nominal is not None
        if not general:
            raise CalloutError(
                "no tolerance is written",
                'a tolerance, such as "45° ±0.5°" or "45° ±30\'", or a general class for the '
                'build: general = "ISO 2768-m"',
            )
        if not scanner.word(("side",)):
            raise CalloutError(
                "the general tolerance of an angle goes by the length of its shorter side",
                'that length in mm: "45° side 20", or a tolerance: "45° ±0.5°"',
            )
        side = _needed(scanner, lambda: scanner.length(Unit.MM))
        from qlog.drawing.standards.iso2768 import angle_seconds

        spread = angle_seconds(side, general)
        lower, upper = size.nominal - spread, size.nominal + spread
        source = f"ISO 2768-1 {general}"
    _finished(scanner, '"45° ±0.5°", "45° ±30\'" or "44.5°..45.5°"')
    if (lower is not None and lower < 0) or any(v is not None and v > 360 * 3600
                                                for v in (lower, upper)):  # fmt: skip
        raise CalloutError("an angle below 0° or above 360°", "an angle from 0° to 360°")
    return Callout(
        text,
        Kind.ANGLE,
        Unit.DEGREE,
        _degrees(size.nominal),
        Limits(_degrees(lower), _degrees(upper), Unit.DEGREE),
        source,
        general=size.open,
    )


def _degrees(seconds: Decimal | None) -> Decimal | None:
    return None if seconds is None else seconds / 3600


def _roughness(text: str, scanner: Scanner, characteristic: str, unit: Unit) -> Callout:
    def value() -> Decimal | None:
        number = scanner.number()
        if number is not None and (micro := scanner.word(("um", "uin"))):
            written.add(Unit.MICROMETRE if micro == "um" else Unit.MICROINCH)
        return number

    written: set[Unit] = set()
    hint = f'"{characteristic} 0.8", "{characteristic} 0.8 max" or "{characteristic} 0.4..0.8"'
    size = _size(scanner, value)
    _finished(scanner, hint)
    if size.fit_class or len(written) > 1:
        raise CalloutError("this roughness cannot be read", hint)
    base = Unit.MICROINCH if unit is Unit.INCH else Unit.MICROMETRE
    found = written.pop() if written else base
    # ISO 21920-1: a single value is an upper limit unless a lower one is marked.
    upper = size.nominal if size.open else size.upper
    if (size.lower is not None and size.lower < 0) or (upper is not None and upper <= 0):
        raise CalloutError("a roughness below zero", hint)
    return Callout(
        text,
        Kind.ROUGHNESS,
        found,
        None if size.open else size.nominal,
        Limits(size.lower, upper, found),
        AS_WRITTEN,
        characteristic=characteristic,
    )


def _geometry(text: str, scanner: Scanner, name: str, unit: Unit) -> Callout:
    hint = f'"{name} 0.02", with datums "{name} 0.02 to A"'
    unit = written_unit(re.sub(_DATUMS, "", scanner.rest), unit)
    scanner.word(_MAX)
    round_zone = bool(scanner.word(_DIAMETER))
    amount = scanner.length(unit)
    if amount is None:
        raise CalloutError(f"{name} without a number", hint)
    if amount == 0:
        raise CalloutError(f"{name} of zero cannot be met", hint)
    scanner.word(_MAX)
    datums = ""
    if match := scanner.take(_DATUMS):
        datums = match.group(1)
    _finished(scanner, hint)
    return Callout(
        text,
        Kind.GEOMETRY,
        unit,
        None,
        # From zero: a geometric deviation cannot be negative (ISO 1101).
        Limits(Decimal(0), amount, unit),
        AS_WRITTEN,
        characteristic=name,
        datums=datums,
        round_zone=round_zone,
    )


def _count(text: str, scanner: Scanner) -> Callout:
    size = _size(scanner, scanner.number)
    _finished(scanner, '"count 4", "count 3..5" or "count 2 min"')
    given = [v for v in (size.nominal, size.lower, size.upper) if v is not None]
    if size.fit_class or any(v < 0 or v != int(v) for v in given):
        raise CalloutError("a count is a whole number", '"count 4", "count 3..5" or "count 2 min"')
    lower, upper = (size.nominal, size.nominal) if size.open else (size.lower, size.upper)
    limits = Limits(lower, upper, Unit.EACH)
    return Callout(text, Kind.COUNT, Unit.EACH, size.nominal, limits, AS_WRITTEN)


def _thread(text: str, line: str) -> Callout:
    from qlog.drawing.standards.threads import read

    thread = read(line)
    unit = Unit.NONE if thread.limits is None else Unit.MM
    limits = Limits(None, None, Unit.NONE) if thread.limits is None else thread.limits
    return Callout(
        text, Kind.THREAD, unit, thread.nominal, limits, thread.source, characteristic=thread.name
    )


def _unknown(text: str) -> CalloutError:
    import difflib

    head = text.strip().split()[0].lower().rstrip(":")
    near = difflib.get_close_matches(
        head, [*_GEOMETRY_NAMES, "depth", "count", "go/no-go", "by", "dia"], 1, 0.7
    )
    hint = f'did you mean "{near[0]}"? Otherwise {_SIZE_HINT}' if near else _SIZE_HINT
    return CalloutError(f'"{text.strip()}" is no callout that can be read', hint)


def parse_fit(text: str, nominal: Decimal | None = None) -> Fit:
    """Read a fit: `Ø8 H7/p6`, or `H7/p6` with its nominal size in mm given.

    Raises CalloutError.
    """
    try:
        line = plain(text)
    except Unreadable as error:
        raise CalloutError(error.what, error.accepted) from None
    match = re.match(_FIT, line)
    if match is None:
        raise CalloutError(f'"{text.strip()}" is no fit', 'hole and shaft, such as "Ø8 H7/p6"')
    size, hole, shaft = match.groups()
    if hole[0].islower() and shaft[0].isupper():
        raise CalloutError(f"{hole}/{shaft} names the shaft first", f"{shaft}/{hole}")
    if not (hole[0].isupper() and shaft[0].islower()):
        raise CalloutError(f"{hole}/{shaft} is not a hole and a shaft", "a fit such as H7/p6")
    if not size:
        if nominal is None:
            raise CalloutError(f"the fit {hole}/{shaft} has no size", f"Ø8 {hole}/{shaft}")
        size = f"Ø{nominal:f}"
    bore = parse(f"{size} {hole}")
    pin = parse(f"{size} {shaft}")
    return Fit(text, bore, pin, clearance(bore.limits, pin.limits))


def parse_limits(text: str, *, unit: Unit = Unit.MM) -> Limits:
    """Read bare limits, which may be negative: `-0.03..-0.005`, `0.02 max`, `1..2 um`.

    Raises CalloutError.
    """
    try:
        scanner = Scanner(plain(text))
        if re.search(r"(?<![a-z])um(?![a-z])", scanner.text, re.I):
            unit = Unit.MICROMETRE

            def value() -> Decimal | None:
                number = scanner.number()
                scanner.word(("um",))
                return number
        else:
            unit = written_unit(scanner.text, unit)

            def value() -> Decimal | None:
                return scanner.length(unit)

        size = _size(scanner, value)
        hint = 'limits such as "0.01..0.05", "-0.03..-0.005" or "0.02 max"'
        _finished(scanner, hint)
        if size.open or size.fit_class:
            raise CalloutError(f'"{text.strip()}" has no two limits', hint)
        return Limits(size.lower, size.upper, unit)
    except Unreadable as error:
        raise CalloutError(error.what, error.accepted) from None
