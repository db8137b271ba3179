"""How `qlog status` and `qlog spread` grow with the log, against sqlite3 reading the same rows.

    python tests/benchmarks/status_growth.py [--sizes 1000,10000,100000] [--runs 5] [--deep]

A build is made of so many parts of 20 dimensions, 25 pieces each (`--deep`: 5 parts of more and
more pieces), every place read and every operation done; values are drawn with a fixed seed.
Reference: the rows of reading and entry fetched with sqlite3 into lists, in a fresh interpreter
like the commands. Prints medians of interleaved runs, the growth a reading, and the largest memory
in use; ends with status 1 when a requirement is missed: 0.4 / 1 / 5 s, growth at most 1.1x a
reading, 500 MiB.
"""

from __future__ import annotations

import argparse
import random
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from qlog.drawing.build_file.load import load
from qlog.logbook.facts import Done, Reading
from qlog.logbook.store import FILE_NAME, Logbook, create

DIMENSIONS = 20
PIECES = 25
REACH = {1_000: 0.4, 10_000: 1.0, 100_000: 5.0}
GROWTH = 1.1
MEMORY = 500  # MiB

_REFERENCE = """
import sqlite3, sys
db = sqlite3.connect(sys.argv[1])
rows = [list(r) for r in db.execute(
    "SELECT e.*, f.* FROM reading f JOIN entry e ON e.id = f.entry ORDER BY f.entry")]
"""

_MEASURED = """
import resource, subprocess, sys
code = subprocess.call(sys.argv[1:], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss, code)
"""


def plan(parts: int, pieces: int) -> str:
    text = [
        'title = "Growth"', 'units = "mm"', 'rule = "guarded"', "[instrument.micrometer]",
        'name = "micrometer"', 'kind = "micrometer"', "step = 0.001", "error = 0.002",
    ]  # fmt: skip
    for part in range(1, parts + 1):
        text += [
            "[[part]]", f'id = "p{part}"', f'name = "Part {part}"',
            f"needed = {pieces}", "spare = 0",
        ]  # fmt: skip
        for op in range(1, 5):
            text += ["[[part.op]]", f"number = {op * 10}", f'name = "op {op}"', 'kind = "turning"']
        for dim in range(1, DIMENSIONS + 1):
            text += [
                "[[part.dim]]", f'id = "d{dim}"', f'name = "dimension {dim}"',
                f'callout = "Ø{10 + dim} ±0.03"', f"op = {10 * (1 + dim % 4)}",
                'instrument = "micrometer"', 'measures = "outside"',
            ]  # fmt: skip
    return "\n".join(text) + "\n"


def make(folder: Path, readings: int, *, deep: bool, each: int = PIECES) -> None:
    """A build folder with so many readings, on parts of `each` pieces where it is not `deep`."""
    parts = 5 if deep else max(1, readings // (DIMENSIONS * each))
    pieces = max(1, readings // (parts * DIMENSIONS))
    folder.mkdir(parents=True)
    (folder / "build.toml").write_text(plan(parts, pieces), encoding="utf-8", newline="\n")
    create(folder / FILE_NAME)
    build = load(folder)
    draw = random.Random(23)
    with Logbook(folder / FILE_NAME, revision=build.revision, source=build.source) as log:
        for part in build.parts if readings else ():
            facts: list[Done | Reading] = []
            for operation in part.operations:
                facts += [Done(part.id, operation.number, piece) for piece in part.pieces]
                for dimension in part.read_after(operation.number):
                    nominal = float(dimension.callout.nominal or 0)
                    for piece in part.pieces:
                        value = f"{draw.gauss(nominal, 0.008):.3f}"
                        facts.append(
                            Reading(
                                part.id,
                                operation.number,
                                dimension.id,
                                piece,
                                value,
                                value,
                                "mm",
                                "micrometer",
                            )
                        )
            log.append_all(facts)


def timed(words: list[str]) -> tuple[float, float]:
    """Seconds on the clock and MiB at most of one run in a fresh interpreter."""
    begun = time.perf_counter()
    answer = subprocess.run(
        [sys.executable, "-c", _MEASURED, *words],
        capture_output=True, text=True, encoding="utf-8", check=True,
    )  # fmt: skip
    seconds = time.perf_counter() - begun
    memory, code = answer.stdout.split()
    if int(code) not in (0, 1):
        raise SystemExit(f"{' '.join(words)} ended with status {code}")
    return seconds, int(memory) / 1024


def main() -> int:
    """Measure, print the table, and say what misses."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--sizes", default="1000,10000,100000")
    parser.add_argument("--runs", type=int, default=5)
    parser.add_argument("--deep", action="store_true")
    asked = parser.parse_args()
    missed = 0
    before: dict[str, tuple[int, float]] = {}
    print("readings  command     median s   x sqlite3   growth a reading   MiB")
    for size in (int(s) for s in asked.sizes.split(",")):
        with tempfile.TemporaryDirectory() as place:
            folder = Path(place) / "build"
            make(folder, size, deep=asked.deep)
            qlog = [
                sys.executable,
                "-c",
                "from qlog.cli.main import main; main()",
                "--build",
                str(folder),
            ]
            commands = {
                "sqlite3": [sys.executable, "-c", _REFERENCE, str(folder / FILE_NAME)],
                "status": [*qlog, "status"],
                "spread": [*qlog, "spread"],
            }
            runs: dict[str, list[tuple[float, float]]] = {name: [] for name in commands}
            for _ in range(asked.runs):
                for name, words in commands.items():
                    runs[name].append(timed(words))
        reference = statistics.median(t for t, _ in runs["sqlite3"])
        for name, found in runs.items():
            median, memory = statistics.median(t for t, _ in found), max(m for _, m in found)
            growth = ""
            if name in before:
                n, t = before[name]
                growth = f"{(median / size) / (t / n):.2f}"
            before[name] = (size, median)
            ratio = median / reference
            print(f"{size:8}  {name:9} {median:9.2f} {ratio:11.1f} {growth:>18} {memory:5.0f}")
            if name == "sqlite3":
                continue
            late = median > REACH.get(size, float("inf"))
            grown = growth != "" and float(growth) > GROWTH
            missed += late or grown or memory > MEMORY
    print("all reached" if not missed else f"{missed} missed")
    return int(bool(missed))


if __name__ == "__main__":
    raise SystemExit(main())
