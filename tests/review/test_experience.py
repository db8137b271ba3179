"""The same reading gets the same verdict at the bench, in the status and in the budget."""

from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

import pytest

from qlog.drawing.build_file.load import load
from qlog.logbook.store import Logbook
from qlog.review.instrument.budget import dimension_budget
from qlog.review.whole import picture_from
from tests.conftest import Ran

Run = Callable[..., Ran]


@pytest.fixture
def guarded(build_dir: Path) -> Path:
    plan = build_dir / "build.toml"
    plan.write_text(plan.read_text("utf-8").replace('"simple"', '"guarded"'), encoding="utf-8")
    return build_dir


def verdict_of_record(folder: Path) -> str:
    build = load(folder)
    with Logbook(folder / "logbook.db") as log:
        picture = picture_from(build, log, studied=False)
    (reading,) = (r for s in picture.part("cup").series for r in s.readings)
    return reading.word


# Micrometer: step 0.001, error 0.002: u = sqrt(0.002^2/3 + 0.001^2/12) = 0.00119, guard band
# 1.65 u = 0.00196. 22.047 lies 0.003 inside the limit of 22.05.


def test_without_checks_and_studies_the_reading_is_in(guarded: Path, run: Run) -> None:
    assert "good" in run("read", "cup", "20", "bore", "1", "22.047").out
    assert verdict_of_record(guarded) == "good"


def test_the_error_found_in_a_check_counts_everywhere(guarded: Path, run: Run) -> None:
    # An agreed error of 0.008 was found: u = 0.00463, guard band 0.0076.
    assert run("gauge", "check", "micrometer", "22", "22.008", "--allowed", "0.01").status == 0
    ran = run("read", "cup", "20", "bore", "1", "22.047")
    assert "not proven" in ran.out
    assert verdict_of_record(guarded) == "not proven"
    corrected = run("correct", "cup", "20", "bore", "1", "22.046", "--why", "read again")
    assert "not proven" in corrected.out


def test_a_repeatability_study_counts_everywhere(guarded: Path, run: Run) -> None:
    # Pieces read twice, differing by 0.006: s = 0.006 / sqrt(2) = 0.0042, guard band 0.0073.
    typed = "22.020\n22.030\n22.026\n22.036\n"
    words = ("gauge", "study", "micrometer", "cup", "bore", "--pieces", "1-2", "--repeats", "2")
    assert "repeatability" in run(*words, stdin=typed).out
    assert "not proven" in run("read", "cup", "20", "bore", "1", "22.047").out
    assert verdict_of_record(guarded) == "not proven"
    build = load(guarded)
    part = build.part("cup")
    with Logbook(guarded / "logbook.db") as log:
        picture = picture_from(build, log, studied=False)
        found = dimension_budget(
            build, log, part, part.dimension("bore"), build.instrument("micrometer")
        )
    (reading,) = (r for s in picture.part("cup").series for r in s.readings)
    assert reading.uncertainty == found.budget.combined
    assert reading.uncertainty is not None
    assert Decimal("0.0043") < reading.uncertainty < Decimal("0.0046")


def test_a_failed_check_is_no_uncertainty(guarded: Path, run: Run) -> None:
    assert run("gauge", "check", "micrometer", "22", "22.008").status == 1
    assert "good" in run("read", "cup", "20", "bore", "1", "22.047").out
    assert verdict_of_record(guarded) == "good"
