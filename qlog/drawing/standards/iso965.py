"""ISO 965-1 limits of metric threads, from its tables of tolerances and allowances.

Tables: `tables/iso965_*.csv`, each row with its source. Basic diameters: ISO 68-1 and ISO 724,
to three decimals of a millimetre. Coarse pitches: ISO 261. What the tables do not hold is
refused, never extrapolated.
"""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal

from qlog.drawing.callouts.callout import CalloutError
from qlog.drawing.limits import Limits
from qlog.drawing.standards.published import rows
from qlog.drawing.units import Unit
from qlog.problem import ToSay

_MICROMETRE = Decimal("0.001")
#: ISO 68-1: three quarters of the height of the fundamental triangle, and five quarters of it.
_PITCH_DEPTH = Decimal("0.649519053")
_MINOR_DEPTH = Decimal("1.082531755")

#: ISO 261: the coarse pitch in mm of each size.
_COARSE = {
    "1": "0.25", "1.1": "0.25", "1.2": "0.25", "1.4": "0.3", "1.6": "0.35", "1.8": "0.35",
    "2": "0.4", "2.2": "0.45", "2.5": "0.45", "3": "0.5", "3.5": "0.6", "4": "0.7", "4.5": "0.75",
    "5": "0.8", "6": "1", "7": "1", "8": "1.25", "9": "1.25", "10": "1.5", "11": "1.5",
    "12": "1.75", "14": "2", "16": "2", "18": "2.5", "20": "2.5", "22": "2.5", "24": "3",
    "27": "3", "30": "3.5", "33": "3.5", "36": "4", "39": "4", "42": "4.5", "45": "4.5", "48": "5",
    "52": "5", "56": "5.5", "60": "5.5", "64": "6", "68": "6",
}  # fmt: skip
_SIZES = {Decimal(size): Decimal(pitch) for size, pitch in _COARSE.items()}


def coarse_pitch(size: Decimal) -> Decimal | None:
    """The coarse pitch in mm of a size in mm; None when ISO 261 has no such size."""
    return _SIZES.get(size)


def nearest_size(size: Decimal) -> Decimal:
    """The size of ISO 261 that is nearest, both in mm."""
    return min(_SIZES, key=lambda known: (abs(known - size), known))


def limits(size: Decimal, pitch: Decimal, thread_class: str, element: str) -> Limits:
    """Limits in mm of the "major", "pitch" or "minor" diameter of a class such as 6g, 4g6g or 6H.

    Raises CalloutError for what the tables do not hold.
    """
    grade, position, crest_grade, crest_position = _split(thread_class)
    inside = position.isupper()
    check_element(element, thread_class, "ISO 965-1", inside=inside)
    if element == "pitch":
        allowance = _allowance(pitch, position)
        width = _pitch_tolerance(size, pitch, f"{'H' if inside else 'h'}{grade}", thread_class)
        basic = _rounded(size - _PITCH_DEPTH * pitch)
    else:
        allowance = _allowance(pitch, crest_position)
        width = _crest_tolerance(pitch, f"{'H' if inside else 'h'}{crest_grade}", thread_class)
        basic = _rounded(size - _MINOR_DEPTH * pitch) if inside else size
    if inside:
        return Limits(basic + allowance, basic + allowance + width, Unit.MM)
    return Limits(basic - allowance - width, basic - allowance, Unit.MM)


def check_element(element: str, thread_class: str, standard: str, *, inside: bool) -> None:
    """Raises CalloutError for a diameter that has no two limits: the roots of a thread."""
    crest = "minor" if inside else "major"
    if element not in (crest, "pitch"):
        raise CalloutError(
            ToSay("error.thread_diameter_one_limit", element=element, thread_class=thread_class,
                  standard=standard),
            ToSay("error.thread_diameter_or_gauge", thread_class=thread_class, crest=crest),
        )  # fmt: skip


def _split(thread_class: str) -> tuple[str, str, str, str]:
    """Grade and position of the pitch diameter, and of the crest."""
    first, rest = thread_class[:2], thread_class[2:] or thread_class[:2]
    return first[0], first[1], rest[0], rest[1]


def _rounded(value: Decimal) -> Decimal:
    return value.quantize(_MICROMETRE, ROUND_HALF_UP)


def _allowance(pitch: Decimal, position: str) -> Decimal:
    if position in "hH":
        return Decimal(0)
    row = next((r for r in rows("iso965_allowances_um") if Decimal(r["pitch_mm"]) == pitch), {})
    value = row.get(position, "")
    if not value:
        what = ToSay("error.position_pitch_mm", position=position, pitch=pitch)
        raise CalloutError(what, ToSay("error.outside_inside_go"))
    return Decimal(value) * _MICROMETRE


def _pitch_tolerance(size: Decimal, pitch: Decimal, grade: str, name: str) -> Decimal:
    near = [
        row
        for row in rows("iso965_pitch_diameter_um")
        if Decimal(row["over_mm"]) < size <= Decimal(row["up_to_incl_mm"])
    ]
    row = next((r for r in near if Decimal(r["pitch_mm"]) == pitch), None)
    if row is None:
        known = ", ".join(r["pitch_mm"] for r in near)
        raise CalloutError(
            ToSay("error.pitch_mm_table", pitch=pitch, size=str(size)),
            ToSay("error.pitches_here", known=known, nearest=f"M{size}x{_nearest(pitch, near)}")
            if near
            else ToSay("error.or_the_gauge"),
        )
    return _of(row, grade, name)


def _nearest(pitch: Decimal, near: list[dict[str, str]]) -> str:
    return min((r["pitch_mm"] for r in near), key=lambda p: abs(Decimal(p) - pitch))


def _crest_tolerance(pitch: Decimal, grade: str, name: str) -> Decimal:
    row = next((r for r in rows("iso965_crest_um") if Decimal(r["pitch_mm"]) == pitch), None)
    if row is None:
        raise CalloutError(
            ToSay("error.pitch_mm_table_iso", pitch=pitch), ToSay("error.or_the_gauge")
        )
    return _of(row, grade, name)


def _of(row: dict[str, str], grade: str, name: str) -> Decimal:
    value = row.get(grade, "")
    if not value:
        known = ", ".join(k[1:] for k, v in row.items() if k[0] == grade[0] and v and len(k) == 2)
        what = ToSay("error.grade_class_table", grade=grade[1:], name=name)
        raise CalloutError(what, ToSay("error.grades_go_go", known=known))
    return Decimal(value) * _MICROMETRE
