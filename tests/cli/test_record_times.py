"""A record says when it was built; built again without a change it stays as it was."""

import json
from datetime import datetime
from pathlib import Path

import pytest

from tests.conftest import run_qlog

#: 2100-01-01 and 2001-09-09, as reproducible builds name the time.
LATE, EARLY = "4102444800", "1000000000"


def built(folder: Path) -> tuple[str, datetime]:
    """What `qlog record` said, and when the record says that it was built."""
    ran = run_qlog("--build", str(folder), "record", "--for", "maker")
    assert ran.status == 0, ran.err
    told = json.loads((folder / "record" / "maker" / "record.json").read_text("utf-8"))
    return ran.out, datetime.fromisoformat(told["made_at"])


def test_it_is_dated_when_it_was_built_and_keeps_that_until_something_changes(
    build_dir: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    run_qlog("--build", str(build_dir), "read", "cup", "20", "bore", "1", "22.01")
    monkeypatch.setenv("SOURCE_DATE_EPOCH", LATE)
    assert built(build_dir)[1].timestamp() == int(LATE)
    monkeypatch.setenv("SOURCE_DATE_EPOCH", str(int(LATE) + 60))
    said, when = built(build_dir)
    assert (", 0 files written" in said, when.timestamp()) == (True, int(LATE))
    run_qlog("--build", str(build_dir), "note", "cup", "slower next time")
    assert built(build_dir)[1].timestamp() == int(LATE) + 60


def test_a_clock_behind_the_log_dates_nothing_before_what_it_holds(
    build_dir: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    run_qlog("--build", str(build_dir), "read", "cup", "20", "bore", "1", "22.01")
    monkeypatch.setenv("SOURCE_DATE_EPOCH", EARLY)
    assert built(build_dir)[1].year > 2001
