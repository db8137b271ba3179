"""Photos of a mat at every slant and in every light: cut right, left whole, or cut wrongly?

    python -m tests.benchmarks.photo_mats 60

Made up by a pinhole camera of 12 megapixels (tests/mat_scenes.py), ten places, one of them empty.
Ends with status 1 when a piece is on another's picture, an empty place is taken for full, or a
colour is off by more than 12 of 255.
"""

import io
import itertools
import random
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

import numpy as np
from PIL import Image

from qlog.intake.photos.mats.rectify import cut_up
from qlog.intake.photos.slate import Slate
from tests.mat_scenes import Seen, colour, drawn, photo_of

TILTS = (0, 20, 30, 40, 50)
AXES = (0, 50, 90, 225)
LIGHTS = ({}, {"light": 0.5}, {"slope": 0.5, "tint": (1.0, 0.8, 0.55)}, {"light": 0.1})
COVERED = ((), (0,), (2,), (1, 3))


def judged(path: Path) -> tuple[str, float]:
    """What became of a photo, and how far the worst colour is off."""
    done = cut_up(path, "B7K2", {"cup": 10})
    if done is None or done.why:
        return "left whole", 0.0
    worst = 0.0
    for one in done.cuts:
        picture = np.asarray(Image.open(io.BytesIO(one.data)).convert("RGB"), dtype=float)
        y, x = picture.shape[0] * 45 // 100, picture.shape[1] // 2
        seen = picture[y - 4 : y + 4, x - 4 : x + 4].mean(axis=(0, 1)) * 255 / 235
        off = [np.abs(seen - np.array(colour(piece))).max() for piece in range(1, 11)]
        if int(np.argmin(off)) + 1 != one.piece:
            return "wrong", off[one.piece - 1]
        worst = max(worst, off[one.piece - 1])
    pieces = [one.piece for one in done.cuts]
    whole = pieces == [1, 2, 3, 4, 5, 6, 8, 9, 10] and done.empty == (7,)
    return ("right" if whole else "some left out" if 7 not in pieces else "wrong"), worst


def main(number: int) -> int:
    """So many of the scenes, drawn by chance, by tilt and by how many corners are covered."""
    mat = drawn(Slate("cup", 20, build="B7K2"), 1, 10, "a4", empty=(7,))
    found: Counter[tuple[int, int, str]] = Counter()
    worst, took = 0.0, 0.0
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "mat.jpg"
        scenes = list(itertools.product(TILTS, AXES, LIGHTS, COVERED))
        chosen = random.Random(1).sample(scenes, min(number, len(scenes)))
        for n, (tilt, axis, light, covered) in enumerate(chosen):
            seen = Seen(tilt=tilt, axis=axis, covered=covered, **light)  # type: ignore[arg-type]
            path.write_bytes(photo_of(mat, seen, (3000, 4000), n))
            began = time.process_time()
            what, off = judged(path)
            took += time.process_time() - began
            worst = max(worst, off)
            found[tilt, len(covered), what] += 1
    kinds = ("right", "some left out", "left whole", "wrong")
    print("tilt  corners covered  " + "  ".join(f"{kind:>13}" for kind in kinds))
    for tilt, covered_ in itertools.product(TILTS, (0, 1, 2)):
        counts = "  ".join(f"{found[tilt, covered_, kind]:13}" for kind in kinds)
        print(f"{tilt:4}  {covered_:15}  {counts}")
    print(f"{number} photos; colours off by {worst:.1f} at most; {took / number:.2f} s each")
    return int(worst > 12 or any(kind == "wrong" for _, _, kind in found))


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 60))
