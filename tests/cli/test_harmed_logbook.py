"""A logbook that is harmed or not there ends every command in a word, never in a traceback."""

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.conftest import Ran


@pytest.mark.parametrize(
    ("words", "status"),
    [(("status",), 2), (("read", "cup", "10", "height", "1", "32"), 2), (("verify",), 1)],
)
def test_a_logbook_harmed_in_the_middle(
    build_dir: Path, run: Callable[..., Ran], words: tuple[str, ...], status: int
) -> None:
    path = build_dir / "logbook.db"
    raw = bytearray(path.read_bytes())
    raw[4096:] = b"\xff" * (len(raw) - 4096)
    path.write_bytes(raw)
    ran = run(*words)
    assert ran.status == status
    assert "logbook" in ran.err and ("qlog restore" in ran.err or "qlog verify" in ran.err)


@pytest.mark.parametrize("words", [("verify",), ("backup",), ("status",)])
def test_a_missing_logbook_is_not_made_by_looking_for_it(
    build_dir: Path, run: Callable[..., Ran], words: tuple[str, ...]
) -> None:
    (build_dir / "logbook.db").unlink()
    ran = run(*words)
    assert ran.status == 2
    assert "no logbook at" in ran.err
    assert not (build_dir / "logbook.db").exists()


def test_a_plan_without_a_logbook_gets_one(build_dir: Path, run: Callable[..., Ran]) -> None:
    (build_dir / "logbook.db").unlink()
    plan = (build_dir / "build.toml").read_bytes()
    assert run("new", str(build_dir)).status == 0
    assert (build_dir / "build.toml").read_bytes() == plan
    assert run("status").status == 0
    again = run("new", str(build_dir))
    assert (again.status, "exists already" in again.err) == (2, True)
