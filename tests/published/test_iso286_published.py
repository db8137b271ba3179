"""ISO 286 classes against published limits of common fits.

data/iso286_fits_examples.csv: 315 limits, each with the page that it was read from, or with the
two independent implementations that agree on it, in its `source` column.
"""

import csv
from decimal import Decimal
from pathlib import Path

import pytest

from qlog.drawing.callout import parse, parse_fit
from qlog.drawing.iso286 import deviations

DATA = Path(__file__).parent / "data" / "iso286_fits_examples.csv"
with DATA.open(encoding="utf-8", newline="") as file:
    ROWS = list(csv.DictReader(file))


def test_every_published_row_is_there():
    assert len(ROWS) == 315
    assert all(row["source"] for row in ROWS)


@pytest.mark.parametrize("row", ROWS, ids=[f"{r['nominal_mm']}{r['class']}" for r in ROWS])
def test_limits_of_common_fits(row):
    nominal = Decimal(row["nominal_mm"])
    lower, upper = deviations(nominal, row["class"])
    assert (upper * 1000, lower * 1000) == (Decimal(row["upper_um"]), Decimal(row["lower_um"]))
    limits = parse(f"Ø{row['nominal_mm']} {row['class']}").limits
    assert (limits.upper, limits.lower) == (Decimal(row["max_mm"]), Decimal(row["min_mm"]))


# From memory of the printed ISO 286-1 tables, not read anywhere for this project: the exceptions
# that the published rows above do not reach.
@pytest.mark.parametrize(
    ("nominal", "fit_class", "lower", "upper"),
    [
        ("280", "M6", -41, -9),  # the one special case, -9 in place of -11
        ("25", "N9", -52, 0),  # N above IT8 is 0
        ("2", "N9", -29, -4),  # but not to 3 mm
        ("25", "K8", -23, 10),
        ("25", "M9", -60, -8),  # M above IT8 has no delta
        ("25", "P8", -55, -22),  # P above IT7 has no delta
        ("25", "R7", -41, -20),
        ("25", "S7", -48, -27),
        ("25", "k8", 0, 33),  # k above IT7 is 0
        ("25", "k3", 0, 4),  # and below IT4
        ("25", "js7", Decimal("-10.5"), Decimal("10.5")),  # IT7 = 21, not rounded
        ("25", "js6", Decimal("-6.5"), Decimal("6.5")),
        ("25", "d9", -117, -65),
        ("25", "e8", -73, -40),
    ],
)
def test_rules_and_exceptions(nominal, fit_class, lower, upper):
    assert deviations(Decimal(nominal), fit_class) == (
        Decimal(lower) / 1000,
        Decimal(upper) / 1000,
    )


def test_a_press_fit_and_a_sliding_fit():
    """Both sides by the rows above: 8 H7 is +15/0, 8 p6 +24/+15, 8 g6 -5/-14 (micrometres)."""
    pressed = parse_fit("Ø8 H7/p6")
    assert (pressed.hole.limits.lower, pressed.hole.limits.upper) == (8, Decimal("8.015"))
    assert (pressed.shaft.limits.lower, pressed.shaft.limits.upper) == (
        Decimal("8.015"),
        Decimal("8.024"),
    )
    assert (pressed.clearance.lower, pressed.clearance.upper) == (Decimal("-0.024"), 0)
    sliding = parse_fit("H7/g6", Decimal(8))
    assert (sliding.clearance.lower, sliding.clearance.upper) == (
        Decimal("0.005"),
        Decimal("0.029"),
    )
