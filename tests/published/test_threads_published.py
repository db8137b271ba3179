"""ISO 965 thread limits: the printed rows, and the standard's formulas behind them."""

import csv
from decimal import Decimal
from itertools import pairwise
from math import sqrt
from pathlib import Path

import pytest

from qlog.drawing.callouts.reading import parse
from qlog.drawing.standards.tables import rows

DATA = Path(__file__).parent / "data" / "iso965_threads.csv"
with DATA.open(encoding="utf-8", newline="") as file:
    PRINTED = list(csv.DictReader(file))
ELEMENTS = [("6g", "major"), ("6g", "pitch"), ("6H", "minor"), ("6H", "pitch")]
SHIPPED = rows("iso965_threads")


def test_every_printed_row_is_there_and_names_its_source():
    assert [row["M"] for row in PRINTED] == ["3", "4", "5", "6", "8"]
    assert all(row["source"] for row in (*PRINTED, *SHIPPED))


@pytest.mark.parametrize("row", PRINTED, ids=[f"M{r['M']}" for r in PRINTED])
@pytest.mark.parametrize(("fit", "element"), ELEMENTS)
def test_printed_limits(row, fit, element):
    for name in (f"M{row['M']}-{fit} {element}", f"M{row['M']}x{row['pitch']}-{fit} {element}"):
        callout = parse(name)
        assert not callout.attribute
        assert callout.limits.lower == Decimal(row[f"{fit}_{element}_min"])
        assert callout.limits.upper == Decimal(row[f"{fit}_{element}_max"])
        assert callout.source.startswith("ISO 965")


@pytest.mark.parametrize("row", SHIPPED, ids=[f"M{r['M']}x{r['pitch']}" for r in SHIPPED])
def test_every_row_agrees_with_the_formulas(row):
    """ISO 965-1 formulas, and the basic profile of ISO 68-1, against the rows that were read.

    The standard rounds each tolerance to the R40 series of preferred numbers, so a printed one
    lies within 5 % of its formula; allowances are rounded by 1 or 2 micrometres. (Formulas from
    memory of ISO 965-1 clause 13.)
    """
    size, pitch = float(row["M"]), float(row["pitch"])
    steps = [0.99, 1.4, 2.8, 5.6, 11.2, 22.4]
    mean = next(sqrt(a * b) for a, b in pairwise(steps) if a < size <= b)
    allowance = (15 + 11 * pitch) / 1000
    pitch_tolerance = 90 * pitch**0.4 * mean**0.1
    minor = 433 * pitch - 190 * pitch**1.22 if pitch < 1 else 230 * pitch**0.7
    pitch_diameter, minor_diameter = size - 0.649519 * pitch, size - 1.082532 * pitch
    expected = {
        "6g_major": (size - allowance, "max", 180 * pitch ** (2 / 3) - 3.15 / sqrt(pitch)),
        "6g_pitch": (pitch_diameter - allowance, "max", pitch_tolerance),
        "6H_minor": (minor_diameter, "min", minor),
        "6H_pitch": (pitch_diameter, "min", 1.32 * pitch_tolerance),
    }
    read = 0
    for key, (start, side, tolerance) in expected.items():
        if not row[f"{key}_min"]:
            continue
        read += 1
        assert float(row[f"{key}_{side}"]) == pytest.approx(start, abs=0.0015), key
        width = 1000 * (float(row[f"{key}_max"]) - float(row[f"{key}_min"]))
        assert width == pytest.approx(tolerance, rel=0.05), key
    assert read >= 2
