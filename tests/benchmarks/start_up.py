"""How long one reading and `qlog --help` take, beside Python importing click and sqlite3.

    python tests/benchmarks/start_up.py [--pairs 41]

Runs all by turns in fresh processes, on the demo's plan (guarded rule), and prints medians of
wall clock and of processor time, and their ratios. Modules are compiled once beforehand, as an
installation leaves them: some environments forbid Python to keep them compiled.
"""

from __future__ import annotations

import argparse
import os
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

TOP = Path(__file__).parents[2]
BARE = [sys.executable, "-c", "import click, sqlite3"]
#: As the installed `qlog` script does.
QLOG = [sys.executable, "-c", "import sys; from qlog.__main__ import main; sys.exit(main())"]


def run(command: list[str], folder: Path, environment: dict[str, str]) -> tuple[float, float]:
    """Wall clock and processor time of one process, in milliseconds."""
    start = time.perf_counter()
    process = subprocess.Popen(
        command, cwd=folder, env=environment, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )
    assert process.stdout is not None and process.stderr is not None
    out, said = process.stdout.read(), process.stderr.read()
    _, status, used = os.wait4(process.pid, 0)  # to the microsecond, unlike os.times
    process.returncode = os.waitstatus_to_exitcode(status)
    wall = time.perf_counter() - start
    if process.returncode or said:
        raise SystemExit(f"{command}: {said!r}{out!r}")
    return wall * 1e3, (used.ru_utime + used.ru_stime) * 1e3


def main() -> None:
    """Time both and print the ratios."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--pairs", type=int, default=41)
    parser.add_argument("--no-kept-plan", action="store_true", help="read build.toml every time")
    given = parser.parse_args()
    pairs, off = given.pairs, given.no_kept_plan
    from qlog.logbook.store import create

    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        shutil.copytree(TOP / "demo" / "drawings", folder / "drawings")
        shutil.copyfile(TOP / "demo" / "build.toml", folder / "build.toml")
        environment = os.environ | {
            "PYTHONPYCACHEPREFIX": str(folder / "compiled"),
            "QLOG_CACHE": "" if off else str(folder / "cache"),
        }
        environment.pop("PYTHONDONTWRITEBYTECODE", None)
        bare: list[tuple[float, float]] = []
        read: list[tuple[float, float]] = []
        shown: list[tuple[float, float]] = []
        for turn in range(-2, pairs):
            if turn % 10 in (0, 8):  # ten pieces fill the batch: begin again with an empty logbook
                (folder / "logbook.db").unlink(missing_ok=True)
                create(folder / "logbook.db")
            times = (
                run(BARE, folder, environment),
                run(
                    [
                        *QLOG,
                        "read",
                        "foot",
                        "10",
                        "bore",
                        str(turn % 10 + 1),
                        f"14.0{turn % 7 + 10}",
                    ],
                    folder,
                    environment,
                ),
                run([*QLOG, "--help"], folder, environment),
            )
            if turn >= 0:  # the first two only compile
                bare.append(times[0])
                read.append(times[1])
                shown.append(times[2])
    for index, what in enumerate(("wall clock", "processor time")):
        a = statistics.median(r[index] for r in bare)
        for name, runs in (("one reading", read), ("--help", shown)):
            b = statistics.median(r[index] for r in runs)
            ratio = f"ratio {b / a:.2f} ({pairs} pairs)"
            print(f"{what}: bare {a:.1f} ms, {name} {b:.1f} ms, {ratio}")


if __name__ == "__main__":
    main()
