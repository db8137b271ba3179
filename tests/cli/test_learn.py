"""`qlog learn`: scatter of an earlier build, written into build.toml and used wherever drift is."""

import json
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from qlog.drawing.build_file.load import load
from qlog.logbook.build_log import BuildLog
from qlog.logbook.store import FILE_NAME, Logbook
from qlog.review.part.trend import TrendSoFar
from qlog.review.whole import picture_from
from qlog.study.drift.trend_test import pool
from tests.conftest import Ran, run_qlog

Run = Callable[..., Ran]

STEADY = (22.021, 22.024, 22.019, 22.022, 22.025, 22.020, 22.023, 22.018, 22.022, 22.021)
#: The own scatter of seven pieces does not prove that they grow; with a known one it is proven.
GROWING = (22.013, 22.009, 22.018, 22.017, 22.018, 22.024, 22.027)


def ten(folder: Path, *, title: str = "") -> None:
    plan = folder / "build.toml"
    text = plan.read_text("utf-8").replace("needed = 3\nspare = 1", "needed = 10\nspare = 0")
    plan.write_text(text.replace('title = "', f'title = "{title}', 1), "utf-8")


def enter(folder: Path, values: tuple[float, ...]) -> None:
    for piece, value in enumerate(values, 1):
        run_qlog("--build", str(folder), "read", "cup", "20", "bore", str(piece), f"{value:.3f}")


@pytest.fixture
def earlier(build_dir: Path, tmp_path: Path) -> Path:
    """An earlier build of the same parts, with ten steady bores."""
    folder = tmp_path / "earlier"
    shutil.copytree(build_dir, folder)
    ten(folder, title="Earlier ")
    ten(build_dir)
    enter(folder, STEADY)
    return folder


def everything(folder: Path) -> dict[str, bytes]:
    return {str(p): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def test_what_is_learnt_stands_in_the_plan_and_the_earlier_build_is_left_alone(
    build_dir: Path, run: Run, earlier: Path
) -> None:
    before = everything(earlier)
    ran = run("learn", str(earlier))
    assert ran.status == 0
    assert "written into build.toml" in ran.out
    assert everything(earlier) == before
    (learnt,) = load(build_dir).part("cup").dimension("bore").scatter
    known = pool([(range(1, 11), STEADY)])
    assert known is not None
    assert (learnt.op, learnt.df) == (20, known.df)
    assert float(learnt.s) == pytest.approx(known.s, rel=0.005)
    text = (build_dir / "build.toml").read_text("utf-8")
    assert run("learn", str(earlier), "cup").status == 0  # twice changes nothing
    assert (build_dir / "build.toml").read_text("utf-8") == text
    assert run("plan").status == 0


def test_stream_drift_status_and_json_use_it_and_the_earlier_build_may_be_gone(
    build_dir: Path, run: Run, earlier: Path
) -> None:
    enter(build_dir, GROWING)
    assert run("drift", "cup").status == 0
    run("learn", str(earlier))
    shutil.rmtree(earlier)
    assert run("drift", "cup").status == 1
    (told,) = json.loads(run("drift", "cup", "--json").out)["dimensions"]
    found = [f for f in json.loads(run("status", "--json").out)["findings"] if f["kind"] == "drift"]
    assert told["sentence"] in found[0]["text"]
    build = load(build_dir)
    with Logbook(build_dir / FILE_NAME) as log:
        picture = picture_from(build, log)
        series = next(s for s in picture.part("cup").series if s.dimension.id == "bore")
        assert series.study is not None
        glance = TrendSoFar(build, log).glance(
            BuildLog(log).part(build.part("cup")), 20, build.part("cup").dimension("bore"), 7
        )
    assert glance is not None
    assert glance.drift == series.study.setups[-1].drift
    assert run("learn", "--forget", "cup").status == 0
    assert run("drift", "cup").status == 0
    assert "scatter" not in (build_dir / "build.toml").read_text("utf-8")


def test_unlike_is_not_learnt_and_said_why(build_dir: Path, run: Run, earlier: Path) -> None:
    plan = build_dir / "build.toml"
    own = plan.read_text("utf-8")
    for old, new, why in (
        ("Ø22 +0.05/0", "Ø22 +0.5/0", "tolerance is of another order"),
        ('kind = "boring"', 'kind = "reaming"', "cut there in another way"),
        ('id = "bore"', 'id = "socket-bore"', "has none of that name"),
    ):
        assert old in own, old
        plan.write_text(own.replace(old, new), "utf-8")
        ran = run("learn", str(earlier))
        assert (ran.status, why in ran.out) == (1, True), ran.out + ran.err
        assert plan.read_text("utf-8") == own.replace(old, new)


@pytest.mark.parametrize(
    ("harm", "said"),
    [
        (lambda folder: shutil.rmtree(folder), "no build.toml in"),
        (lambda folder: (folder / FILE_NAME).unlink(), "is not there"),
        (lambda folder: (folder / FILE_NAME).write_bytes(b"x" * 4096), "cannot be read"),
        (lambda folder: (folder / "build.toml").write_text("title ="), "has mistakes"),
    ],
)
def test_a_build_that_cannot_be_read_is_refused_in_words(
    build_dir: Path, run: Run, earlier: Path, harm: Callable[[Path], object], said: str
) -> None:
    harm(earlier)
    before = everything(build_dir)
    ran = run("learn", str(earlier))
    assert (ran.status, said in ran.err) == (2, True), ran.err
    assert everything(build_dir) == before


def test_not_from_itself_and_not_from_nowhere(build_dir: Path, run: Run) -> None:
    assert "this build itself" in run("learn", str(build_dir)).err
    assert run("learn").status == 2
    assert run("learn", "--forget").status == 0  # there is nothing to forget
