"""Thread limits against printed rows, and the formulas behind the tables.

data/iso965_threads.csv and data/iso965_more_threads.csv: ISO 965 and ASME B1.13M rows, each with
the page that it was read from. data/unified_threads.csv: ASME B1.1 rows, likewise; a limit that the
page itself contradicts is left out, with the reason beside it.
"""

import csv
from decimal import Decimal
from math import sqrt
from pathlib import Path

import pytest

from qlog.drawing.callouts.callout import CalloutError
from qlog.drawing.callouts.reading import parse
from qlog.drawing.standards import unified
from qlog.drawing.standards.published import rows
from qlog.drawing.units import Unit

DATA = Path(__file__).parent / "data"


def read(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


PRINTED = read("iso965_threads.csv")
MORE = read("iso965_more_threads.csv")
UNIFIED = read("unified_threads.csv")
ELEMENTS = [("6g", "major"), ("6g", "pitch"), ("6H", "minor"), ("6H", "pitch")]


def test_every_printed_row_is_there_and_names_its_source():
    assert [row["M"] for row in PRINTED] == ["3", "4", "5", "6", "8"]
    assert len(MORE) == 170 and len(UNIFIED) == 58
    tables = [rows(f"iso965_{name}") for name in ("allowances_um", "crest_um", "pitch_diameter_um")]
    assert all(row["source"] for table in (PRINTED, MORE, UNIFIED, *tables) for row in table)


@pytest.mark.parametrize("row", PRINTED, ids=[f"M{r['M']}" for r in PRINTED])
@pytest.mark.parametrize(("fit", "element"), ELEMENTS)
def test_printed_limits(row, fit, element):
    for name in (f"M{row['M']}-{fit} {element}", f"M{row['M']}x{row['pitch']}-{fit} {element}"):
        callout = parse(name)
        assert not callout.attribute
        assert callout.limits.lower == Decimal(row[f"{fit}_{element}_min"])
        assert callout.limits.upper == Decimal(row[f"{fit}_{element}_max"])
        assert callout.source.startswith("ISO 965")


@pytest.mark.parametrize(
    "row",
    MORE,
    ids=[f"M{r['M']}x{r['pitch']}-{r['class']} {r['element']} {i}" for i, r in enumerate(MORE)],
)
def test_more_metric_limits(row):
    limits = parse(f"M{row['M']}x{row['pitch']}-{row['class']} {row['element']}").limits
    assert (limits.lower, limits.upper) == (Decimal(row["min"]), Decimal(row["max"]))


@pytest.mark.parametrize(
    "row",
    UNIFIED,
    ids=[f"{r['size']}-{r['threads']} {r['class']} {i}" for i, r in enumerate(UNIFIED)],
)
def test_unified_limits(row):
    compared = 0
    for element in ("major", "minor", "pitch"):
        for side, of in (("max", "upper"), ("min", "lower")):
            if printed := row[f"{element}_{side}"]:
                name = f"{row['size']}-{row['threads']} {row['series']}-{row['class']} {element}"
                callout = parse(name, unit=Unit.INCH)
                assert callout.unit is Unit.INCH
                assert getattr(callout.limits, of) == Decimal(printed), (element, side)
                compared += 1
    assert compared >= 2


def test_the_pitches_of_metric_threads_to_m64():
    """ISO 261 coarse pitches, read alike in two public charts; a nut of class H begins at the basic
    pitch diameter, d - 0.6495 P (ISO 68-1: 3/4 of the height of the triangle, root 3 over 2 P)."""
    pitches = {
        "0.35": "1.6", "0.4": "2", "0.45": "2.5", "0.5": "3", "0.7": "4", "0.8": "5", "1": "6",
        "1.25": "8", "1.5": "10", "1.75": "12", "2": "14 16", "2.5": "18 20 22", "3": "24 27",
        "3.5": "30 33", "4": "36 39", "4.5": "42 45", "5": "48 52", "5.5": "56 60", "6": "64",
    }  # fmt: skip
    for pitch, sizes in pitches.items():
        for size in sizes.split():
            basic = float(size) - sqrt(27) / 8 * float(pitch)
            assert parse(f"M{size}-6H pitch").limits.lower == round(Decimal(basic), 3)
            for element in ("6g major", "6g pitch", "6H minor"):
                limits = parse(f"M{size}-{element}").limits
                assert limits.lower is not None and limits.upper is not None


@pytest.mark.parametrize("row", rows("iso965_pitch_diameter_um"), ids=str)
def test_the_pitch_diameter_table_agrees_with_its_formula(row):
    """ISO 965-1:1998, clause 13: Td2 6 = 90 P^0.4 d^0.1, d the mean of the range, and H4 0.85 of
    it: read as others typed the clause for a program; the other grades' factors from memory. The
    standard rounds to the R40 series and smooths, so a printed one lies within 8 %."""
    mean = sqrt(float(row["over_mm"]) * float(row["up_to_incl_mm"]))
    sixth = 90 * float(row["pitch_mm"]) ** 0.4 * mean**0.1
    factors = {"h3": 0.5, "h4": 0.63, "h5": 0.8, "h6": 1, "h7": 1.25, "h8": 1.6, "h9": 2,
               "H4": 0.85, "H5": 1.06, "H6": 1.32, "H7": 1.7, "H8": 2.12}  # fmt: skip
    for grade, factor in factors.items():
        if row[grade]:
            assert float(row[grade]) == pytest.approx(factor * sixth, rel=0.08), grade


@pytest.mark.parametrize("row", rows("iso965_crest_um"), ids=lambda r: r["pitch_mm"])
def test_the_crest_table_agrees_with_its_formulas(row):
    """ISO 965-1:1998, clause 13, all of it read as above."""
    pitch = float(row["pitch_mm"])
    minor = 433 * pitch - 190 * pitch**1.22 if pitch < 1 else 230 * pitch**0.7
    major = 180 * pitch ** (2 / 3) - 3.15 / sqrt(pitch)
    for grade, expected in (
        ("H4", 0.63 * minor), ("H5", 0.8 * minor), ("H6", minor), ("H7", 1.25 * minor),
        ("H8", 1.6 * minor), ("h4", 0.63 * major), ("h6", major), ("h8", 1.6 * major),
    ):  # fmt: skip
        if row[grade]:
            assert float(row[grade]) == pytest.approx(expected, rel=0.08), grade


@pytest.mark.parametrize("row", rows("iso965_allowances_um"), ids=lambda r: r["pitch_mm"])
def test_the_allowances_agree_with_their_formulas(row):
    """ISO 965-1:1998, clause 13, read as above: 15 + 11 P for G, g, 30 + 11 P for f, 50 + 11 P for
    e."""
    pitch = float(row["pitch_mm"])
    for position, start in (("G", 15), ("g", 15), ("f", 30), ("e", 50)):
        if row[position]:
            assert float(row[position]) == pytest.approx(start + 11 * pitch, rel=0.11), position


@pytest.mark.parametrize(
    ("text", "what", "accepted"),
    [
        ("1/4-20 UNF-2A pitch", "no UNF thread", "1/4-28 UNF"),
        ("1/4-20 UNC pitch", "without a class", "2A"),
        ("1/4-20 UNC-2A minor", "no two limits", "2A major"),
        ("1/4-24 UNS-2A pitch", "not in the series", "gauge"),
        ("1/4-21", "no 21 threads", "1/4-20 UNC, 1/4-28 UNF"),
        ("M6x5", "pitch of 5", "a pitch to 1"),
    ],
)
def test_threads_that_are_refused(text, what, accepted):
    with pytest.raises(CalloutError) as error:
        parse(text, unit=Unit.INCH)
    assert what in error.value.what and accepted in error.value.accepted


def test_the_series_know_their_sizes():
    assert unified.series_of("1/4", "20") == "UNC"
    assert unified.series_of("#10", "32") == "UNF"
    assert unified.series_of("1/4", "32") == "UNEF"
    assert unified.series_of("1/4", "21") == ""
