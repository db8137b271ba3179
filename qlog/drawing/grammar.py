"""The callouts that are read, form by form, and how each is written back."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal

from qlog.drawing.callout import Callout, CalloutError, Fit, Kind
from qlog.drawing.limits import Limits, arc_seconds, format_exact
from qlog.drawing.scan import Scanner, Unreadable, plain, written_unit
from qlog.drawing.units import Unit

AS_WRITTEN = "as written"


@dataclass(frozen=True, slots=True)
class Form:
    """One accepted form of a callout: an example that is read, and what it means."""

    example: str
    meaning: str


def forms() -> tuple[Form, ...]:
    """Every accepted form, in the order of the reference section."""
    return _FORMS


_FORMS = (
    Form("12 ±0.05", "size with equal deviations; also `12 +-0.05` and `12 +/-0.05`"),
    Form("12 +0.02/-0.01", "upper and lower deviation; a zero may stand without sign"),
    Form("12 +0.05/+0.02", "both deviations on one side of nominal"),
    Form("11.95..12.05", "the two limits themselves; also `11.95 to 12.05`"),
    Form("12 max", "upper limit only; also `max 12` and `≤ 12`"),
    Form("12 min", "lower limit only; also `min 12` and `≥ 12`"),
    Form("12", "no tolerance: takes the general tolerance ISO 2768-1 of the build or the part"),
    Form("12 ±0,05", "decimal comma, in every form"),
    Form("Ø8 ±0.02", "diameter; also `⌀8`, `dia 8`; SØ8 for a sphere"),
    Form("Ø8 H7", "ISO 286-1 class of a hole (capital) or a shaft (small): D to S, d to s, JS, js"),
    Form("Ø8 H7 (+0.015/0)", "class with its deviations, which are held against the table"),
    Form("8 h9", "class on a width or a length"),
    Form("R5 ±0.1", "radius; SR5 for a sphere; without tolerance the edge table of ISO 2768-1"),
    Form("0.5 x 45° ±0.1", "chamfer, the tolerance on its height; also `0.5 ±0.1 x 45 deg`"),
    Form("depth 5 ±0.1", "depth; also `↧5 ±0.1` and `5 ±0.1 deep`"),
    Form("45° ±0.5°", "angle in degrees; also `45 deg +-0.5`"),
    Form("45°30' +10'/0", "angle in degrees, minutes and seconds"),
    Form("60° side 20", "angle without tolerance: ISO 2768-1 by the length of its shorter side"),
    Form("0.375 in ±.002", "inches; a zero before the point may be missing"),
    Form('3/8" +.002/-.000', "inch fraction with a denominator from 2 to 128"),
    Form("1 1/2 in ±1/64", "mixed number, fraction as deviation"),
    Form("Ra 0.8", "roughness in µm, upper limit; also Rz, Rq, Rt; `Ra 0.8 max`, `Ra 32 µin`"),
    Form("Ra 0.4..0.8", "roughness between two limits; `Ra 0.4 min` for a lower one"),
    Form("M6-6H", "metric thread, read with a go/no-go gauge; also `M6`, `M6x1-6g`"),
    Form("M6-6g major", "metric thread measured: 6g `major`, `pitch`; 6H `minor`, `pitch`"),
    Form("1/4-20 UNC-2B", "unified inch thread, go/no-go; also `#10-32 UNF-2A`"),
    Form("runout 0.02 to A", "geometric tolerance from zero, datums if any; also `↗ 0.02`"),
    Form("position Ø0.1 to A B", "geometric tolerance with a round zone"),
    Form("go/no-go: plug 8 H7", "a gauge or a mating part that goes or does not"),
    Form("by eye: no scratches at arm's length", "looked at, passed or not"),
    Form("count 4", "a number of like things; also `4x`, `count 3..5`"),
)

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

_RANGE = re.compile(r"\.\.|to\b", re.I)
_MAX = re.compile(r"max(?:imum)?\b\.?|<=", re.I)
_MIN = re.compile(r"min(?:imum)?\b\.?|>=", re.I)
_PLUS_MINUS = re.compile(r"±")
_SIGN = re.compile(r"[+-]")
_MINUS = re.compile(r"-")
_SLASH = re.compile(r"/")
_BARE_ZERO = re.compile(r"0(?:[.,]0+)?(?= ?(?:mm|in|inch|°|'|\")? ?/? ?[+-])")
_CLASS = re.compile(r"([A-Za-z]{1,2})([0-9]{1,2})(?![0-9A-Za-z])")
_BRACKET = re.compile(r"\(([^()]*)\)")
_DIAMETER = re.compile(r"(S?)(?:Ø|(?<!S)dia(?:meter|m)?\b\.?)", re.I)
_DIAMETER_SIGN = re.compile(r"Ø|dia(?:meter|m)?\b\.?", re.I)
_RADIUS = re.compile(r"(S?)R(?=[ .,0-9]|max|min|<=|>=)", re.I)
_DEPTH = re.compile(r"depth\b:?|deep\b|↧", re.I)
_DEEP = re.compile(r"deep\b|depth\b", re.I)
_TIMES = re.compile(r"x", re.I)
_SIDE = re.compile(r"side\b", re.I)
_ROUGHNESS = re.compile(r"R([azqt])(?![a-z])", re.I)
_GEOMETRY_HEAD = re.compile(
    "|".join(re.escape(s) for s in sorted(_GEOMETRY_NAMES, key=len, reverse=True)), re.I
)
_DATUMS = re.compile(r"to (?:datums? )?([A-Z](?:[ |,-]{1,3}[A-Z])*)$")
_COUNT = re.compile(r"count\b:?", re.I)
_TIMES_ALONE = re.compile(r"([0-9]{1,6}) ?x$", re.I)
_GO = re.compile(r"go ?(?:/|-| |and|or) ?no ?-? ?go\b ?:? ?", re.I)
_EYE = re.compile(r"(?:by|to the) eye\b ?:? ?|visual(?:ly)?\b ?:? ?", re.I)
_ANGLE_HEAD = re.compile(
    r"(?:(?:max|min)\w*\.? |[<>]= ?)?[0-9.,]+ ?(?:°|deg|'(?! ?[0-9./ -]*\"?$)|')", re.I
)
_CHAMFER_HEAD = re.compile(r"[^x]*[0-9\"mn] ?x ?[0-9.,]+ ?(?:°|deg)", re.I)
_FIT = re.compile(r"(.*?) ?\b([A-Za-z]{1,2}[0-9]{1,2}) ?/ ?([A-Za-z]{1,2}[0-9]{1,2})$")
_MICRO = re.compile(r"u(m|in)\b", re.I)

_SIZE_HINT = 'a size with its tolerance, such as "12 ±0.05", "Ø8 H7", "11.95..12.05" or "12 max"'


@dataclass(frozen=True, slots=True)
class _Size:
    """A size as written; lengths in the callout's unit, angles in arc seconds."""

    nominal: Decimal | None
    lower: Decimal | None
    upper: Decimal | None
    fit_class: str = ""
    open: bool = False  # neither tolerance nor limit is written


def read_callout(text: str, unit: Unit, general: str) -> Callout:
    """See `qlog.drawing.callout.parse`."""
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
    if match := _GO.match(words):
        return _passed(text, Kind.GO_NO_GO, words[match.end() :])
    if match := _EYE.match(words):
        said = words[match.end() :]
        if not said:
            raise CalloutError(
                "by eye, but for what", 'what to look for: "by eye: no scratches at arm\'s length"'
            )
        return _passed(text, Kind.BY_EYE, said)
    line = plain(text)
    from qlog.drawing.threads import looks_like

    if looks_like(line):
        return _thread(text, line)
    scanner = Scanner(line)
    if match := scanner.take(_ROUGHNESS):
        return _roughness(text, scanner, "R" + match.group(1).lower(), unit)
    if match := scanner.take(_GEOMETRY_HEAD):
        return _geometry(text, scanner, _GEOMETRY_NAMES[match.group().lower()], unit)
    if match := _TIMES_ALONE.match(line):
        return _count(text, Scanner(match.group(1)))
    if scanner.take(_COUNT):
        return _count(text, scanner)
    if _CHAMFER_HEAD.match(line):
        return _chamfer(text, scanner, unit, general)
    if _ANGLE_HEAD.match(line):
        return _angle(text, scanner, general)
    return _length(text, scanner, unit, general)


def _passed(text: str, kind: Kind, said: str) -> Callout:
    nothing = Limits(None, None, Unit.NONE)
    return Callout(text, kind, Unit.NONE, None, nothing, AS_WRITTEN, characteristic=said)


def _size(scanner: Scanner, value: Callable[[], Decimal | None]) -> _Size:
    """A size with whatever tolerance follows it. `value` reads one magnitude."""
    if scanner.take(_MAX):
        return _Size(None, None, _needed(scanner, value))
    if scanner.take(_MIN):
        return _Size(None, _needed(scanner, value), None)
    first = _signed(scanner, value)
    if scanner.take(_RANGE):
        scanner.take(_DIAMETER_SIGN)
        second = _signed(scanner, value)
        if first > second:
            raise CalloutError("the limits are reversed", "the smaller limit first")
        return _Size(None, first, second)
    if scanner.take(_MAX):
        return _Size(None, None, first)
    if scanner.take(_MIN):
        return _Size(None, first, None)
    if scanner.take(_PLUS_MINUS):
        spread = _needed(scanner, value)
        return _Size(first, first - spread, first + spread)
    if deviations := _deviations(scanner, value):
        return _Size(first, first + deviations[0], first + deviations[1])
    if match := scanner.take(_CLASS):
        return _Size(first, None, None, match.group())
    return _Size(first, None, None, open=True)


def _needed(scanner: Scanner, value: Callable[[], Decimal | None]) -> Decimal:
    found = value()
    if found is None:
        rest = scanner.rest
        raise CalloutError(f'a number was expected at "{rest}"' if rest else "a number is missing",
                           _SIZE_HINT)  # fmt: skip
    return found


def _signed(scanner: Scanner, value: Callable[[], Decimal | None]) -> Decimal:
    minus = scanner.take(_MINUS)
    found = _needed(scanner, value)
    return -found if minus else found


def _deviations(
    scanner: Scanner, value: Callable[[], Decimal | None]
) -> tuple[Decimal, Decimal] | None:
    """Lower and upper deviation, written upper first; None when none is written here."""
    found: list[Decimal] = []
    for turn in range(2):
        if sign := scanner.take(_SIGN):
            amount = _needed(scanner, value)
            found.append(-amount if sign.group() == "-" else amount)
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
            scanner.take(_SLASH)
            if not scanner.rest:
                raise CalloutError(
                    "only one deviation is written", "both deviations: +0.02/0, or ±0.02"
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
    if match := scanner.take(_DIAMETER):
        kind, characteristic = Kind.DIAMETER, "spherical" if match.group(1) else ""
    elif match := scanner.take(_RADIUS):
        kind, characteristic = Kind.RADIUS, "spherical" if match.group(1) else ""
    elif scanner.take(_DEPTH):
        kind = Kind.DEPTH
    unit = written_unit(scanner.rest, unit)
    if not re.match(r"[-.,0-9<>]|m(?:ax|in)", scanner.rest, re.I):
        if not scanner.rest:
            raise CalloutError("a number is missing", _SIZE_HINT)
        raise _unknown(text)
    if _TIMES_PREFIX.match(scanner.rest):
        raise CalloutError(
            "several features in one callout",
            "the callout without the number in front, one dimension for each feature to be read",
        )
    size = _size(scanner, lambda: scanner.length(unit))
    if kind is Kind.LENGTH and scanner.take(_DEEP):
        kind = Kind.DEPTH
    if size.fit_class:
        return _classed(text, scanner, kind, characteristic, size, unit)
    _finished(scanner)
    return _sized(text, kind, characteristic, size, unit, general)


_TIMES_PREFIX = re.compile(r"[0-9]{1,3} ?x ?(?:S?Ø|S?R|dia|M|[0-9])", re.I)


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
    from qlog.drawing.iso2768 import deviation

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
    from qlog.drawing.iso286 import deviations

    lower, upper = deviations(size.nominal, size.fit_class)
    if match := scanner.take(_BRACKET):
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
                f"({_deviation(upper)}/{_deviation(lower)}), or no brackets",
            )
    _finished(scanner)
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
    if not scanner.take(_TIMES):
        _finished(scanner, 'a chamfer such as "0.5 x 45° ±0.1"')
    angle = scanner.arc(bare=None)
    if angle is None or not 0 < angle < 90 * 3600:
        raise CalloutError(
            "a chamfer's angle lies between 0° and 90°", 'a chamfer such as "0.5 x 45° ±0.1"'
        )
    if size.open and scanner.rest:
        assert size.nominal is not None
        nominal = size.nominal
        if scanner.take(_PLUS_MINUS):
            spread = _needed(scanner, value)
            size = _Size(nominal, nominal - spread, nominal + spread)
        elif deviations := _deviations(scanner, value):
            size = _Size(nominal, nominal + deviations[0], nominal + deviations[1])
        elif scanner.take(_MAX):
            size = _Size(None, None, nominal)
        elif scanner.take(_MIN):
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
        if not scanner.take(_SIDE):
            raise CalloutError(
                "the general tolerance of an angle goes by the length of its shorter side",
                'that length in mm: "45° side 20", or a tolerance: "45° ±0.5°"',
            )
        side = _needed(scanner, lambda: scanner.length(Unit.MM))
        from qlog.drawing.iso2768 import angle_seconds

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
        if number is not None and (match := scanner.take(_MICRO)):
            written.add(Unit.MICROMETRE if match.group(1) == "m" else Unit.MICROINCH)
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
    unit = written_unit(_DATUMS.sub("", scanner.rest), unit)
    scanner.take(_MAX)
    round_zone = scanner.take(_DIAMETER_SIGN) is not None
    amount = scanner.length(unit)
    if amount is None:
        raise CalloutError(f"{name} without a number", hint)
    if amount == 0:
        raise CalloutError(f"{name} of zero cannot be met", hint)
    scanner.take(_MAX)
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
    from qlog.drawing.threads import read

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


def read_fit(text: str, nominal: Decimal | None) -> Fit:
    """See `qlog.drawing.callout.parse_fit`."""
    try:
        line = plain(text)
    except Unreadable as error:
        raise CalloutError(error.what, error.accepted) from None
    match = _FIT.match(line)
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
    bore = read_callout(f"{size} {hole}", Unit.MM, "")
    pin = read_callout(f"{size} {shaft}", Unit.MM, "")
    return Fit(text, bore, pin, clearance(bore.limits, pin.limits))


def clearance(inside: Limits, outside: Limits) -> Limits:
    """Inside minus outside at worst: smallest inside on largest outside, and the opposite.

    A limit that is absent leaves its side of the clearance open. Both in the same unit;
    raises ValueError when they are not.
    """
    if inside.unit is not outside.unit:
        raise ValueError(f"{inside.unit} and {outside.unit} in one joint")
    lower = None if inside.lower is None or outside.upper is None else inside.lower - outside.upper
    upper = None if inside.upper is None or outside.lower is None else inside.upper - outside.lower
    return Limits(lower, upper, inside.unit)


def read_limits(text: str, unit: Unit) -> Limits:
    """See `qlog.drawing.callout.parse_limits`."""
    try:
        scanner = Scanner(plain(text))
        if re.search(r"(?<![a-z])um(?![a-z])", scanner.text, re.I):
            unit = Unit.MICROMETRE

            def value() -> Decimal | None:
                number = scanner.number()
                scanner.take(_MICRO)
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


# --- writing -------------------------------------------------------------------------------


def write_callout(callout: Callout) -> str:
    """See `qlog.drawing.callout.format_callout`."""
    characteristic, limits = callout.characteristic, callout.limits
    match callout.kind:
        case Kind.GO_NO_GO | Kind.BY_EYE:
            return f"{callout.kind}: {characteristic}" if characteristic else str(callout.kind)
        case Kind.THREAD:
            return characteristic
        case Kind.GEOMETRY:
            assert limits.upper is not None
            zone = "Ø" if callout.round_zone else ""
            datums = f" to {callout.datums}" if callout.datums else ""
            return f"{characteristic} {zone}{_number(limits.upper, callout.unit)}{datums}"
        case Kind.ROUGHNESS:
            if limits.lower is None:
                assert limits.upper is not None
                return f"{characteristic} {_number(limits.upper, callout.unit)}"
            return f"{characteristic} {_written_size(callout)}"
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
        case Kind.DIAMETER:
            return f"{'S' if characteristic else ''}Ø{_written_size(callout)}"
        case Kind.RADIUS:
            return f"{'S' if characteristic else ''}R{_written_size(callout)}"
        case _:
            return _written_size(callout)


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
        return f"{_bare(limits.lower, unit)}..{_number(limits.upper, unit)}"
    size = _number(nominal, unit)
    if callout.fit_class:
        return f"{size} {callout.fit_class}"
    lower = _difference(limits.lower, nominal, unit)
    upper = _difference(limits.upper, nominal, unit)
    if lower == -upper:
        return f"{size} ±{_magnitude(upper, unit)}"
    return f"{size} {_deviation(upper, unit)}/{_deviation(lower, unit)}"


def _bare(value: Decimal, unit: Unit) -> str:
    return format_exact(value, unit)


def _difference(value: Decimal, nominal: Decimal, unit: Unit) -> Decimal:
    """Exact deviation; of angles in arc seconds, where it ends."""
    if unit is Unit.DEGREE:
        return arc_seconds(value) - arc_seconds(nominal)
    return value - nominal


def _magnitude(value: Decimal, unit: Unit) -> str:
    return format_exact(value / 3600, unit) if unit is Unit.DEGREE else f"{value:f}"


def _deviation(value: Decimal, unit: Unit = Unit.MM) -> str:
    if value == 0:
        return "0"
    return ("+" if value > 0 else "-") + _magnitude(abs(value), unit)
