"""ISO 286 classes against published limits of common fits.

data/iso286_fits_examples.csv: 315 limits, each with the page that it was read from, or with the
two independent implementations that agree on it, in its `source` column.
data/iso286_more_classes.csv: further printed rows for the classes and exceptions that common fits
do not reach, among them the corrections of ISO 286-2:1988/Cor.1:2006; a blank limit is not printed.
"""

import csv
from decimal import Decimal
from pathlib import Path

import pytest

from qlog.drawing.callouts.callout import CalloutError
from qlog.drawing.callouts.reading import parse, parse_fit
from qlog.drawing.standards.iso286 import deviations
from qlog.drawing.standards.tables import rows

DATA = Path(__file__).parent / "data"
with (DATA / "iso286_fits_examples.csv").open(encoding="utf-8", newline="") as file:
    ROWS = list(csv.DictReader(file))
with (DATA / "iso286_more_classes.csv").open(encoding="utf-8", newline="") as file:
    MORE = list(csv.DictReader(file))


def test_every_published_row_is_there():
    assert len(ROWS) == 315
    assert all(row["source"] for row in (*ROWS, *MORE))


@pytest.mark.parametrize("row", ROWS, ids=[f"{r['nominal_mm']}{r['class']}" for r in ROWS])
def test_limits_of_common_fits(row):
    nominal = Decimal(row["nominal_mm"])
    lower, upper = deviations(nominal, row["class"])
    assert (upper * 1000, lower * 1000) == (Decimal(row["upper_um"]), Decimal(row["lower_um"]))
    limits = parse(f"Ø{row['nominal_mm']} {row['class']}").limits
    assert (limits.upper, limits.lower) == (Decimal(row["max_mm"]), Decimal(row["min_mm"]))


@pytest.mark.parametrize("row", MORE, ids=[f"{r['nominal_mm']}{r['class']}" for r in MORE])
def test_further_classes(row):
    lower, upper = deviations(Decimal(row["nominal_mm"]), row["class"])
    assert row["upper_um"] or row["lower_um"]
    if row["upper_um"]:
        assert upper * 1000 == Decimal(row["upper_um"])
    if row["lower_um"]:
        assert lower * 1000 == Decimal(row["lower_um"])


# Upper deviations of N, P and S: usefastener.com/knowledge/399 (EN ISO 286-1, holes N to ZC).
# M above IT8, the one special case of M6 and k outside IT4 to IT7: from memory of ISO 286-1.
@pytest.mark.parametrize(
    ("nominal", "fit_class", "lower", "upper"),
    [
        ("280", "M6", -41, -9),  # the one special case, -9 in place of -11
        ("25", "N9", -52, 0),  # N above IT8 is 0
        ("2", "N9", -29, -4),  # but not to 3 mm
        ("25", "M9", -60, -8),  # M above IT8 has no delta
        ("25", "P8", -55, -22),  # P above IT7 has no delta
        ("25", "S7", -48, -27),
        ("25", "k8", 0, 33),  # k above IT7 is 0
        ("25", "k3", 0, 4),  # and below IT4
    ],
)
def test_rules_and_exceptions(nominal, fit_class, lower, upper):
    assert deviations(Decimal(nominal), fit_class) == (
        Decimal(lower) / 1000,
        Decimal(upper) / 1000,
    )


def test_every_class_is_as_wide_as_its_grade_or_refused():
    """At both ends of every step: IT wide whatever the letter, holes mirror the shafts D to H."""
    letters = ["d", "e", "f", "g", "h", "js", "k", "m", "n", "p", "r", "s"]
    found = refused = 0
    for step in rows("iso286_it_grades_um"):
        for nominal in (
            Decimal(step["over_mm"]) + Decimal("0.001"),
            Decimal(step["up_to_incl_mm"]),
        ):
            for letter in (*letters, *(x.upper() for x in letters)):
                for grade in range(1, 15):
                    try:
                        lower, upper = deviations(nominal, f"{letter}{grade}")
                    except CalloutError:
                        refused += 1
                        continue
                    found += 1
                    assert upper - lower == Decimal(step[f"IT{grade}"]) / 1000
                    if letter in "DEFGH":
                        shaft = deviations(nominal, f"{letter.lower()}{grade}")
                        assert (-shaft[1], -shaft[0]) == (lower, upper)
    # Refused: above 3 mm K to S below IT3 and K above IT8; to 1 mm IT14, and N above IT8.
    assert refused == 12 * 2 * (6 * 2 + 6) + 24 + 5
    assert found == 13 * 2 * 24 * 14 - refused


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
