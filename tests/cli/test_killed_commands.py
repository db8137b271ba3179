"""Every command that writes, killed at random: nothing acknowledged lost, nothing left for good.

`QLOG_KILLS=1000 pytest tests/cli/test_killed_commands.py` kills more often.
"""

import os
import sys
from pathlib import Path

import pytest

from tests.conftest import run_qlog

KILLS = int(os.environ.get("QLOG_KILLS", "50"))


@pytest.mark.skipif(sys.platform == "win32", reason="forks; test_photo_kill.py kills there too")
def test_every_writing_command_can_be_killed(tmp_path: Path) -> None:
    from tests.kills import CASES, kill_all

    told = dict(kill_all(tmp_path, kills=KILLS, seed=7))
    assert len(told) == len(CASES)
    assert sum(t.kills for t in told.values()) == KILLS


def test_a_build_that_was_begun_by_half_is_begun_again(tmp_path: Path) -> None:
    (tmp_path / ".build.toml-abc.part").write_text("title = ", encoding="utf-8")
    (tmp_path / ".logbook.db-123.part").write_bytes(b"SQLite")
    (tmp_path / ".logbook.db-123.part-journal").write_bytes(b"")
    ran = run_qlog("new", str(tmp_path), "--example")
    assert ran.status == 0, ran.err
    assert sorted(p.name for p in tmp_path.iterdir()) == ["build.toml", "logbook.db"]


def test_a_plan_without_its_logbook_gets_one(tmp_path: Path) -> None:
    assert run_qlog("new", str(tmp_path), "--example").status == 0
    plan = (tmp_path / "build.toml").read_bytes()
    (tmp_path / "logbook.db").unlink()
    assert run_qlog("new", str(tmp_path)).status == 0
    assert (tmp_path / "build.toml").read_bytes() == plan
    assert run_qlog("--build", str(tmp_path), "verify").status == 0


def test_a_backup_killed_at_its_beginning_is_made_again(build_dir: Path, tmp_path: Path) -> None:
    dest = tmp_path / "dest"
    dest.mkdir()
    (dest / ".backup.json-x1.part").write_text("{", encoding="utf-8")
    ran = run_qlog("--build", str(build_dir), "backup", str(dest))
    assert ran.status == 0, ran.err
    assert not list(dest.glob("*.part"))


def test_a_copy_of_the_log_takes_a_killed_ones_remains_away(build_dir: Path) -> None:
    (build_dir / "backup").mkdir()
    (build_dir / "backup" / "logbook-20200101T000000Z.part").write_bytes(b"half")
    (build_dir / "backup" / "logbook-20200101T000000Z.part-journal").write_bytes(b"")
    assert run_qlog("--build", str(build_dir), "backup").status == 0
    assert [p.suffix for p in (build_dir / "backup").iterdir()] == [".db"]
