"""Reading callouts and bare limits as they stand on a drawing (see `grammar` for the forms)."""

from __future__ import annotations

import re
from decimal import Decimal

from qlog.drawing.callouts import hints, lengths, quantities, surface, threads
from qlog.drawing.callouts.callout import AS_WRITTEN, Callout, CalloutError, Fit, Kind
from qlog.drawing.callouts.scan import Scanner, Unreadable, plain, written_unit
from qlog.drawing.callouts.size import SizeReader, finished, length_reader
from qlog.drawing.limits import Limits, clearance
from qlog.drawing.units import Unit
from qlog.frozen import replace
from qlog.problem import ToSay

_GO = r"(?i)go ?(?:/|-| |and|or) ?no ?-? ?go\b ?:? ?"
_EYE = r"(?i)(?:by|to the) eye\b ?:? ?"
_KNURL = (
    r"(?i)(?:knurl(?:ed|ing)?\b|(?:diamond|straight|spiral) knurl\b|"
    r"(?:DIN 82[ -]+)?R(?:AA|BL|BR|GE|GV|KE|KV)\b)"
)
_RAW = r"(?i)reading\b:? ?"
_BREAK = r"(?i)(?:break|deburr|chamfer|cham)\.?(?: (?:all )?(?:sharp )?(?:edges?|corners?))?\b:? ?"
_FIT = r"(.*?) ?\b([A-Za-z]{1,2}[0-9]{1,2}) ?/ ?([A-Za-z]{1,2}[0-9]{1,2})$"
_MOST_CHARACTERS = 300


def parse(text: str, *, unit: Unit = Unit.MM, general: str = "") -> Callout:
    """Read a callout as it stands on a drawing.

    `unit` (mm or inch) holds where the callout names none; `general` is the general tolerance of
    a dimension that carries none, as `qlog.drawing.general_tolerance` reads it: "m", or
    ".XX ±.01, .XXX ±.005"; "" when there is none. Every accepted form is listed in
    `qlog.drawing.callouts.grammar.FORMS`. Raises CalloutError.
    """
    if unit not in (Unit.MM, Unit.INCH):
        raise ValueError(ToSay("error.drawing_mm_inch", unit=unit))
    if len(text) > _MOST_CHARACTERS:
        what = ToSay("error.callout_characters", n=len(text))
        raise CalloutError(what, ToSay("error.at_most", most=_MOST_CHARACTERS))
    try:
        return _read(text, unit, general)
    except Unreadable as error:
        raise CalloutError(error.what, error.accepted) from None


def _read(text: str, unit: Unit, general: str) -> Callout:
    words = " ".join(text.split())
    if not words:
        raise CalloutError(ToSay("error.callout_empty"), hints.size(unit))
    if match := re.match(_RAW, words):
        return _raw(text, words[match.end() :], unit)
    line = plain(text)
    if _is_plain(line):
        return lengths.length(text, line, unit, general)
    if (found := _passed(text, words)) is not None:
        return found
    if (counted := _counted(text, line)) is not None:
        return counted
    line, quantity = without_notes(line)
    line = re.sub(_BREAK, "", line)
    callout = _one(text, line, unit, general) if line else None
    if callout is None:
        raise CalloutError(ToSay("error.number_missing"), hints.size(unit))
    return replace(callout, quantity=quantity) if quantity > 1 else callout


def _raw(text: str, about: str, unit: Unit) -> Callout:
    """A reading without limits, with the size about which it will lie if that is written."""
    nothing = Limits(None, None, unit)
    if not about:
        return Callout(text, Kind.LENGTH, unit, None, nothing, AS_WRITTEN, raw=True)
    wrong = CalloutError(ToSay("error.what_reading_about"), ToSay("error.reading_reading_reading"))
    try:
        found = parse(f"{about} ±{'1°' if '°' in about or 'deg' in about else '0.1'}", unit=unit)
    except CalloutError as error:
        raise wrong from error
    if found.kind not in (Kind.LENGTH, Kind.DIAMETER, Kind.ANGLE) or found.characteristic:
        raise wrong
    nothing = Limits(None, None, found.unit)
    return replace(found, text=text, limits=nothing, raw=True)


def _is_plain(line: str) -> bool:
    """Whether it is a size with its tolerance and nothing else, as most callouts are."""
    if "Ø" in line and line[0] != "Ø":
        return False
    if not ("±" in line or "+" in line or ".." in line or line[0] == "Ø"):
        return False
    letters = [sign for sign in line if sign.isalpha() and sign != "Ø"]
    alone = not letters or (len(letters) == 1 and line[0] in ("Ø", "R") and letters[0] not in "xX")
    return alone and not any(sign in line for sign in "°'\"x□:")


def _one(text: str, line: str, unit: Unit, general: str) -> Callout:
    """One callout without the notes around it, by its kind."""
    if threads.looks_like(line, unit):
        return threads.read(text, line)
    scanner = Scanner(line)
    if name := scanner.word(surface.ROUGHNESS):
        return surface.roughness(text, scanner, name, unit)
    turned = surface.indicator_in_front(line)
    scanner = Scanner(turned)
    if name := scanner.word(surface.GEOMETRY):
        return surface.geometry(text, scanner, surface.GEOMETRY_NAMES[name], unit)
    if (found := quantities.read(text, line, unit)) is not None:
        return found
    if (found := lengths.chamfer_or_angle(text, line, unit, general)) is not None:
        return found
    return lengths.length(text, lengths.turned(line), unit, general)


def _passed(text: str, words: str) -> Callout | None:
    """What is passed or not: a go/no-go gauge, a look, a knurl."""
    if match := re.match(_GO, words):
        return _attribute(text, Kind.GO_NO_GO, words[match.end() :])
    if match := re.match(_EYE, words):
        said = words[match.end() :]
        if not said:
            raise CalloutError(ToSay("error.eye_but_what"), ToSay("error.what_look_eye"))
        return _attribute(text, Kind.BY_EYE, said)
    if re.match(_KNURL, words):
        return _attribute(text, Kind.BY_EYE, words)
    return None


def _attribute(text: str, kind: Kind, said: str) -> Callout:
    nothing = Limits(None, None, Unit.NONE)
    return Callout(text, kind, Unit.NONE, None, nothing, AS_WRITTEN, characteristic=said)


def _counted(text: str, line: str) -> Callout | None:
    """`count 4`, or `4x` alone."""
    if line[-1:] in ("x", "X") and line[:-1].strip().isdigit():
        return quantities.count(text, Scanner(line[:-1].strip()))
    scanner = Scanner(line)
    if scanner.word(("count:", "count")):
        return quantities.count(text, scanner)
    return None


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
        raise CalloutError(
            ToSay("error.reading_fit", text=text.strip()), ToSay("error.hole_shaft_such")
        )
    size, hole, shaft = match.groups()
    if hole[0].islower() and shaft[0].isupper():
        raise CalloutError(
            ToSay("error.names_shaft_first", hole=hole, shaft=shaft), f"{shaft}/{hole}"
        )
    if not (hole[0].isupper() and shaft[0].islower()):
        raise CalloutError(
            ToSay("error.hole_shaft", hole=hole, shaft=shaft), ToSay("error.fit_such")
        )
    if not size:
        if nominal is None:
            raise CalloutError(
                ToSay("error.fit_size", hole=hole, shaft=shaft), f"Ø8 {hole}/{shaft}"
            )
        size = f"Ø{nominal:f}"
    try:
        bore = lengths.length(f"{size} {hole}", f"{size} {hole}", Unit.MM, "", in_fit=True)
        pin = lengths.length(f"{size} {shaft}", f"{size} {shaft}", Unit.MM, "", in_fit=True)
    except Unreadable as error:
        raise CalloutError(error.what, error.accepted) from None
    return Fit(text, bore, pin, clearance(bore.limits, pin.limits))


def parse_limits(text: str, *, unit: Unit = Unit.MM) -> Limits:
    """Read bare limits, which may be negative: `-0.03..-0.005`, `0.02 max`, `1..2 um`.

    Raises CalloutError.
    """
    try:
        scanner = Scanner(plain(text))
        micro = "u" in scanner.text.lower() and re.search(
            r"(?<![a-z])u(m|in)(?![a-z])", scanner.text, re.I
        )
        if micro:
            unit = Unit.MICROMETRE if micro[1].lower() == "m" else Unit.MICROINCH

            def value() -> Decimal | None:
                number = scanner.number()
                scanner.word(("um", "uin"))
                return number

            reader = SizeReader(scanner, value, value, unit)
        else:
            unit = written_unit(scanner.text, unit)
            reader = length_reader(scanner, unit)
        size = reader.size()
        hint = ToSay("error.limits_inch") if unit is Unit.INCH else ToSay("error.limits_mm")
        finished(scanner, hint)
        if size.open or size.fit_class:
            raise CalloutError(ToSay("error.two_limits", text=text.strip()), hint)
        return Limits(size.lower, size.upper, unit)
    except Unreadable as error:
        raise CalloutError(error.what, error.accepted) from None


_MOST = 999
#: In front: "4x Ø5", "2X .250", "12x 30°". Before a bare number only "4x 5", never "4 x 5".
_IN_FRONT = (
    r"([0-9]{1,3}) ?[xX] ?(?=(?:S?Ø|S ?Ø|S?R ?[0-9.,]|[Dd][Ii][Aa]|[MC] ?[0-9.]|□|[A-Za-z]{2}))"
)
_BARE = r"([0-9]{1,3})[xX] (?=[0-9.,#])|([0-9]{1,3})[xX](?=\.[0-9])"
_NO_SIGN = r"([0-9]{1,2}) (?=(?:S?Ø)|(?:M|S?R)[0-9])"
_BEHIND = (
    r"(?i)(?:^|[ ,])\(?([0-9]{1,3}) ?(?:x|plcs?\.?|places?|off|holes?|eq(?:ual)? ?sp(?:aced)?)\)?$"
)
_WORDS = r"(?i)[ ,(]*\b(?:typ(?:ical)?\.?|thru(?: all)?|through(?: all)?)\)?(?=$|[ ,])"
_REFERENCE = r"(?i)(?:^|\b)(?:ref(?:erence)?|bsc|basic)\b\.?"
_CLASS_LIKE = r"[MR][0-9]{1,2}$"


def without_notes(line: str) -> tuple[str, int]:
    """The callout alone, and of how many like features it is written (1 when it does not say).

    Raises CalloutError for reference and theoretical sizes, and where a number in front may be a
    quantity or a size.
    """
    if re.search(_REFERENCE, line):
        what = ToSay("error.reference_theoretical_size_limits")
        raise CalloutError(what, ToSay("error.leave_out_write_tolerance"))
    bare = re.sub(_WORDS, "", line).strip(" ,")
    if bare != line and not bare:
        raise CalloutError(ToSay("error.alone_asks_nothing", line=line), ToSay("error.size_stands"))
    line, quantity = bare, 1
    if match := re.match(_IN_FRONT, line) or re.match(_BARE, line):
        quantity, line = int(match[1] or match[match.lastindex or 1]), line[match.end() :]
    elif match := re.match(_NO_SIGN, line):
        rest = line[match.end() :]
        if re.match(_CLASS_LIKE, rest):
            what = ToSay("error.may_be_class_mm", line=line, match=match[1], rest=rest)
            raise CalloutError(what, ToSay("error.them_class", match=match[1], rest=rest))
        quantity, line = int(match[1]), rest
    elif (match := re.search(_BEHIND, line)) and match.start():
        quantity, line = int(match[1]), line[: match.start()].strip(" ,")
    if not 1 <= quantity <= _MOST:
        what = ToSay("error.quantity_of_them", quantity=quantity)
        raise CalloutError(what, ToSay("error.number_from", most=_MOST))
    return line, quantity
