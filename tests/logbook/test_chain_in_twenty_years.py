"""The page of the manual proves a log with Python's standard library and nothing else."""

import re
import shutil
import sqlite3
import subprocess
import sys
from importlib.resources import files
from pathlib import Path

import pytest

from qlog.logbook.facts import Reading
from qlog.logbook.store import Logbook

OLD = Path(__file__).parent / "old" / "version-1.db"


@pytest.fixture
def script(tmp_path: Path) -> Path:
    page = files("qlog.manual").joinpath("chain.md").read_text(encoding="utf-8")
    [code] = re.findall(r"```python\n(.*?)```", page, re.DOTALL)
    path = tmp_path / "check.py"
    path.write_text(code, encoding="utf-8")
    return path


def run(script: Path, log: Path) -> tuple[int, str]:
    ran = subprocess.run(
        [sys.executable, "-I", "-S", str(script), str(log)],
        capture_output=True, text=True, encoding="utf-8", check=False,
    )  # fmt: skip
    return ran.returncode, ran.stdout + ran.stderr


def test_the_script_of_the_manual_finds_the_same_head_and_an_alteration(
    script: Path, tmp_path: Path
) -> None:
    path = tmp_path / "logbook.db"
    shutil.copy(OLD, path)
    with Logbook(path) as log:
        old = log.live(Reading)[0]
        log.append(Reading("cup", 20, "bore", 9, "22", "22", "mm", note="größer\nals Ø22"))
        log.withdraw(old.id, "wrong piece")
        head = log.head()
    assert run(script, path) == (0, f"{head.entries} entries, sum {head.sum}\n")
    db = sqlite3.connect(path, isolation_level=None)
    db.execute("DROP TRIGGER note_no_update")
    db.execute("UPDATE note SET text = 'no burr'")
    db.close()
    status, said = run(script, path)
    assert (status, "is not as it was entered" in said) == (1, True)
