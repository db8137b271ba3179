"""What a series means, put together from its setups: outlier readings, capability, bounds."""

from collections.abc import Callable
from decimal import Decimal
from math import sqrt
from pathlib import Path
from statistics import NormalDist

import pytest
from scipy.stats import beta

from qlog.drawing.build_file.load import load
from qlog.logbook.part_log import PartLog
from qlog.logbook.store import Logbook
from qlog.review.part.series_study import SeriesStudy
from qlog.review.part.trend import TrendSoFar
from qlog.review.whole import picture_from
from qlog.study.batch.capability import Capability, NoIndex, NoIndexReason
from tests.conftest import Ran

Run = Callable[..., Ran]

STEADY = ["22.021", "22.024", "22.019", "22.022", "22.025", "22.020", "22.023", "22.018"]


def studied(folder: Path) -> SeriesStudy:
    with Logbook(folder / "logbook.db") as log:
        picture = picture_from(load(folder), log)
    study = next(s for s in picture.part("cup").series if s.dimension.id == "bore").study
    assert study is not None
    return study


def more_pieces(folder: Path) -> None:
    plan = folder / "build.toml"
    plan.write_text(plan.read_text("utf-8").replace("needed = 3", "needed = 25"), "utf-8")


def read(run: Run, values: list[str], first: int = 1) -> None:
    for piece, value in enumerate(values, first):
        assert run("read", "cup", "20", "bore", str(piece), value).status in (0, 1)


def test_an_outlier_is_still_known_after_a_new_setup(build_dir: Path, run: Run) -> None:
    more_pieces(build_dir)
    read(run, [*STEADY[:5], "22.099", *STEADY[5:]])
    assert studied(build_dir).outlier_piece == 6
    assert run("setup", "cup", "20", "10", "re-touch").status == 0
    read(run, STEADY[:4], first=10)
    assert studied(build_dir).outlier_piece == 6
    read(run, ["22.005"], first=14)  # no outlier: five readings spread this far
    assert studied(build_dir).outlier_piece == 6


def test_clean_setups_have_no_outlier(build_dir: Path, run: Run) -> None:
    more_pieces(build_dir)
    read(run, STEADY)
    assert run("setup", "cup", "20", "9", "re-touch").status == 0
    read(run, STEADY, first=9)
    assert studied(build_dir).outlier_piece is None


def test_capability_speaks_of_the_last_setup(build_dir: Path, run: Run) -> None:
    more_pieces(build_dir)
    read(run, STEADY)
    assert run("setup", "cup", "20", "9", "re-touch").status == 0
    read(run, STEADY[:4], first=9)
    few = studied(build_dir).capability
    assert isinstance(few, NoIndex)
    assert (few.reason, few.n, few.least) == (NoIndexReason.TOO_FEW, 4, 10)
    read(run, [*STEADY[4:], *STEADY[:2]], first=13)
    enough = studied(build_dir).capability
    assert isinstance(enough, Capability)
    assert enough.n == 10


def test_what_is_not_proven_counts_in_the_bound_for_the_fraction_out(
    build_dir: Path, run: Run
) -> None:
    plan = build_dir / "build.toml"
    plan.write_text(plan.read_text("utf-8").replace('"simple"', '"guarded"'), "utf-8")
    read(run, ["22.020", "22.025", "22.0505", "22.030"])  # the third beyond, but not provably
    with Logbook(build_dir / "logbook.db") as log:
        picture = picture_from(load(build_dir), log)
    series = next(s for s in picture.part("cup").series if s.dimension.id == "bore")
    assert (series.out_high, series.not_proven) == (0, 1)
    # Each counts by its chance of being out (JCGM 106:2012, 7.4), with u of the micrometer's
    # error and step; the bound is the beta quantile of Clopper and Pearson 1934 for that count.
    u = sqrt(0.002**2 / 3 + 0.001**2 / 12)
    out = [
        NormalDist(v, u).cdf(22) + 1 - NormalDist(v, u).cdf(22.05)
        for v in (22.020, 22.025, 22.0505, 22.030)
    ]
    assert 0.6 < sum(out) < 0.7
    bound = studied(build_dir).fraction_out_at_most
    assert bound is not None
    assert bound == pytest.approx(beta.ppf(0.95, sum(out) + 1, 4 - sum(out)), rel=1e-6)


def test_the_stream_and_the_series_take_the_same_of_two_readings_of_one_place(
    build_dir: Path, run: Run
) -> None:
    """The finer instrument decides, whichever read last; its step is that of the drift."""
    more_pieces(build_dir)
    read(run, STEADY[:6])
    ran = run("read", "cup", "20", "bore", "4", "22.04", "-i", "caliper")
    assert ran.status in (0, 1), ran.err
    build = load(build_dir)
    with Logbook(build_dir / "logbook.db") as log:
        cup = build.part("cup")
        picture = picture_from(build, log)
        series = next(s for s in picture.part("cup").series if s.dimension.id == "bore")
        assert [len(r.beside) for r in series.readings] == [0, 0, 0, 1, 0, 0]
        glance = TrendSoFar(build, log).glance(PartLog.read(log, cup), 20, cup.dimension("bore"), 6)
    assert glance is not None and series.study is not None
    assert glance.drift == series.study.setups[-1].drift
    assert glance.step == series.study.step == series.step == Decimal("0.001")
    assert glance.drift.n == 6
    assert max(r.value for r in series.readings if r.value is not None) == Decimal("22.025")
