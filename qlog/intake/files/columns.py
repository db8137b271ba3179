"""What a whole column of a file decides: the other unit of length, the order of day and month."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from qlog.drawing.plan import Build
from qlog.drawing.units import Unit
from qlog.intake.files.table import Assumed, Bad, BadLine, FileRow, Guess
from qlog.intake.typed.parse import TypedError
from qlog.intake.typed.times import day_number, moment, order_of, slashed, slashed_iso
from qlog.problem import ToSay

_ENOUGH = 2  # readings; a single one is the entry checks' to ask about
_NEAR = Decimal("0.05")  # of the nominal size: neither wear nor a wrong turn moves a whole column
_OTHER = {Unit.MM: Unit.INCH, Unit.INCH: Unit.MM}


def in_another_unit(rows: Iterable[FileRow], build: Build) -> list[BadLine]:
    """One bad line for each dimension whose readings are mostly right in the other unit.

    Only bare numbers are looked at: a unit written with the value is meant.
    """
    columns: dict[tuple[str, str, int], list[FileRow]] = {}
    for row in rows:
        if row.typed is not None and row.typed.text.strip()[-1:].isdigit():
            columns.setdefault((row.part, row.dimension, row.op), []).append(row)
    found: list[BadLine] = []
    for (part, name, op), of_one in columns.items():
        requirement = build.part(part).dimension(name).requirement_at(op)
        nominal = None if requirement is None else requirement.callout.nominal
        if requirement is None or not nominal or requirement.callout.unit not in _OTHER:
            continue
        unit = requirement.callout.unit
        odd = [row for row in of_one if _mistaken(row, nominal, unit)]
        if len(odd) < _ENOUGH or 2 * len(odd) <= len(of_one):
            continue
        first = odd[0]
        assert first.typed is not None
        other = _OTHER[first.typed.unit]
        found.append(
            BadLine(
                first.line,
                first.typed.text,
                ToSay(
                    "error.near_only_in",
                    odd=len(odd),
                    n=len(of_one),
                    name=name,
                    nominal=nominal,
                    unit=unit.symbol,
                    other=ToSay("error.inches" if other is Unit.INCH else "error.millimetres"),
                ),
                ToSay("error.head_with_unit", name=name, unit=other.value),
            )
        )
    return found


def _mistaken(row: FileRow, nominal: Decimal, unit: Unit) -> bool:
    """Whether a reading is far from the nominal as read, and near in the other unit."""
    assert row.typed is not None
    if row.typed.unit not in _OTHER:
        return False
    from qlog.drawing.units import convert

    here = row.typed.to(unit)
    there = convert(row.typed.value, _OTHER[row.typed.unit], unit)
    return abs(there - nominal) <= _NEAR * nominal and abs(here - nominal) > nominal / 2


class Dates:
    """The times of one file. `zone` is the plan's, `said` what the user said of the order."""

    def __init__(self, zone: str) -> None:
        self._zone = zone
        self._texts: tuple[str, ...] = ()
        self._said: bool | None = None

    def of_column(self, texts: Iterable[str], said: bool | None) -> None:
        """Take note of all times of the file, and of what was said of day and month."""
        self._texts = tuple(texts)
        self._said = said

    def read(self, text: str) -> tuple[str, Assumed | None]:
        """A time as ISO 8601 with offset, and what had to be assumed for it. Raises Bad."""
        assumed = None
        plain = text
        if slashed(text) is not None:
            found = order_of(self._texts)
            day_first = found if self._said is None else self._said
            if day_first is None:
                raise Bad(text, ToSay("error.day_month_first"), ToSay("error.write_say_map"))
            plain = slashed_iso(text, day_first=day_first)
            if self._said is None:
                guess = Guess.DAY_FIRST if day_first else Guess.MONTH_FIRST
                assumed = Assumed(guess, text, plain)
        elif (counted := day_number(text)) is not None:
            plain, assumed = counted, Assumed(Guess.DAY_NUMBERS, text, counted)
        try:
            return moment(plain, self._zone).iso, assumed
        except TypedError as error:
            raise Bad(text, error.what, error.accepted) from error
