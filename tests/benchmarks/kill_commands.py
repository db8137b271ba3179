"""Kill every command that writes, 1,000 times in all, and look for everything after each.

    python tests/benchmarks/kill_commands.py [--kills 1000] [--seed 1] [--first 1]

A run that was stopped goes on with `--first` and the number of the command it was stopped at. The
same as the sample in tests/cli/test_killed_commands.py; POSIX only.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.kills import Told, kill_all


def main() -> None:
    """Kill, look, count, say."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kills", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--first", type=int, default=1)
    asked = parser.parse_args()
    start = time.monotonic()
    total = Told()
    with tempfile.TemporaryDirectory() as folder:
        by_turns = kill_all(Path(folder), kills=asked.kills, seed=asked.seed, first=asked.first)
        for number, (case, told) in enumerate(by_turns, asked.first):
            print(
                f"{number:2}: {told.kills:4} killed, {told.ended:3} ended before, "
                f"{told.acknowledged:4} acknowledged, "
                f"{told.left:3} left something to tidy: {case.words}",
                flush=True,
            )
            for name in vars(total):
                setattr(total, name, getattr(total, name) + getattr(told, name))
    print(
        f"{total.kills} kills, {total.acknowledged} entries acknowledged, none lost, none half "
        f"entered; {total.left} left something, all of it gone after the next command; "
        f"{time.monotonic() - start:.0f} s"
    )


if __name__ == "__main__":
    main()
