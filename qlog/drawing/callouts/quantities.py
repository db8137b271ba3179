"""What is no length: hardness, case depth, layers, mass, gloss, counts and tapers."""

from __future__ import annotations

import re
from decimal import Decimal

from qlog.drawing.callouts.callout import AS_WRITTEN, Callout, CalloutError, Kind
from qlog.drawing.callouts.scan import Scanner, written_unit
from qlog.drawing.callouts.size import SizeReader, finished, length_reader
from qlog.drawing.limits import Limits
from qlog.drawing.units import Unit
from qlog.frozen import replace
from qlog.problem import ToSay

_SCALES = {
    "hrc": Unit.HRC, "hrb": Unit.HRB, "hra": Unit.HRA, "hv": Unit.HV, "hbw": Unit.HBW,
    "hb": Unit.HBW, "hk": Unit.HK, "rc": Unit.HRC, "bhn": Unit.HBW, "shore a": Unit.SHORE_A,
    "shore d": Unit.SHORE_D,
}  # fmt: skip
#: A scale with its load: HV10, HBW 2.5/187.5; it belongs to the method and not to the limits.
_SCALE = (
    r"(?i)(?<![a-z])(hrc|hrb|hra|hbw|bhn|hb|hv|hk|shore ?[ad]|rc(?= ?[0-9]))"
    r"((?:(?<=hbw) ?[0-9.]+/[0-9.]+|(?<=h[vk])[0-9.]+(?:/[0-9.]+)?)?)(?![a-z])"
)
_MASS = {
    "kg": Unit.KILOGRAM, "g": Unit.GRAM, "oz": Unit.OUNCE, "lbs": Unit.POUND, "lb": Unit.POUND,
}  # fmt: skip
_MASS_HEAD = r"(?i)(?:mass|weight)\b:? ?"
_MASS_UNIT = r"(?i)(?<=[0-9] )(kg|g|oz|lbs?)\b|(?<=[0-9])(kg|g|oz|lbs?)\b"
_CASE = (
    r"(?i)(?:case(?: depth)?|(?:CHD|SHD|NHD|ECD|Eht|Rht|Nht)"
    r"(?: ?[0-9]{2,3}(?: ?HV ?[0-9.]*)?(?= ?=| ))?)\b:? ?=? ?"
)
_LAYER = (
    r"(?i)(?:plating|plate[d]?|coating|coat|layer|anodi[sz](?:e|ing)|nickel|chrome|zinc|copper|"
    r"silver|gold|paint|Fe//\w+)\b:? ?(?:thickness ?)?"
)
_GLOSS = r"(?i)gloss\b:? ?(?:(20|60|85) ?°)?:? ?"
_RATIO = r"1 ?: ?([0-9]+(?:[.,][0-9]+)?)"
_GAUGED_TAPER = (
    r"(?i)^(?:taper )?(?:MT ?-? ?[0-7]|Morse(?: taper)?(?: no\.?)? ?[0-7]|"
    r"J(?:T|acobs) ?[0-9]{1,2}|(?:BT|CAT|SK) ?[0-9]{2})(?: taper)?$"
)


def read(text: str, line: str, unit: Unit) -> Callout | None:
    """Read a callout of one of these kinds; None when it is none of them. Raises CalloutError."""
    for reader in (_taper, _case_depth, _hardness, _layer, _gloss, _mass):
        if (found := reader(text, line, unit)) is not None:
            return found
    return None


def count(text: str, scanner: Scanner) -> Callout:
    """A number of like things."""
    hint = '"count 4", "count 3..5" or "count 2 min"'
    size = SizeReader(scanner, scanner.number, scanner.number, Unit.EACH).size()
    finished(scanner, hint)
    given = [v for v in (size.nominal, size.lower, size.upper) if v is not None]
    if size.fit_class or any(v < 0 or v != int(v) for v in given):
        raise CalloutError(ToSay("error.count_whole_number"), hint)
    lower, upper = (size.nominal, size.nominal) if size.open else (size.lower, size.upper)
    limits = Limits(lower, upper, Unit.EACH)
    return Callout(text, Kind.COUNT, Unit.EACH, size.nominal, limits, AS_WRITTEN)


def _plain(text: str, line: str, kind: Kind, unit: Unit, hint: str, name: str = "") -> Callout:
    """Numbers alone, all in one unit that was taken off them."""
    scanner = Scanner(line.strip())
    size = SizeReader(scanner, scanner.number, scanner.number, unit).size()
    finished(scanner, hint)
    if size.open or size.fit_class:
        raise CalloutError(ToSay("error.without_limits", kind=kind), hint)
    return _checked(
        Callout(
            text, kind, unit, size.nominal, Limits(size.lower, size.upper, unit), AS_WRITTEN,
            characteristic=name,
        ),
        hint,
    )  # fmt: skip


def _checked(callout: Callout, hint: str) -> Callout:
    limits = callout.limits
    if (limits.lower is not None and limits.lower < 0) or (
        limits.upper is not None and limits.upper <= 0
    ):
        raise CalloutError(ToSay("error.below_zero", kind=callout.kind), hint)
    return callout


def _hardness(text: str, line: str, _: Unit) -> Callout | None:
    found = list(re.finditer(_SCALE, line))
    if not found:
        return None
    hint = '"58..62 HRC", "240 HV10 min" or "55 HRC +3/0"'
    scales = {_SCALES[re.sub(r"(?i)^(shore) ?", r"\1 ", m[1]).lower()] for m in found}
    loads = {m[2].strip() for m in found if m[2].strip()}
    if len(scales) > 1 or len(loads) > 1:
        raise CalloutError(ToSay("error.two_scales_hardness"), hint)
    rest = re.sub(r"(?i)hardness:?", "", re.sub(_SCALE, " ", line))
    unit = scales.pop()
    return _plain(text, " ".join(rest.split()), Kind.HARDNESS, unit, hint, "".join(loads))


def _mass(text: str, line: str, _: Unit) -> Callout | None:
    head = re.match(_MASS_HEAD, line)
    rest = line[head.end() :] if head else line
    units = {_MASS[(m[1] or m[2]).lower()] for m in re.finditer(_MASS_UNIT, rest)}
    if not units:
        if head:
            raise CalloutError(ToSay("error.mass_without_unit"), ToSay("error.mass_kg_max"))
        return None
    # A lone g may be the class of a thread or a fit: it is a mass only with its word or a size.
    if len(units) > 1:
        raise CalloutError(ToSay("error.two_units_mass"), ToSay("error.one_unit_throughout"))
    return _plain(text, re.sub(_MASS_UNIT, "", rest), Kind.MASS, units.pop(), '"mass 250 g ±5 g"')


def _gloss(text: str, line: str, _: Unit) -> Callout | None:
    head = re.match(_GLOSS, line)
    if head is None and not re.search(r"(?i)[0-9] ?GU\b", line):
        return None
    angle = f"{head[1]}°" if head and head[1] else ""
    rest = re.sub(r"(?i) ?GU\b", "", line[head.end() :] if head else line)
    if not angle and (match := re.search(r" ?(?:at )?(20|60|85) ?°$", rest)):
        angle, rest = f"{match[1]}°", rest[: match.start()]
    return _plain(text, rest, Kind.GLOSS, Unit.GLOSS, '"gloss 60° 80..90 GU" or "85 GU min"', angle)


def _case_depth(text: str, line: str, unit: Unit) -> Callout | None:
    head = re.match(_CASE, line)
    if head is None:
        return None
    unit = written_unit(line[head.end() :], unit)
    hint = '"case .020-.030"' if unit is Unit.INCH else '"CHD 0.8 +0.4/0" or "case 0.5-0.8"'
    return _length_of(text, line[head.end() :], Kind.CASE_DEPTH, unit, hint)


def _length_of(text: str, line: str, kind: Kind, unit: Unit, hint: str) -> Callout:
    scanner = Scanner(line)
    size = length_reader(scanner, unit).size()
    scanner.unit(unit)
    finished(scanner, hint)
    if size.open or size.fit_class:
        raise CalloutError(ToSay("error.without_limits", kind=kind), hint)
    limits = Limits(size.lower, size.upper, unit)
    return _checked(Callout(text, kind, unit, size.nominal, limits, AS_WRITTEN), hint)


def _layer(text: str, line: str, unit: Unit) -> Callout | None:
    head = re.match(_LAYER, line)
    if head is None:
        return None
    rest, name = line[head.end() :], line[: head.end()].strip(" :")
    if re.search(r"(?<![a-z])u(?:m|in)\b", rest, re.I):
        micro = Unit.MICROINCH if re.search(r"(?i)uin\b", rest) else Unit.MICROMETRE
        hint = '"plating 8..12 µm"'
        return _plain(text, re.sub(r"(?i) ?uin\b| ?um\b", "", rest), Kind.LAYER, micro, hint, name)
    unit = written_unit(rest, unit)
    if unit is Unit.MM and "mm" not in rest:
        raise CalloutError(
            ToSay("error.without_unit", name=name), ToSay("error.layer_with_unit", line=line)
        )
    found = _length_of(text, rest, Kind.LAYER, unit, '"plating .0002..0.0004 in"')
    return replace(found, characteristic=name)


def _taper(text: str, line: str, _: Unit) -> Callout | None:
    nothing = Limits(None, None, Unit.NONE)
    if re.match(_GAUGED_TAPER, line):
        name = re.sub(r"(?i)^taper | taper$", "", line)
        return Callout(text, Kind.TAPER, Unit.NONE, None, nothing, "gauge", characteristic=name)
    ratio = re.search(_RATIO, line)
    if ratio is None:
        return None
    head, rest = line[: ratio.start()].strip().lower(), line[ratio.end() :].strip()
    if head not in ("", "taper", "cone", "⌲", "c =", "c=") or (
        not head and not rest.lower().startswith("taper")
    ):
        return None
    rest = re.sub(r"(?i)^taper\b ?", "", rest)
    divisor = Decimal(ratio[1].replace(",", "."))
    name = f"1:{divisor.normalize():f}"
    if not divisor:
        raise CalloutError(ToSay("error.taper"), ToSay("error.taper_taper"))
    if not rest:
        return Callout(text, Kind.TAPER, Unit.NONE, None, nothing, "gauge", characteristic=name)
    nominal = 1 / divisor
    if len(nominal.as_tuple().digits) > 12:
        raise CalloutError(
            ToSay("error.end_decimal", name=name), ToSay("error.taper_gauge_angle", name=name)
        )
    scanner = Scanner(rest)
    reader = SizeReader(scanner, scanner.number, scanner.number, Unit.NONE)
    found = reader.tolerance()
    finished(scanner, ToSay("error.taper_is", name=name))
    if found is None or nominal + found[0] < 0:
        raise CalloutError(ToSay("error.taper_two_limits"), f'"taper {name} ±0.0005"')
    limits = Limits(nominal + found[0], nominal + found[1], Unit.NONE)
    return Callout(text, Kind.TAPER, Unit.NONE, nominal, limits, AS_WRITTEN, characteristic=name)
