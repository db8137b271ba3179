"""Press thousands of keys at the stream with random timing; no value may land elsewhere.

    python tests/benchmarks/type_blind.py [--keys 5000] [--seed 1]

The same as the sample in tests/cli/test_stream_terminal.py, key by key; POSIX only.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.typed_blind import type_blind


def main() -> None:
    """Type, look, say."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--keys", type=int, default=5000)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    start = time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        told = type_blind(Path(folder), keys=asked.keys, seed=asked.seed, timing=True)
    print(
        f"{told.pressed} keys, {told.entered} readings entered ({told.waited} after they had "
        f"waited), each under the prompt that the screen showed, {told.looked} of them typed "
        f"while a prompt stood still; {time.monotonic() - start:.0f} s"
    )


if __name__ == "__main__":
    main()
