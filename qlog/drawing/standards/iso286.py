"""ISO 286-1 classes of holes and shafts: a to zc and A to ZC, IT1 to IT18, sizes to 3150 mm.

Tables: `tables/iso286_*.csv`, each row with its source. Rules: ISO 286-1:2010 clauses 4.2 and
4.3 (the hole's deviation from the shaft's, delta for K, M, N to IT8 and P to ZC to IT7, the
named exceptions). What the tables do not hold is refused, never extrapolated.
"""

from __future__ import annotations

from decimal import Decimal

from qlog.drawing.callouts.callout import CalloutError
from qlog.drawing.standards.published import rows
from qlog.problem import Either, ToSay

_MICROMETRE = Decimal("0.001")
_LARGEST = 3150
#: Above this size there is no delta, and the letters are d to u without the double ones.
_SMALLER_HALF = 500
#: Intermediate deviations for fine mechanisms and horology: ISO 286-1:2010, table 4, note.
_FINE_MECHANISMS = ("cd", "ef", "fg")
_CLEARANCE = ("a", "b", "c", "cd", "d", "e", "ef", "f", "fg", "g", "h")
_SHAFTS = (
    *_CLEARANCE, "js", "j", "k", "m", "n", "p", "r", "s", "t", "u", "v", "x", "y", "z", "za", "zb",
    "zc",
)  # fmt: skip
_GRADES = range(1, 19)
#: j and J are not of one width for all grades: each has a column of its own.
_J = {"j5": "j6", "j6": "j6", "j7": "j7", "j8": "j8", "J6": "J6", "J7": "J7", "J8": "J8"}


def deviations(nominal: Decimal, fit_class: str) -> tuple[Decimal, Decimal]:
    """Lower and upper limit deviation in mm of a class such as H7 or g6 at a nominal size in mm.

    Raises CalloutError, naming the nearest there is, for a class or size outside the tables.
    """
    letters = fit_class.rstrip("0123456789")
    digits = fit_class[len(letters) :]
    _check(nominal, letters, digits)
    grade = int(digits)
    width = _width(nominal, grade)
    if letters in ("js", "JS"):
        # Exactly half of IT on each side. ISO 286-1 also allows whole micrometres for odd IT7 to
        # IT11; the printed tables that the tests hold on to do not make use of it.
        lower, upper = -width / 2, width / 2
    elif letters.islower():
        lower, upper = _shaft(letters, grade, nominal, width)
    else:
        lower, upper = _hole(letters, grade, nominal, width)
    return lower * _MICROMETRE, upper * _MICROMETRE


def _shaft(letter: str, grade: int, nominal: Decimal, width: Decimal) -> tuple[Decimal, Decimal]:
    value = _deviation(letter, grade, nominal)
    if letter in _CLEARANCE or letter == "j":
        return (value, value + width) if letter == "j" else (value - width, value)
    if letter == "k" and not 4 <= grade <= 7:
        value = Decimal(0)
    return value, value + width


def _hole(letter: str, grade: int, nominal: Decimal, width: Decimal) -> tuple[Decimal, Decimal]:
    if letter == "J":
        upper = _deviation(letter, grade, nominal)
        return upper - width, upper
    value = _deviation(letter.lower(), grade, nominal)
    if letter.lower() in _CLEARANCE:
        return -value, -value + width
    upper = -value
    if nominal > _SMALLER_HALF:
        return upper - width, upper
    if letter == "N" and grade > 8 and nominal > 3:
        upper = Decimal(0)
    elif letter == "M" and grade == 6 and 250 < nominal <= 315:
        upper = Decimal(-9)  # ISO 286-1's one special case: -9 in place of -11
    elif nominal > 3 and grade <= (8 if letter in "KMN" else 7):
        # Delta, by which the hole of a grade comes closer to the shaft of the next finer one.
        upper += width - _width(nominal, grade - 1)
    return upper - width, upper


def _width(nominal: Decimal, grade: int) -> Decimal:
    return Decimal(_row("iso286_it_grades_um", nominal)[f"IT{grade}"])


def _deviation(letter: str, grade: int, nominal: Decimal) -> Decimal:
    """The fundamental deviation in micrometres. Raises CalloutError where there is none."""
    if letter == "h":
        return Decimal(0)
    row = _row("iso286_shafts_um", nominal)
    name = f"{letter}{grade}"
    value = row.get(_J.get(name, "") if letter in ("j", "J") else letter, "")
    if not value:
        raise CalloutError(
            ToSay("error.class_tables_mm", name=name, nominal=nominal),
            ToSay("error.nearest_class", name=f"{_near_here(letter, row)}{grade}"),
        )
    return Decimal(value)


def _near_here(letter: str, row: dict[str, str]) -> str:
    """The letter nearest in the alphabet that there is at this size."""
    if letter in ("j", "J"):
        return "js" if letter == "j" else "JS"
    here = [s for s in _SHAFTS if s in ("h", "js") or row.get(s)]
    order = _SHAFTS.index(letter)
    return min(here, key=lambda s: abs(_SHAFTS.index(s) - order))


def _check(nominal: Decimal, letters: str, digits: str) -> None:
    name = f"{letters}{digits}"
    if not (letters.islower() or letters.isupper()) or letters.lower() not in _SHAFTS:
        what = ToSay("error.class_tables", name=name)
        raise CalloutError(what, ToSay("error.nearest_class", name=f"{_near(letters)}{digits}"))
    grade = int(digits)
    if grade not in _GRADES or digits != str(grade):
        near = _GRADES[-1] if grade > _GRADES[-1] else _GRADES[0]
        what = ToSay("error.class_tables", name=name)
        raise CalloutError(what, ToSay("error.grades_nearest", letters=letters, near=near))
    if nominal <= 0:
        raise CalloutError(
            ToSay("error.class_size", name=name, nominal=nominal), ToSay("error.size_above_mm")
        )
    if letters.lower() in _FINE_MECHANISMS and nominal > 10:
        nearest = Either(f"{letter}{digits}" for letter in letters[:2])
        what = ToSay("error.class_sizes_mm", name=name, nominal=nominal)
        raise CalloutError(what, ToSay("error.nearest_are", nearest=nearest))
    if nominal > _LARGEST:
        what = ToSay("error.class_mm_outside", name=name, nominal=nominal)
        raise CalloutError(what, ToSay("error.they_end_mm", largest=_LARGEST))
    _check_smallest(nominal, letters, grade)
    if letters.isupper() and letters.lower() not in (*_CLEARANCE, "js", "j") and nominal > 3:
        if grade < 3 and nominal <= _SMALLER_HALF:
            what = ToSay("error.class_above_mm", name=name)
            raise CalloutError(what, ToSay("error.nearest_class", name=f"{letters}3"))
        if letters == "K" and grade > 8:
            raise CalloutError(
                ToSay("error.class_above_mm", name=name), ToSay("error.nearest_class", name="K8")
            )


def _check_smallest(nominal: Decimal, letters: str, grade: int) -> None:
    """ISO 286-1: IT14 and up, N above IT8, and a, b of any grade are not used to 1 mm."""
    if nominal > 1:
        return
    name = f"{letters}{grade}"
    if letters.lower() in ("a", "b"):
        near = "c" if letters.islower() else "C"
        what = ToSay("error.class_used_mm", name=name)
        raise CalloutError(what, ToSay("error.nearest_class", name=f"{near}{grade}"))
    if grade >= 14 or (letters == "N" and grade > 8):
        near_grade = 13 if letters != "N" else 8
        what = ToSay("error.class_used_mm", name=name)
        raise CalloutError(what, ToSay("error.nearest_class", name=f"{letters}{near_grade}"))


def _near(letters: str) -> str:
    """The tabulated letter nearest in the alphabet to one that is not."""
    known = [s.upper() for s in _SHAFTS] if letters.isupper() else list(_SHAFTS)
    if not (letters.isupper() or letters.islower()):
        return letters.lower() if letters.lower() in _SHAFTS else "h"
    return min(known, key=lambda s: (abs(ord(s[0]) - ord(letters[0])), len(s) > 1))


def _row(table: str, nominal: Decimal) -> dict[str, str]:
    for row in rows(table):
        if Decimal(row["over_mm"]) < nominal <= Decimal(row["up_to_incl_mm"]):
            return row
    raise CalloutError(
        ToSay("error.mm_outside_tables", nominal=nominal), ToSay("error.sizes_mm", largest=_LARGEST)
    )
