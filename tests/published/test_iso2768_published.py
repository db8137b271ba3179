"""ISO 2768-1 general tolerances, every row of data/iso2768_1.csv with its source.

The table that ships is the same; what is tested is that every step, its ends, and every class
come out of a callout as printed.
"""

import csv
from decimal import Decimal
from pathlib import Path

import pytest

from qlog.drawing.callouts.callout import CalloutError
from qlog.drawing.callouts.reading import parse

DATA = Path(__file__).parent / "data" / "iso2768_1.csv"
with DATA.open(encoding="utf-8", newline="") as file:
    ROWS = list(csv.DictReader(file))
OVER = "over_mm(0.5=from 0.5 incl)"


def test_every_row_is_there():
    assert len(ROWS) == 16
    assert all(row["source"] for row in ROWS)


def _callouts(row, size):
    if row["kind"] == "linear_mm":
        return [f"{size}", f"Ø{size}", f"depth {size}"]
    if row["kind"].startswith("angle"):
        return [f"60° side {size}"]
    return [f"R{size}", f"{size} x 45°"]


@pytest.mark.parametrize("general", ["f", "m", "c", "v"])
@pytest.mark.parametrize("row", ROWS, ids=[f"{r['kind'].split('_')[0]}-{r[OVER]}" for r in ROWS])
def test_every_step_at_both_ends(row, general):
    over = Decimal(row[OVER])
    upto = Decimal(row["up_to_incl_mm"] or over * 2)
    first = over if row[OVER] == "0.5" else over + Decimal("0.001")
    for size in (first, upto):
        for text in _callouts(row, size):
            if not row[general]:
                with pytest.raises(CalloutError, match="has no value"):
                    parse(text, general=general)
                continue
            callout = parse(text, general=general)
            deviation = Decimal(row[general])
            if row["kind"].startswith("angle"):
                deviation /= 60
                assert callout.nominal == 60
            else:
                assert callout.nominal == size
            limits = callout.limits
            assert abs(limits.upper - callout.nominal - deviation) < Decimal("1e-20")
            assert abs(callout.nominal - limits.lower - deviation) < Decimal("1e-20")
            assert callout.general
            assert callout.source == f"ISO 2768-1 {general}"


@pytest.mark.parametrize("text", ["0.4", "R0.2", "0.3 x 45°"])
def test_below_half_a_millimetre_the_standard_asks_for_a_tolerance(text):
    with pytest.raises(CalloutError, match=r"below 0\.5 mm"):
        parse(text, general="m")


def test_beyond_the_table():
    with pytest.raises(CalloutError, match="has no value"):
        parse("4000.1", general="m")
