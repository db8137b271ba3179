"""`qlog spread`: what the pieces are, and what so few of them can tell of all that could be."""

import json
from collections.abc import Callable
from math import hypot, sqrt
from pathlib import Path
from statistics import NormalDist, mean, median, stdev

import pytest
from scipy import stats

from tests.cli.moved_bore import read_moved
from tests.conftest import Ran

Run = Callable[..., Ran]

#: Permissible error and display step of the micrometer in mm.
ERROR, STEP = 0.002, 0.001

BORES = ["22.031", "22.012", "22.027", "22.049"]


def bored(run: Run) -> None:
    for piece, value in enumerate(BORES, 1):
        run("read", "cup", "20", "bore", str(piece), value)
        run("read", "cup", "20", "look", str(piece), "go" if piece != 2 else "no-go")


def test_median_and_the_rule_stand_in_the_table(run: Run) -> None:
    bored(run)
    out = run("spread").out
    assert "median" in out
    line = next(x for x in out.splitlines() if x.strip().startswith("bore op 20"))
    assert f"{median(map(float, BORES)):.4f}" in line.split()
    assert "verdicts by the simple rule" in out
    assert "`qlog spread PART`" in out


def test_intervals_bounds_and_why_there_is_no_index(run: Run) -> None:
    bored(run)
    out = run("spread", "cup").out
    values = list(map(float, BORES))
    # Reference: scipy's own quantiles of Student's t, chi-square and Clopper-Pearson; the error
    # of the instrument joins in quadrature (GUM 5.2), and rounding can hardly move this mean.
    half = stats.t.ppf(0.975, 3) * stdev(values) / 2
    shared = stats.norm.ppf(0.975) * ERROR / sqrt(3)
    assert f"mean {mean(values) - hypot(half, shared):.4f} to" in out
    low, high = (stdev(values) * sqrt(3 / stats.chi2.ppf(q, 3)) for q in (0.975, 0.025))
    corrected = sqrt(1 - STEP**2 / 12 / stdev(values) ** 2)  # Sheppard, for the display step
    assert f"std dev {low * corrected:.4f} to {high:.4f}" in out
    # None is out, but 22.049 may be, by the chance of JCGM 106:2012, 7.4; the bound is that of
    # Clopper and Pearson for so many out of four.
    u = sqrt(ERROR**2 / 3 + STEP**2 / 12)
    chance = sum(NormalDist(v, u).cdf(22) + 1 - NormalDist(v, u).cdf(22.05) for v in values)
    bound = stats.beta.ppf(0.95, chance + 1, 4 - chance)
    assert f"share out at most {bound * 100:.0f} %" in out
    one_of_4 = stats.binomtest(1, 4).proportion_ci(0.95, "exact")
    said = f"1 of 4 failed, {one_of_4.low * 100:.0f} % to {one_of_4.high * 100:.0f} % would fail"
    assert said in out
    assert "No capability index: fewer than 10 pieces of one setup" in out


def test_json_holds_every_figure_and_each_chance(run: Run) -> None:
    bored(run)
    rows = {r["dimension"]: r for r in json.loads(run("spread", "--json").out)["dimensions"]}
    bore, look = rows["bore"], rows["look"]
    assert bore["statistics"]["median"] == "22.029"
    assert bore["confidence_95"]["capability"] is None
    assert bore["confidence_95"]["no_capability"] == "too few"
    assert look["confidence_95"]["fraction_failing"][0] > 0
    for reading in bore["readings"]:
        # JCGM 106:2012, 7.4: normal about the reading, between the limits.
        about = NormalDist(float(reading["typed"]), float(reading["standard_uncertainty"]))
        assert (
            abs(reading["probability_of_conformance"] - (about.cdf(22.05) - about.cdf(22.0))) < 1e-9
        )
        assert reading["rule"] == "simple"
    assert look["readings"][0]["probability_of_conformance"] is None


def test_a_run_rule_stands_beside_its_source_and_rate(build_dir: Path, run: Run) -> None:
    plan = build_dir / "build.toml"
    plan.write_text(plan.read_text("utf-8").replace("needed = 3", "needed = 12"), "utf-8")
    for piece in range(1, 10):
        run("read", "cup", "20", "bore", str(piece), f"22.0{10 + 3 * piece}")
    (bore,) = json.loads(run("spread", "cup", "--json").out)["dimensions"]
    rule = next(r for r in bore["run_rules"] if "rising or falling" in r["rule"])
    assert rule["pieces"] == list(range(1, 10))
    assert rule["false_alarm_a_point"] == 0.0028
    assert "Nelson 1984" in rule["source"]


@pytest.mark.parametrize(
    ("moved", "instrument", "said"),
    [
        ([22.010 + 0.002 * i for i in range(16)], "", "it drifts"),
        ([22.020 + 0.015 * (i >= 8) for i in range(16)], "", "it jumped"),
        ([22.030 - 0.020 * 2.718 ** (-i / 1.5) for i in range(16)], "", "it has settled after"),
        ([22.020 + 0.015 * (i >= 8) for i in range(16)], "caliper", "moved with how they were"),
        ([22.020 + 0.0003 * i for i in range(16)], "", "too small to matter"),
    ],
)
def test_why_there_is_no_interval_is_what_drift_found(
    build_dir: Path, run: Run, moved: list[float], instrument: str, said: str
) -> None:
    step = 0.0 if said.startswith("too small") else 0.001
    read_moved(build_dir, run, moved, needed=16, halfway=instrument, step=step)
    out = run("spread", "cup").out
    assert "no interval" in out and said in out and "several setups" not in out
    assert "No capability index: the readings move over the pieces" in out
    assert "mean 2" not in out
