"""100,000 random inputs of every kind: only our own error, none over 5 s, none over 1 GiB.

The seconds are the processor's, so that other programs' work is not counted; a case that waits
for a minute of clock time is found too. Four runs of 25,000 with seeds of their own are as good as
one of 100,000, and a stop loses one of them.

    python tests/benchmarks/fuzz.py [--cases 100000] [--seed 1]

The same as the sample in tests/test_fuzzed.py. Memory is limited for the whole process (POSIX), a
case that hangs is interrupted. Ends with status 1 when anything was found.
"""

from __future__ import annotations

import argparse
import faulthandler
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.fuzzing import MEMORY, fuzz


def main() -> None:
    """Limit, fuzz, say."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--cases", type=int, default=100_000)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    faulthandler.enable()
    used = 0
    if sys.platform != "win32":
        import resource

        # Address space: what libraries reserve at first is no use of theirs, hence beside 1 GiB.
        reserved = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[0]) * 4096
        resource.setrlimit(resource.RLIMIT_AS, (reserved + 2 * MEMORY, reserved + 2 * MEMORY))
    start = time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        found = fuzz(Path(folder), cases=asked.cases, seed=asked.seed)
    if sys.platform != "win32":
        used = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024
    kinds = ", ".join(f"{n} {kind}" for kind, n in found.cases.most_common())
    print(
        f"{sum(found.cases.values())} cases ({kinds}): {found.refused} refused in our own words, "
        f"{len(found.finds)} found; slowest {found.slowest:.2f} s of processor, memory at most "
        f"{used / 2**20:.0f} MiB; {time.monotonic() - start:.0f} s"
    )
    for line in found.finds[:50]:
        print(f"  {line}")
    sys.exit(bool(found.finds) or used > MEMORY)


if __name__ == "__main__":
    main()
