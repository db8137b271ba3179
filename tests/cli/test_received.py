"""What somebody with bad intentions hands over: an answer or a word, and no secret gets out.

One command is tried on each here; tests/benchmarks/hostile_received.py tries all of them.
"""

import sys
from pathlib import Path

import pytest

from tests.hostile_files import cases, hand_over, outside_of, prepare

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="pipes, links and limits are POSIX")


@pytest.fixture(scope="module")
def top(tmp_path_factory: pytest.TempPathFactory) -> Path:
    top = tmp_path_factory.mktemp("received")
    prepare(top)
    outside_of(top)
    return top


def test_there_are_two_hundred_of_them() -> None:
    assert len(cases()) >= 200


@pytest.mark.parametrize("kind", ["manifest", "record"])
def test_a_received_record(top: Path, kind: str) -> None:
    chosen = [c for c in cases() if c.name.startswith(f"{kind} ")]
    assert len(chosen) > 10
    for number, case in enumerate(chosen):
        assert hand_over(case, top / f"{kind}{number}", top, tried=0) == []


@pytest.mark.parametrize("kind", ["xlsx", "log", "plan", "photo", "build"])
def test_a_received_file_or_build(top: Path, kind: str) -> None:
    chosen = [c for c in cases() if c.name.startswith(kind)]
    assert len(chosen) > 5
    for number, case in enumerate(chosen[1 :: 1 + len(chosen) // 2]):
        assert hand_over(case, top / f"{kind}{number}", top, tried=number) == []
