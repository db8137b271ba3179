"""How long reading a build.toml takes in a fresh process, beyond tomllib itself.

Run by hand: python tests/benchmarks/drawing_load.py [RUNS]. Every run is a process of its own,
because a bench command is one; the smallest CPU time of all runs is the least disturbed.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[2]

FOUR_PARTS = """
import pathlib, re
text = pathlib.Path("qlog/drawing/starter.toml").read_text(encoding="utf-8")
head, parts = text.split("# --- Parts", 1)
parts, tail = parts.split("# --- Joints", 1)
twins = re.sub(r'id = "(cup|stem)"', r'id = "\\1-two"', parts)
text = head + "# --- Parts" + parts + "#" + twins + "# --- Joints" + tail
"""
TOMLLIB = """
import tomllib, decimal, time
start = time.process_time()
tomllib.loads(text, parse_float=decimal.Decimal)
print(time.process_time() - start)
"""
LOAD = """
import tomllib, decimal, dataclasses, time
start = time.process_time()
from qlog.drawing.build_file.load import load_text
imported = time.process_time()
build = load_text(text, pathlib.Path("."))
done = time.process_time()
assert len(build.parts) == 4
import sys
assert not {"numpy", "scipy", "tree_sitter", "difflib"} & set(sys.modules)
print(imported - start, done - imported, done - start)
"""


def timed(code: str, runs: int, cache: str) -> list[list[float]]:
    """The figures that the code prints, in ms, of each run but the first, which compiles."""
    settings = {**os.environ, "PYTHONPYCACHEPREFIX": cache}
    settings.pop("PYTHONDONTWRITEBYTECODE", None)
    found = []
    for _ in range(runs + 1):
        done = subprocess.run(
            [sys.executable, "-c", FOUR_PARTS + code],
            cwd=ROOT,
            env=settings,
            check=True,
            capture_output=True,
            text=True,
        )
        found.append([float(v) * 1000 for v in done.stdout.split()])
    return found[1:]


def main() -> None:
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 15
    with tempfile.TemporaryDirectory() as cache:
        (alone,) = zip(*timed(TOMLLIB, runs, cache), strict=True)
        imports, reading, whole = zip(*timed(LOAD, runs, cache), strict=True)
    for name, values in (
        ("tomllib alone", alone),
        ("our imports", imports),
        ("reading, tomllib included", reading),
        ("imports and reading", whole),
    ):
        print(f"{name:28} least {min(values):6.1f} ms  median {statistics.median(values):6.1f} ms")
    print(f"beyond tomllib: {min(whole) - min(alone):.1f} ms at least, four parts, {runs} runs")


if __name__ == "__main__":
    main()
