"""Callouts as machinists write them, with their meaning: all sensible ones read, none misread.

data/callouts.csv was written by hand and by plain sums of the numbers in the callout; limits of
classes and threads are those of the printed tables. Nothing in it comes from the parser. Rows of
kind "refused" are nonsense, may mean two things, or ask for what is not worked out.
"""

import csv
from decimal import Decimal
from pathlib import Path

import pytest

from qlog.drawing import general_tolerance
from qlog.drawing.callouts.callout import Callout, CalloutError, Kind
from qlog.drawing.callouts.reading import parse
from qlog.drawing.callouts.spelling import format_callout
from qlog.drawing.units import Unit

UNITS = {"mm": Unit.MM, "inch": Unit.INCH}
with (Path(__file__).parent / "data" / "callouts.csv").open(encoding="utf-8", newline="") as file:
    ROWS = list(csv.DictReader(file))
SENSIBLE = [row for row in ROWS if row["kind"] != "refused"]
REFUSED = [row for row in ROWS if row["kind"] == "refused"]


def read(row: dict[str, str]) -> Callout:
    general = general_tolerance.canonical(row["general"])[0] if row["general"] else ""
    return parse(row["callout"], unit=UNITS[row["drawing"]], general=general)


def number(text: str) -> Decimal | None:
    return Decimal(text) if text else None


def test_there_are_enough_of_them_in_mm_and_in_inches() -> None:
    assert len(ROWS) >= 600 and len(SENSIBLE) >= 600 and len(REFUSED) >= 60
    assert sum(row["drawing"] == "inch" for row in SENSIBLE) >= 150
    assert {row["kind"] for row in SENSIBLE} == {kind.value for kind in Kind}
    assert all(row["source"] for row in ROWS)


@pytest.mark.parametrize("row", SENSIBLE, ids=[f"{r['callout']} {r['drawing']}" for r in SENSIBLE])
def test_sensible_callouts_mean_what_they_say(row: dict[str, str]) -> None:
    callout = read(row)
    assert callout.kind.value == row["kind"]
    assert callout.unit.value == row["unit"]
    assert callout.limits.lower == number(row["lower"])
    assert callout.limits.upper == number(row["upper"])
    if callout.kind is not Kind.THREAD:
        assert callout.nominal == number(row["nominal"])
    if not callout.general:
        again = parse(format_callout(callout))
        assert (again.kind, again.unit, again.limits) == (
            callout.kind, callout.unit, callout.limits,
        )  # fmt: skip


@pytest.mark.parametrize("row", REFUSED, ids=[f"{r['callout']} {r['drawing']}" for r in REFUSED])
def test_the_rest_is_refused_with_a_word_that_helps(row: dict[str, str]) -> None:
    with pytest.raises(CalloutError) as error:
        read(row)
    assert error.value.what and error.value.accepted


@pytest.mark.parametrize("row", ROWS, ids=[f"{r['callout']} {r['drawing']}" for r in ROWS])
def test_no_hint_is_in_the_wrong_unit(row: dict[str, str]) -> None:
    """What is offered on an inch drawing for an inch size has no millimetre example in it."""
    if row["drawing"] != "inch" or "mm" in row["callout"] or "µm" in row["callout"]:
        return
    try:
        parse(row["callout"] + " @", unit=Unit.INCH)
    except CalloutError as error:
        assert "12 ±0.05" not in error.accepted and "ISO 2768-m" not in error.accepted
        assert "+0.02/-0.01" not in error.accepted
