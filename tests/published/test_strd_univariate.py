"""NIST StRD, univariate summary statistics and one-way analysis of variance.

Data and certified values: NIST Statistical Reference Datasets, read on the institute's own pages
(NumAcc2 to NumAcc4 are defined by a rule: 1001 values, the middle one and then the two about it in
turn).
"""

from __future__ import annotations

import csv
import math
from decimal import Decimal
from pathlib import Path

import pytest

from qlog.study.batch.summary import summarise
from qlog.study.gauge.repeatability import one_way

DATA = Path(__file__).parent / "data"

# Certified mean and standard deviation.
CERTIFIED = {
    "michelson": ("299.852400000000", "0.0790105478190518"),
    "mavro": ("2.00185600000000", "0.000429123454003053"),
    "lottery": ("518.958715596330", "291.699727470969"),
    "lew": ("-177.435000000000", "277.332168044316"),
    "numacc1": ("10000002", "1"),
    "numacc2": ("1.2", "0.1"),
    "numacc3": ("1000000.2", "0.1"),
    "numacc4": ("10000000.2", "0.1"),
}


def values_of(name: str) -> list[str]:
    if name in ("numacc2", "numacc3", "numacc4"):
        whole = {"numacc2": "1", "numacc3": "1000000", "numacc4": "10000000"}[name]
        return [f"{whole}.2"] + [f"{whole}.1", f"{whole}.3"] * 500
    with (DATA / "nist_strd_univariate.csv").open(encoding="utf-8", newline="") as file:
        return [row["value"] for row in csv.DictReader(file) if row["dataset"] == name]


@pytest.mark.parametrize("name", CERTIFIED)
@pytest.mark.parametrize("kind", [Decimal, float])
def test_mean_and_standard_deviation_to_every_certified_digit(name: str, kind: type) -> None:
    mean, s = CERTIFIED[name]
    found = summarise([kind(v) for v in values_of(name)])
    assert found.s is not None
    # The certified values carry 15 digits.
    assert abs(found.mean / Decimal(mean) - 1) < Decimal("1e-14")
    assert abs(found.s / Decimal(s) - 1) < Decimal("1e-14")


# Certified F, residual standard deviation, and the digits of the certified values.
@pytest.mark.parametrize(
    ("name", "f", "residual"),
    [
        ("sirstv", 1.18046237440255, 1.04076068334656e-01),
        ("atmwtag", 1.59467335677930e01, 1.51048314446410e-05),
    ],
)
def test_one_way_analysis_of_variance(name: str, f: float, residual: float) -> None:
    groups: dict[str, list[Decimal]] = {}
    lines = (DATA / f"nist_strd_{name}.dat").read_text(encoding="ascii").splitlines()
    for line in lines[60:]:
        instrument, value = line.split()
        groups.setdefault(instrument, []).append(Decimal(value))
    found = one_way(list(groups.values()))
    assert found.between.f is not None
    assert math.isclose(found.between.f, f, rel_tol=1e-13)
    assert math.isclose(found.s_within, residual, rel_tol=1e-13)
