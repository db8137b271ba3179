"""Kill the stream 200 times at random instants and find everything that it acknowledged.

    python tests/benchmarks/kill_stream.py [--kills 200] [--seed 1]

The same as the sample in tests/cli/test_stream_terminal.py; POSIX only. Takes a minute or two.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.killed import kill_at_random


def main() -> None:
    """Kill, count, say."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kills", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    start = time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        told = kill_at_random(Path(folder), kills=asked.kills, seed=asked.seed)
    print(
        f"{told.kills} kills, {told.acknowledged} entries acknowledged ({told.undone} of them "
        f"taken back again), all found; {told.beyond} kills fell between commit and echo; "
        f"logbook sound after every kill; {time.monotonic() - start:.0f} s"
    )


if __name__ == "__main__":
    main()
