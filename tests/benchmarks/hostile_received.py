"""Hand 200 and more hostile files and folders to the commands that a person would try on them.

    python tests/benchmarks/hostile_received.py

POSIX. Ends with status 1 when anything was found; the default tests try one command on each.
"""

from __future__ import annotations

import collections
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.hostile_files import cases, hand_over, outside_of, prepare


def main() -> None:
    """Hand over, look, count, say."""
    start, wrong = time.monotonic(), []
    counted: collections.Counter[str] = collections.Counter()
    tried = 0
    with tempfile.TemporaryDirectory() as name:
        top = Path(name)
        prepare(top)
        outside_of(top)
        for number, case in enumerate(cases()):
            counted[case.name.split(" ")[0].rstrip(":")] += 1
            tried += len(case.tried)
            found = hand_over(case, top / f"case{number}", top)
            wrong += found
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
