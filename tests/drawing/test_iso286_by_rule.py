"""ISO 286 classes of common fits worked out by rule from the standard's tables, not read in print.

data/iso286_fits_by_rule.csv: limits that two open data sets agree on; the printed ones are in
tests/published.
"""

import csv
from decimal import Decimal
from pathlib import Path

import pytest

from qlog.drawing.standards.iso286 import deviations

DATA = Path(__file__).parent / "data"
with (DATA / "iso286_fits_by_rule.csv").open(encoding="utf-8", newline="") as file:
    ROWS = list(csv.DictReader(file))


@pytest.mark.parametrize("row", ROWS, ids=[f"{r['nominal_mm']}{r['class']}" for r in ROWS])
def test_limits_by_rule(row: dict[str, str]) -> None:
    lower, upper = deviations(Decimal(row["nominal_mm"]), row["class"])
    assert (upper * 1000, lower * 1000) == (Decimal(row["upper_um"]), Decimal(row["lower_um"]))
