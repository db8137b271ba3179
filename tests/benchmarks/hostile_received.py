"""Hand 200 and more hostile files and folders to the commands that a person would try on them.

    python tests/benchmarks/hostile_received.py [--first 0] [--most 1000] [--only "build with"]

A run that was stopped goes on with `--first` and the number it came to; `--only` tries those whose
name begins so. POSIX. Ends with status 1 when anything was found; the default tests try one
command on each.
"""

from __future__ import annotations

import argparse
import collections
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.hostile_files import cases, hand_over, outside_of, prepare


def main() -> None:
    """Hand over, look, count, say."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--most", type=int, default=1000)
    parser.add_argument("--only", default="")
    asked = parser.parse_args()
    start, wrong = time.monotonic(), []
    counted: collections.Counter[str] = collections.Counter()
    tried = 0
    with tempfile.TemporaryDirectory() as name:
        top = Path(name)
        prepare(top)
        outside_of(top)
        numbered = [(n, c) for n, c in enumerate(cases()) if c.name.startswith(asked.only)]
        for number, case in numbered[asked.first : asked.first + asked.most]:
            counted[case.name.split(" ")[0].rstrip(":")] += 1
            tried += len(case.tried)
            found = hand_over(case, top / f"case{number}", top)
            wrong += found
            if number % 20 == 19:
                print(f"{number + 1}: {time.monotonic() - start:.0f} s", flush=True)
            for line in found:
                print(f"  {line}", flush=True)
    kinds = ", ".join(f"{n} {kind}" for kind, n in counted.most_common())
    print(
        f"{counted.total()} hostile things ({kinds}), {tried} commands tried on them, "
        f"{len(wrong)} found; {time.monotonic() - start:.0f} s"
    )
    sys.exit(bool(wrong))


if __name__ == "__main__":
    main()
