"""A correction shows what was, what it became, when that was entered, and why."""

from pathlib import Path

from qlog.drawing.build_file.load import load
from qlog.logbook.facts import Reading
from qlog.logbook.store import Logbook
from qlog.review.whole import picture_from
from tests.conftest import run_qlog
from tests.demo_record import steady_clock
from tests.review.test_mating import PLAN

MADE = "2026-03-01T10:00:00+01:00"


def height(typed: str) -> Reading:
    return Reading("cup", 10, "height", 1, typed, typed, "mm", "mic")


def test_each_correction_has_the_time_of_the_entry_that_replaced_it(tmp_path: Path) -> None:
    """The clock of the test starts at 18:00:00 UTC and goes on a second an entry."""
    folder = tmp_path / "b"
    assert run_qlog("new", str(folder)).status == 0
    (folder / "build.toml").write_text(PLAN, encoding="utf-8")
    build = load(folder / "build.toml")
    with steady_clock(), Logbook(folder / "logbook.db") as logbook:
        first = logbook.append(height("20.10"), made=MADE)
        second = logbook.append(height("20.01"), made=MADE, supersedes=first.id, reason="slip")
        logbook.append(height("20.02"), made=MADE, supersedes=second.id, reason="read again")
        picture = picture_from(build, logbook)
    series = next(s for s in picture.part("cup").series if s.dimension.id == "height")
    (reading,) = series.readings
    assert [(c.typed, c.became, c.corrected[11:], c.reason) for c in reading.corrections] == [
        ("20.01", "20.02", "19:00:02+01:00", "read again"),
        ("20.10", "20.01", "19:00:01+01:00", "slip"),
    ]


def test_a_correction_changes_the_instrument_and_the_temperature(tmp_path: Path) -> None:
    folder = tmp_path / "b"
    assert run_qlog("new", str(folder)).status == 0
    (folder / "build.toml").write_text(PLAN, encoding="utf-8")
    at = ("--build", str(folder))
    assert run_qlog(*at, "read", "cup", "10", "height", "1", "20.02").status == 0
    place = ("cup", "10", "height", "1", "20.02")
    right = run_qlog(*at, "correct", *place, "-t", "26", "--why", "it was warm")
    assert right.status == 0, right.err
    wrong = run_qlog(*at, "correct", *place, "-i", "laser", "--why", "another one")
    assert wrong.status == 2 and "no instrument 'laser'" in wrong.err
    assert run_qlog(*at, "correct", *place, "-i", "mic", "--why", "same").status == 0
    with Logbook(folder / "logbook.db") as logbook:
        (entry,) = logbook.live(Reading)
        (before, *_) = [e for e in logbook.history(Reading) if e.superseded_by is not None]
    # The temperature stays where none is given; the one of before had none.
    assert (entry.fact.temperature, before.fact.temperature) == ("26", None)
    assert entry.fact.instrument == "mic"
