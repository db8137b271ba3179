"""How long the commands that study the demo take, beside Python importing click and sqlite3.

    python tests/benchmarks/demo_commands.py [--rounds 7]

Makes the demo once, then runs all by turns in fresh processes and prints medians of wall clock and
their ratios to the bare interpreter's.
"""

from __future__ import annotations

import argparse
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

BARE = [sys.executable, "-c", "import click, sqlite3"]
QLOG = [sys.executable, "-c", "import sys; from qlog.cli.main import main; sys.exit(main())"]
COMMANDS = ("status", "spread", "drift", "fit", "match")


def took(command: list[str]) -> float:
    """Wall clock of one process, in milliseconds. A finding (status 1) is fine."""
    start = time.perf_counter()
    ran = subprocess.run(command, capture_output=True, check=False)
    wall = time.perf_counter() - start
    if ran.returncode not in (0, 1):
        raise SystemExit(ran.stderr.decode())
    return 1000 * wall


def main() -> None:
    """Make the demo, run all by turns, print the table."""
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("--rounds", type=int, default=7)
    rounds = arguments.parse_args().rounds
    with tempfile.TemporaryDirectory() as folder:
        demo = str(Path(folder) / "demo")
        subprocess.run([*QLOG, "demo", demo], capture_output=True, check=True)
        commands = {"bare": BARE} | {c: [*QLOG, "--build", demo, c] for c in COMMANDS}
        for command in commands.values():
            took(command)
        times: dict[str, list[float]] = {name: [] for name in commands}
        for _ in range(rounds):
            for name, command in commands.items():
                times[name].append(took(command))
    bare = statistics.median(times["bare"])
    print("| command | ms | ratio |\n|---|---|---|")
    for name, own in times.items():
        middle = statistics.median(own)
        print(f"| {name} | {middle:.0f} | {middle / bare:.1f} |")


if __name__ == "__main__":
    main()
