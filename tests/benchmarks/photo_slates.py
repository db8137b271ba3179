"""How small, tilted and blurred a slate may be: shares found of simulated photos, by hand.

    python tests/benchmarks/photo_slates.py

Cards of the real code lie in a made-up scene of 4000 by 3000 pixels (seeded), seen by a pinhole
camera; blur is the standard deviation in pixels of the full picture.
"""

from __future__ import annotations

import sys
import time
from itertools import product
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from qlog.intake.photos.slate import Slate, find_in, payload
from tests.intake.test_slate import bench, photograph

SLATE = Slate("cup", 20, 3)


def main() -> None:
    scene = bench(1, 4000, 3000)
    rng = np.random.default_rng(3)
    print("| code over | blur 0 | 2 | 4 | 6 | ms a photo |")
    print("|---|---|---|---|---|---|")
    for part in (6, 12, 16, 20):
        shares, spent, count = [], 0.0, 0
        for blur in (0, 2, 4, 6):
            found = tried = 0
            for tilt, turn in product((0, 20, 40), (0, 17, 45, 100)):
                at = (float(rng.uniform(0.3, 0.7)), float(rng.uniform(0.3, 0.7)))
                photo = photograph(
                    scene, {at: payload(SLATE)}, share=1 / part, turn=turn, tilt=tilt, blur=blur
                ).reduce(2)
                start = time.perf_counter()
                found += find_in(photo) == (SLATE,)
                spent += time.perf_counter() - start
                tried += 1
            shares.append(f"{found} of {tried}")
            count += tried
        print(f"| 1/{part} of the width | {' | '.join(shares)} | {1e3 * spent / count:.0f} |")
    start = time.perf_counter()
    none = sum(bool(find_in(bench(seed, 2000, 1500))) for seed in range(100, 140))
    spent = time.perf_counter() - start
    print(
        f"false codes in 40 scenes without one: {none}; {1e3 * spent / 40:.0f} ms with its making"
    )


if __name__ == "__main__":
    main()
