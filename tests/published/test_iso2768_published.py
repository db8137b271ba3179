"""ISO 2768-1 general tolerances against a printed sheet, and by rule where none was read.

Lengths: a supplier's printed sheet of DIN ISO 2768-1, Table 1, read in the open, other than those
from which the table that ships was made. Its rows f, m and v count in full; its row c differs from
all other prints up to 6 mm and counts beyond. Angles: a tool supplier's open page on general
tolerances, whose print has lost the whole degrees; what is left of it counts. Edges and the other
angles: no other print was read; they are held to the order that the standard keeps (larger sizes
and coarser classes are never narrower, an angle's limits never wider with a longer side).
"""

from decimal import Decimal
from itertools import pairwise

import pytest

from qlog.drawing.callouts.callout import CalloutError
from qlog.drawing.callouts.reading import parse

#: Upper ends of the steps of lengths, mm.
ENDS = ("3", "6", "30", "120", "400", "1000", "2000", "4000")
PRINTED = {
    "f": ("0.05", "0.05", "0.1", "0.15", "0.2", "0.3", "0.5", None),
    "m": ("0.1", "0.1", "0.2", "0.3", "0.5", "0.8", "1.2", "2"),
    "c": ("", "", "0.5", "0.8", "1.2", "2", "3", "4"),  # "": not taken from this print
    "v": (None, "0.5", "1", "1.5", "2.5", "4", "6", "8"),
}
CLASSES = ("f", "m", "c", "v")


def deviation(text: str, general: str) -> Decimal | None:
    """The deviation of a callout without tolerance, which is the same both ways; None for none."""
    try:
        callout = parse(text, general=general)
    except CalloutError as error:
        assert "has no value" in str(error)
        return None
    limits, nominal = callout.limits, callout.nominal
    assert limits.upper is not None and limits.lower is not None and nominal is not None
    assert callout.general and callout.source == f"ISO 2768-1 {general}"
    assert abs((limits.upper - nominal) - (nominal - limits.lower)) < Decimal("1e-20")
    return limits.upper - nominal


@pytest.mark.parametrize("general", CLASSES)
@pytest.mark.parametrize("step", range(len(ENDS)))
def test_lengths_at_both_ends_of_every_step(step: int, general: str) -> None:
    printed = PRINTED[general][step]
    if printed == "":
        return
    first = Decimal("0.5") if step == 0 else Decimal(ENDS[step - 1]) + Decimal("0.001")
    for size in (first, Decimal(ENDS[step])):
        for text in (f"{size}", f"Ø{size}", f"depth {size}"):
            assert deviation(text, general) == (None if printed is None else Decimal(printed))


@pytest.mark.parametrize("general", CLASSES)
@pytest.mark.parametrize("form", ["{}", "R{}", "{} x 45°"])
def test_larger_sizes_are_never_held_closer(form: str, general: str) -> None:
    found = [deviation(form.format(s), general) for s in ("1", "4", "7", "50", "200", "600")]
    known = [d for d in found if d is not None]
    assert len(known) >= 5 and all(a <= b for a, b in pairwise(known))


@pytest.mark.parametrize(
    ("general", "minutes"),  # by the shorter side, mm
    [
        ("f", {"50": 30, "120": 20, "400": 10, "401": 5}),
        ("m", {"50": 30, "120": 20, "400": 10, "401": 5}),
        ("c", {"10": 90, "120": 30, "400": 15, "401": 10}),
        ("v", {"400": 30, "401": 20}),
    ],
)
def test_angles_as_printed(general: str, minutes: dict[str, int]) -> None:
    for side, printed in minutes.items():
        found = deviation(f"60° side {side}", general)
        assert found is not None and round(found * 60, 9) == printed


@pytest.mark.parametrize("general", CLASSES)
def test_longer_sides_of_an_angle_are_never_held_less_closely(general: str) -> None:
    found = [deviation(f"60° side {s}", general) for s in ("8", "30", "90", "300", "600")]
    known = [d for d in found if d is not None]
    assert len(known) == 5 and all(a >= b for a, b in pairwise(known))


@pytest.mark.parametrize("form", ["7", "R7", "7 x 45°", "60° side 30", "200", "R1"])
def test_coarser_classes_are_never_narrower(form: str) -> None:
    known = [d for d in (deviation(form, c) for c in CLASSES) if d is not None]
    assert len(known) >= 3 and all(a <= b for a, b in pairwise(known))


@pytest.mark.parametrize("text", ["0.4", "R0.2", "0.3 x 45°"])
def test_below_half_a_millimetre_the_standard_asks_for_a_tolerance(text: str) -> None:
    with pytest.raises(CalloutError, match=r"below 0\.5 mm"):
        parse(text, general="m")


def test_beyond_the_table() -> None:
    with pytest.raises(CalloutError, match="has no value"):
        parse("4000.1", general="m")
