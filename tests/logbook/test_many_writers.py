"""Several processes write into one log together: each gets its turn, and the chain holds."""

import subprocess
import sys
from pathlib import Path

TOP = Path(__file__).parent.parent.parent


def test_four_processes_enter_two_hundred_notes_together() -> None:
    script = TOP / "tests" / "benchmarks" / "many_writers.py"
    ran = subprocess.run(
        [sys.executable, str(script), "--entries", "200"],
        capture_output=True, text=True, encoding="utf-8", check=False,
    )  # fmt: skip
    assert ran.returncode == 0, ran.stdout + ran.stderr
    assert ran.stdout.startswith("200 entries by 4 processes, 0 lost, 0 twice, 0 processes failed")
