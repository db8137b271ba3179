"""General tolerances: what holds for a dimension that carries none.

A class of ISO 2768-1 ("m"), a title block that goes by the decimals written
(".XX ±.01, .XXX ±.005, angles ±1°"), or one of ISO 22081 that is the same for every size
("ISO 22081 ±0.1, angles ±0.5°"). It travels as one text, the way `canonical` writes it.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from decimal import Decimal, InvalidOperation
from functools import cache

from qlog.drawing.callouts import hints
from qlog.drawing.callouts.callout import FRACTIONS, TITLE_BLOCK, CalloutError, NoTolerance
from qlog.drawing.units import Unit
from qlog.frozen import frozen
from qlog.problem import ToSay

_ISO_2768 = r"(?i)(?:ISO ?2768 ?(?:-1 ?)?[- ]? ?)?([fmcv])([HKL])?\Z"
_ISO_22081 = r"(?i)ISO ?22081\b[ ,:]*"
_PLACES = r"(?i)[.,]?(X{1,6})\Z"
_MARK = r"(?:±|\+ ?/ ?-|\+-)"
_ITEM = r"(?i)^(.*?) ?" + _MARK + r" ?(.+?)$"
_ANGLES = ("angle", "angles", "ang", "angular", "∠")
_FRACTIONS = ("fraction", "fractions", "frac")
_SIZES = ("linear", "size", "sizes", "")
_ACCEPTED = (
    '"ISO 2768-f", "ISO 2768-m", "ISO 2768-c", "ISO 2768-v", ".XX ±.01, .XXX ±.005, angles ±1°", '
    '"ISO 22081 ±0.1", or "" for none'
)


@frozen
class General:
    """A general tolerance; lengths in the unit of the drawing, angles in arc seconds."""

    iso_2768: str = ""  # "f", "m", "c" or "v"
    by_places: tuple[tuple[int, Decimal], ...] = ()  # decimals written, plus and minus
    every_size: Decimal | None = None  # ISO 22081: one deviation for all sizes
    angle: Decimal | None = None
    fraction: Decimal | None = None
    form: str = ""  # H, K or L of ISO 2768-2, which is not checked


def name(text: str) -> str:
    """A general tolerance as screen and record show it; "" for none."""
    return f"ISO 2768-{text}" if text in ("f", "m", "c", "v") else text


def canonical(written: str) -> tuple[str, str]:
    """The text that a plan keeps, and H, K or L of ISO 2768-2 where it was written.

    Raises CalloutError for what is no general tolerance.
    """
    general = parsed(written)
    if general.iso_2768:
        return general.iso_2768, general.form
    return " ".join(written.split()), ""


@cache
def parsed(text: str) -> General:
    """A general tolerance read from its text. Raises CalloutError."""
    if not text.strip():
        return General()
    if match := re.match(_ISO_2768, text.strip()):
        return General(match[1].lower(), form=(match[2] or "").upper())
    standard = re.match(_ISO_22081, text.strip())
    rest = text.strip()[standard.end() :] if standard else text.strip()
    places: dict[int, Decimal] = {}
    every: Decimal | None = None
    angle: Decimal | None = None
    fraction: Decimal | None = None
    for item in re.split(r"[,;] +|;", rest):
        match = re.match(_ITEM, item.strip())
        if match is None:
            raise _unreadable(text)
        what = match[1].strip().rstrip(":=").strip().lower()
        if what in _ANGLES:
            angle = _arc(match[2], text)
        elif what in _FRACTIONS:
            fraction = _amount(match[2], text)
        elif decimals := re.match(_PLACES, what):
            places[len(decimals[1])] = _amount(match[2], text)
        elif what in _SIZES and standard and every is None:
            every = _amount(match[2], text)
        else:
            raise _unreadable(text)
    if standard and every is None:
        raise _unreadable(text)
    return General("", tuple(sorted(places.items())), every, angle, fraction)


def of_length(
    text: str, nominal: Decimal, unit: Unit, *, edge: bool, fraction: bool
) -> tuple[Decimal, str]:
    """Plus and minus deviation of a size in its unit, and where it comes from.

    `edge` marks external radii and chamfer heights, `fraction` an inch fraction. Raises
    CalloutError where the general tolerance does not hold or there is none.
    """
    general = parsed(text)
    if general == General():
        raise NoTolerance(
            ToSay("error.tolerance_written"),
            ToSay(
                "error.tolerance_such_general",
                nominal=str(nominal),  # to be typed as it stands, with a point
                tolerance=hints.tolerance(unit),
                general=hints.general(unit),
            ),
        )
    if general.iso_2768:
        return _iso_2768(general.iso_2768, nominal, unit, edge)
    if general.every_size is not None:
        return general.every_size, "ISO 22081"
    if fraction and general.fraction is not None:
        return general.fraction, f"{TITLE_BLOCK}, {FRACTIONS}"
    decimals = places_of(nominal)
    found = dict(general.by_places).get(decimals)
    if found is None or fraction:
        known = ", ".join("." + "X" * n for n, _ in general.by_places) or "-"
        shown = ToSay("error.written_to", nominal=nominal, n=decimals)
        if fraction:
            shown = ToSay("error.an_inch_fraction")
        raise CalloutError(
            ToSay("error.title_block_tolerance", shown=shown),
            ToSay(
                "error.knows_tolerance_own",
                known=known,
                nominal=str(nominal),
                tolerance=hints.tolerance(unit),
            ),
        )
    return found, f"{TITLE_BLOCK}, .{'X' * decimals}"


def of_angle(text: str, side: Callable[[], Decimal] | None, unit: Unit) -> tuple[Decimal, str]:
    """Plus and minus deviation of an angle in arc seconds, and where it comes from.

    `side` reads the length in mm of its shorter side, by which ISO 2768-1 goes; `unit` is that of
    the drawing.
    """
    general = parsed(text)
    if general.angle is not None:
        return general.angle, "ISO 22081" if general.every_size is not None else TITLE_BLOCK
    if not general.iso_2768:
        raise NoTolerance(
            ToSay("error.tolerance_written"),
            ToSay("error.tolerance_such_general_one", general=hints.general(unit)),
        )
    if side is None:
        raise CalloutError(ToSay("error.general_tolerance_angle"), ToSay("error.length_mm_side"))
    from qlog.drawing.standards.iso2768 import angle_seconds

    return angle_seconds(side(), general.iso_2768), f"ISO 2768-1 {general.iso_2768}"


def places_of(value: Decimal) -> int:
    """Decimals that a number was written with."""
    exponent = value.as_tuple().exponent
    return max(0, -exponent) if isinstance(exponent, int) else 0


def _iso_2768(letter: str, nominal: Decimal, unit: Unit, edge: bool) -> tuple[Decimal, str]:
    if unit is Unit.INCH:
        raise CalloutError(
            ToSay("error.iso_inch_sizes"),
            ToSay("error.tolerance_such", nominal=str(nominal), general=hints.general(unit)),
        )
    from qlog.drawing.standards.iso2768 import deviation

    return deviation(nominal, letter, edge=edge), f"ISO 2768-1 {letter}"


def _amount(written: str, text: str) -> Decimal:
    match = re.fullmatch(r"([0-9]{1,3})/(2|4|8|16|32|64|128)(?: ?in)?", written.strip())
    if match:
        return Decimal(match[1]) / Decimal(match[2])
    try:
        amount = Decimal(re.sub(r" ?(?:mm|in|\")$", "", written.strip()).replace(",", "."))
    except InvalidOperation:
        raise _unreadable(text) from None
    if not amount.is_finite() or not 0 < amount < 100 or places_of(amount) > 9:
        raise _unreadable(text)
    return amount


def _arc(written: str, text: str) -> Decimal:
    from qlog.drawing.callouts.scan import Scanner, Unreadable, plain

    try:
        scanner = Scanner(plain(written))
        found = scanner.arc()
    except Unreadable:
        raise _unreadable(text) from None
    if found is None or scanner.rest or not 0 < found < 90 * 3600:
        raise _unreadable(text)
    return found


def _unreadable(text: str) -> CalloutError:
    return CalloutError(ToSay("error.general_general_tolerance", text=text), _ACCEPTED)
