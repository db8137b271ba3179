"""Unified inch threads: the series UNC, UNF and UNEF, and the limits of ASME B1.1 by its formulas.

The formulas and their rounding to four decimals of an inch (the minor diameter of internal
threads from No. 6 on to three) are those of ASME B1.1 section 5.8; tests hold them against
printed rows.
"""

from __future__ import annotations

from decimal import ROUND_HALF_DOWN, ROUND_HALF_UP, Decimal

from qlog.drawing.callouts.callout import CalloutError
from qlog.drawing.limits import Limits
from qlog.drawing.standards.iso965 import check_element
from qlog.drawing.units import Unit
from qlog.problem import ToSay

CLASSES = ("1A", "2A", "3A", "1B", "2B", "3B")

#: Size -> basic major diameter in inches and threads per inch of UNC, UNF, UNEF; "" for none.
_SERIES = {
    "#0": (".060", "", "80", ""), "#1": (".073", "64", "72", ""), "#2": (".086", "56", "64", ""),
    "#3": (".099", "48", "56", ""), "#4": (".112", "40", "48", ""), "#5": (".125", "40", "44", ""),
    "#6": (".138", "32", "40", ""), "#8": (".164", "32", "36", ""), "#10": (".190", "24", "32", ""),
    "#12": (".216", "24", "28", "32"), "1/4": (".25", "20", "28", "32"),
    "5/16": (".3125", "18", "24", "32"), "3/8": (".375", "16", "24", "32"),
    "7/16": (".4375", "14", "20", "28"), "1/2": (".5", "13", "20", "28"),
    "9/16": (".5625", "12", "18", "24"), "5/8": (".625", "11", "18", "24"),
    "11/16": (".6875", "", "", "24"), "3/4": (".75", "10", "16", "20"),
    "13/16": (".8125", "", "", "20"), "7/8": (".875", "9", "14", "20"),
    "15/16": (".9375", "", "", "20"), "1": ("1", "8", "12", "20"),
    "1 1/16": ("1.0625", "", "", "18"), "1 1/8": ("1.125", "7", "12", "18"),
    "1 3/16": ("1.1875", "", "", "18"), "1 1/4": ("1.25", "7", "12", "18"),
    "1 5/16": ("1.3125", "", "", "18"), "1 3/8": ("1.375", "6", "12", "18"),
    "1 7/16": ("1.4375", "", "", "18"), "1 1/2": ("1.5", "6", "12", "18"),
    "1 9/16": ("1.5625", "", "", "18"), "1 5/8": ("1.625", "", "", "18"),
    "1 11/16": ("1.6875", "", "", "18"), "1 3/4": ("1.75", "5", "", ""),
    "2": ("2", "4.5", "", ""), "2 1/4": ("2.25", "4.5", "", ""), "2 1/2": ("2.5", "4", "", ""),
    "2 3/4": ("2.75", "4", "", ""), "3": ("3", "4", "", ""), "3 1/4": ("3.25", "4", "", ""),
    "3 1/2": ("3.5", "4", "", ""), "3 3/4": ("3.75", "4", "", ""), "4": ("4", "4", "", ""),
}  # fmt: skip
_NAMES = ("UNC", "UNF", "UNEF")
_PITCH_DEPTH = Decimal("0.649519053")
_MINOR_DEPTH = Decimal("1.082531755")
_TENTH = Decimal("0.0001")
#: From this size on (No. 6) internal minor diameters are given to three decimals.
_THREE_PLACES = Decimal("0.138")


def number_size(number: str) -> bool:
    """Whether a numbered machine screw size, written without its sign, is one: "10"."""
    return f"#{number}" in _SERIES


def series_of(size: str, threads: str) -> str:
    """UNC, UNF or UNEF of a size and its threads per inch; "" when none has them."""
    row = _SERIES.get(size)
    if row is None:
        return ""
    return next((name for name, t in zip(_NAMES, row[1:], strict=True) if t == threads), "")


def known_threads(size: str) -> tuple[str, ...]:
    """The threads of a size as they are called out: "1/4-20 UNC", "1/4-28 UNF" ..."""
    row = _SERIES.get(size, ("", "", "", ""))
    return tuple(f"{size}-{t} {n}" for n, t in zip(_NAMES, row[1:], strict=True) if t)


def limits(size: str, threads: str, series: str, thread_class: str, element: str) -> Limits:
    """Limits in inches of the "major", "pitch" or "minor" diameter of a class such as 2A or 3B.

    Raises CalloutError for a thread outside the three series and for what has no two limits.
    """
    if series_of(size, threads) != series or not series:
        known = ", ".join(known_threads(size)) or ToSay("error.unified_range")
        what = ToSay("error.limits_are_series", size=size, threads=threads, series=series)
        raise CalloutError(what, ToSay("error.unified_go_go_gauge", known=known))
    if thread_class not in CLASSES:
        what = ToSay("error.diameter_limits_without", element=element)
        raise CalloutError(what, ToSay("error.classes_or_gauge", classes=" ".join(CLASSES)))
    inside = thread_class.endswith("B")
    check_element(element, thread_class, "ASME B1.1", inside=inside)
    diameter, pitch = _diameter(size), 1 / Decimal(threads)
    if inside:
        return _internal(diameter, pitch, series, thread_class, element)
    return _external(diameter, pitch, series, thread_class, element)


def _diameter(size: str) -> Decimal:
    return Decimal(_SERIES[size][0])


def _external(diameter: Decimal, pitch: Decimal, series: str, grade: str, element: str) -> Limits:
    tolerance = _pitch_tolerance(diameter, pitch, series)
    allowance = Decimal(0) if grade == "3A" else _allowance(tolerance)
    if element == "pitch":
        upper = _round(diameter - _PITCH_DEPTH * pitch) - allowance
        factor = {"1A": Decimal("1.5"), "2A": Decimal(1), "3A": Decimal("0.75")}[grade]
        return Limits(upper - _round(factor * tolerance), upper, Unit.INCH)
    upper = _round(diameter) - allowance
    factor = Decimal("0.09") if grade == "1A" else Decimal("0.06")
    return Limits(upper - _round(factor * _two_thirds(pitch)), upper, Unit.INCH)


def _internal(diameter: Decimal, pitch: Decimal, series: str, grade: str, element: str) -> Limits:
    if element == "pitch":
        lower = _round(diameter - _PITCH_DEPTH * pitch)
        factor = {"1B": Decimal("1.95"), "2B": Decimal("1.3"), "3B": Decimal("0.975")}[grade]
        tolerance = _round(factor * _pitch_tolerance(diameter, pitch, series))
        return Limits(lower, lower + tolerance, Unit.INCH)
    basic = _round(diameter - _MINOR_DEPTH * pitch)
    upper = basic + _round(_minor_tolerance(diameter, pitch, grade))
    if diameter >= _THREE_PLACES:
        places = Decimal("0.001")
        basic = basic.quantize(places, ROUND_HALF_UP).quantize(_TENTH)
        if grade != "3B":
            upper = upper.quantize(places, ROUND_HALF_UP).quantize(_TENTH)
    return Limits(basic, upper, Unit.INCH)


def _allowance(tolerance: Decimal) -> Decimal:
    """0.3 of the class 2A tolerance; a tie goes down, as the printed 5/8-11 shows (0.0016)."""
    fifth = tolerance.quantize(Decimal("0.00001"), ROUND_HALF_UP)
    return (Decimal("0.3") * fifth).quantize(_TENTH, ROUND_HALF_DOWN)


def _pitch_tolerance(diameter: Decimal, pitch: Decimal, series: str) -> Decimal:
    """Class 2A: 0.0015 D^(1/3) + 0.0015 LE^(1/2) + 0.015 P^(2/3), to six decimals of an inch."""
    engagement = 9 * pitch if series == "UNEF" else diameter
    tolerance = (
        Decimal("0.0015") * diameter ** (1 / Decimal(3))
        + Decimal("0.0015") * engagement.sqrt()
        + Decimal("0.015") * _two_thirds(pitch)
    )
    return tolerance.quantize(Decimal("0.000001"), ROUND_HALF_UP)


def _minor_tolerance(diameter: Decimal, pitch: Decimal, grade: str) -> Decimal:
    by_size = (
        Decimal("0.05") * _two_thirds(pitch) + Decimal("0.03") * pitch / diameter - Decimal("0.002")
    )
    most = Decimal("0.394") * pitch
    if grade != "3B":
        least = Decimal("0.25") * pitch - Decimal("0.4") * pitch**2
        return least if diameter >= Decimal("0.25") else max(min(by_size, most), least)
    fine = 1 / pitch >= 13
    least = Decimal("0.23") * pitch - Decimal("1.5") * pitch**2 if fine else Decimal("0.12") * pitch
    return max(min(by_size, most), least)


def _two_thirds(pitch: Decimal) -> Decimal:
    """P^(2/3), to twelve decimals: a cube such as 1/64 comes out exactly."""
    return (pitch ** (2 / Decimal(3))).quantize(Decimal("1e-12"), ROUND_HALF_UP)


def _round(value: Decimal) -> Decimal:
    return value.quantize(_TENTH, ROUND_HALF_UP)
