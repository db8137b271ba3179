"""Flip 1,000 bytes of the example's logbook that change data, and find every one of them.

    python tests/benchmarks/flipped_logbook.py [--flips 1000] [--seed 1]

The same as the sample in tests/logbook/test_flipped.py. Ends with status 1 when a flip that
changed data is not found, or when anything ends in an error of another kind than qlog's own.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from qlog.cli.plan.demo import make_example
from tests.flipped import flip_at_random


def main() -> None:
    """Flip, verify, say."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--flips", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    start = time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        build = make_example(Path(folder) / "build")
        told = flip_at_random(build, Path(folder) / "flipped", flips=asked.flips, seed=asked.seed)
    print(
        f"{told.found} of {told.data} flips that changed data found, {told.other} more in space "
        f"that holds nothing, {len(told.untreated)} untreated; {time.monotonic() - start:.0f} s"
    )
    for line in told.missed + told.untreated:
        print(f"  {line}")
    sys.exit(bool(told.missed or told.untreated))


if __name__ == "__main__":
    main()
