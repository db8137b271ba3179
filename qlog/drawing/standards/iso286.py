"""ISO 286-1 classes of holes and shafts: limits deviations by table and rule, 0 to 500 mm.

Tables: `tables/iso286_*.csv`, each row with its source. Rules: ISO 286-1:2010 clauses 4.2 and
4.3 (the hole's deviation from the shaft's, delta for K, M, N to IT8 and P to S to IT7, the
named exceptions). What the tables do not hold is refused, never extrapolated.
"""

from __future__ import annotations

from decimal import Decimal

from qlog.drawing.callouts.callout import CalloutError
from qlog.drawing.standards.tables import rows

_MICROMETRE = Decimal("0.001")
_LARGEST = 500
_SHAFTS = ("d", "e", "f", "g", "h", "js", "k", "m", "n", "p", "r", "s")
_GRADES = range(1, 15)


def deviations(nominal: Decimal, fit_class: str) -> tuple[Decimal, Decimal]:
    """Lower and upper limit deviation in mm of a class such as H7 or g6 at a nominal size in mm.

    Raises CalloutError, naming the nearest there is, for a class or size outside the tables.
    """
    letters = fit_class.rstrip("0123456789")
    grade = int(fit_class[len(letters) :])
    _check(nominal, letters, grade)
    width = Decimal(_row("iso286_it_grades_um", nominal)[f"IT{grade}"])
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
    row = _row("iso286_fundamental_deviations_um", nominal, shaft_letter=letter)
    value = Decimal(row["value_um"])
    if row["kind"] == "es":
        return value - width, value
    if letter == "k" and not 4 <= grade <= 7:
        value = Decimal(0)
    return value, value + width


def _hole(letter: str, grade: int, nominal: Decimal, width: Decimal) -> tuple[Decimal, Decimal]:
    row = _row("iso286_fundamental_deviations_um", nominal, shaft_letter=letter.lower())
    value = Decimal(row["value_um"])
    if row["kind"] == "es":
        return -value, -value + width
    upper = -value
    if letter == "N" and grade > 8 and nominal > 3:
        upper = Decimal(0)
    elif letter == "M" and grade == 6 and 250 < nominal <= 315:
        upper = Decimal(-9)  # ISO 286-1's one special case: -9 in place of -11
    elif nominal > 3 and grade <= (8 if letter in "KMN" else 7):
        upper += Decimal(_row("iso286_delta_um", nominal)[f"IT{grade}"])
    return upper - width, upper


def _check(nominal: Decimal, letters: str, grade: int) -> None:
    name = f"{letters}{grade}"
    if letters not in _SHAFTS and not (letters.isupper() and letters.lower() in _SHAFTS):
        raise CalloutError(
            f"class {name} is not in the tables", f"the nearest is {_near(letters)}{grade}"
        )
    if grade not in _GRADES:
        near = _GRADES[-1] if grade > _GRADES[-1] else _GRADES[0]
        raise CalloutError(
            f"class {name} is not in the tables", f"grades 1 to 14; the nearest is {letters}{near}"
        )
    if nominal <= 0:
        raise CalloutError(f"class {name} at a size of {nominal}", "a size above 0 mm")
    if nominal > _LARGEST:
        raise CalloutError(
            f"class {name} at {nominal} mm is outside the tables",
            f"they end at {_LARGEST} mm; write the limits themselves",
        )
    if nominal <= 1 and (grade == 14 or (letters == "N" and grade > 8)):
        # ISO 286-1: IT14 and up, and N above IT8, are not used to 1 mm.
        near = 13 if grade == 14 and letters != "N" else 8
        raise CalloutError(f"class {name} is not used to 1 mm", f"the nearest is {letters}{near}")
    if letters in ("K", "M", "N", "P", "R", "S") and nominal > 3:
        if grade < 3:
            raise CalloutError(
                f"class {name} above 3 mm is not in the tables", f"the nearest is {letters}3"
            )
        if letters == "K" and grade > 8:
            raise CalloutError(f"class {name} above 3 mm is not in the tables", "the nearest is K8")


def _near(letters: str) -> str:
    """The tabulated letter nearest in the alphabet to one that is not."""
    known = [s.upper() for s in _SHAFTS] if letters.isupper() else list(_SHAFTS)
    if not (letters.isupper() or letters.islower()):
        return letters.lower() if letters.lower() in _SHAFTS else "h"
    return min(known, key=lambda s: (abs(ord(s[0]) - ord(letters[0])), len(s) > 1))


def _row(table: str, nominal: Decimal, **where: str) -> dict[str, str]:
    for row in rows(table):
        if any(row[key] != value for key, value in where.items()):
            continue
        if Decimal(row["over_mm"]) < nominal <= Decimal(row["up_to_incl_mm"]):
            return row
    raise CalloutError(f"{nominal} mm is outside the tables", f"sizes to {_LARGEST} mm")
