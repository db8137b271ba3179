"""Peak memory of rendering the largest pictures that are taken, one process each, by hand.

    python tests/benchmarks/photo_memory.py

On Linux: the peak is read from /proc, since getrusage counts the peak of the process that made the
pictures as well. The pictures are made up, a few hundred megabytes in all, and removed again.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

from PIL import Image

ROOT = Path(__file__).resolve().parents[2]
SIDE = 13_376  # 178.9 megapixels
ONE = f"""
import sys, time
sys.path.insert(0, {str(ROOT)!r})
from pathlib import Path
from qlog.intake.photos.likeness import grey
from qlog.logbook.photos.pictures import PhotoError
from qlog.logbook.photos.pixels import load
start = time.perf_counter()
try:
    said = load(Path(sys.argv[1]), 1920) if sys.argv[2] == "load" else grey(Path(sys.argv[1]), 1600)
    said = said.size
except PhotoError as error:
    said = error.what
words = Path("/proc/self/status").read_text().split()
peak = int(words[words.index("VmHWM:") + 1]) // 1024
print(f"{{time.perf_counter() - start:.1f}} s | {{peak}} MiB | {{said}}")
"""


def main() -> None:
    Image.MAX_IMAGE_PIXELS = None
    noise = Image.effect_noise((836, 836), 60).convert("RGB")
    size = (SIDE, SIDE)
    with tempfile.TemporaryDirectory() as scratch:
        print("| picture | task | time | peak | result |\n|---|---|---|---|---|")
        for name, make, options in (
            ("plain.jpg", lambda: noise.resize(size), {}),
            ("progressive.jpg", lambda: noise.resize((12_247, 12_247)), {"progressive": True}),
            ("beyond.jpg", lambda: noise.resize(size), {"progressive": True}),
            ("packed.tif", lambda: noise.resize(size), {"compression": "tiff_lzw"}),
            ("rgb.png", lambda: Image.new("RGB", size, (9, 99, 199)), {"compress_level": 1}),
            ("alpha.png", lambda: Image.new("RGBA", size, (9, 9, 99, 9)), {"compress_level": 1}),
            ("palette.png", lambda: Image.new("P", size, 3), {"compress_level": 1}),
            ("grey16.png", lambda: Image.new("I;16", size, 30_000), {"compress_level": 1}),
        ):
            path = Path(scratch) / name
            more = {"subsampling": 0} if name.endswith("jpg") else {}
            make().save(path, **options, **more)
            for task in ("load", "grey"):
                done = subprocess.run(
                    [sys.executable, "-c", ONE, str(path), task],
                    capture_output=True,
                    text=True,
                    check=True,
                )
                print(f"| {name} | {task} | {done.stdout.strip()} |", flush=True)
            path.unlink()


if __name__ == "__main__":
    main()
