"""Time of `qlog photo add` on photos of 12 megapixels, new and known; run by hand.

    nice -n 10 python tests/benchmarks/photo_add.py [COUNT]

Noise on a view, so that a photo has the size of a camera's (4 to 5 MB). Prints the time a photo
for the first call, for the second one (everything known, size and time unchanged) and the second
one with all times changed (everything hashed again), and the peak memory of the process.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from statistics import median

import numpy as np
from PIL import Image

ROUNDS = 7
ROOT = Path(__file__).parent.parent.parent
sys.path.insert(0, str(ROOT))

from qlog.drawing.build_file.load import load  # noqa: E402
from qlog.intake.photos.taking import PhotoPlace, take_in  # noqa: E402
from qlog.logbook.store import Logbook, create  # noqa: E402
from tests.conftest import SMALL_PLAN  # noqa: E402
from tests.odd_photos import exif  # noqa: E402


def make(folder: Path, count: int) -> None:
    folder.mkdir()
    rng = np.random.default_rng(7)
    base = Image.fromarray(rng.integers(0, 255, (30, 40, 3), dtype=np.uint8))
    big = np.asarray(base.resize((4000, 3000), Image.Resampling.BICUBIC), dtype=np.int16)
    noise = rng.normal(0, 9, big.shape).astype(np.int16)
    for n in range(count):
        image = Image.fromarray(np.clip(big + np.roll(noise, 97 * n), 0, 255).astype(np.uint8))
        path = folder / f"{n:04}.jpg"
        when = f"2026:02:14 10:{n // 60:02}:{n % 60:02}"
        image.save(path, "JPEG", quality=88, exif=exif(original=when))


def one_round(folder: Path, paths: list[Path], count: int, *, say: bool) -> tuple[float, float]:
    """Photos taken in three times; the processor's seconds for each that was new.

    The program's own, and with them the system's, which copies, syncs and hands out memory.
    """
    build = load(folder / "build.toml")
    spent = {}
    with Logbook(folder / "logbook.db") as logbook:
        for what in ("new", "known, unchanged", "known, time changed"):
            if what == "known, time changed":
                for path in paths:
                    os.utime(path)
            start, before = time.perf_counter(), os.times()
            taken = take_in(build, logbook, paths, PhotoPlace())
            each = (time.perf_counter() - start) / count
            after = os.times()
            own, system = after.user - before.user, after.system - before.system
            spent[what] = own / count, (own + system) / count
            assert all(t.photo is not None for t in taken)
            assert sum(t.new for t in taken) == (count if what == "new" else 0)
            if say:
                used = f"{spent[what][1] * 1000:.2f} of processor"
                print(f"{what}: {each * 1000:.2f} ms a photo, {used}")
    return spent["new"]


def main() -> None:
    if len(sys.argv) > 3:
        make(Path(sys.argv[2]), int(sys.argv[3]))
        return
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 40
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        # In a process of its own: its memory is not to be counted.
        subprocess.run(
            [sys.executable, __file__, "make", str(folder / "card"), str(count)], check=True
        )
        paths = sorted((folder / "card").iterdir())
        size = sum(p.stat().st_size for p in paths) / count / 1e6
        print(f"{count} photos of 12 megapixels, {size:.1f} MB each")
        busy = []
        for turn in range(ROUNDS):
            own = folder / f"build{turn}"
            own.mkdir()
            (own / "build.toml").write_text(SMALL_PLAN, encoding="utf-8")
            create(own / "logbook.db")
            busy.append(one_round(own, paths, count, say=turn == 0))
        for whose, times in zip(("own", "with the system's"), zip(*busy, strict=True), strict=True):
            print(
                f"new, processor time a photo, {whose}, {ROUNDS} rounds: "
                f"least {1000 * min(times):.1f} ms, median {1000 * median(times):.1f} ms"
            )
    print(f"peak memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MiB")


if __name__ == "__main__":
    main()
