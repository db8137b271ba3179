"""What a record costs that is built again when nothing changed, by the number of photos.

    python -m tests.benchmarks.record_again 5000

Small photos that are all their own, three renditions each (their bounds are made small for it),
entered directly. Prints seconds of processor and by the clock for building one edition the first
time, again, and again after one photo was shown to nobody; and where the time of the second went.
"""

import cProfile
import hashlib
import io
import pstats
import sys
import tempfile
import time
from pathlib import Path

from PIL import Image

from qlog.drawing.build_file.load import load
from qlog.intake.photos import edits
from qlog.logbook.facts import Photo, Placement
from qlog.logbook.store import Logbook, create
from qlog.record.photos import renditions
from qlog.record.publish.build import build_record
from qlog.review.whole import picture_from
from tests.conftest import SMALL_PLAN


def photos(folder: Path, count: int) -> list[Photo]:
    """So many originals, each a JPEG of its own."""
    made = []
    for n in range(count):
        out = io.BytesIO()
        picture = Image.new("RGB", (64, 48), (n % 256, n // 256 % 256, 90))
        picture.save(out, "JPEG", comment=str(n).encode())
        data = out.getvalue()
        sha256 = hashlib.sha256(data).hexdigest()
        place = folder / "photos" / sha256[:2]
        place.mkdir(parents=True, exist_ok=True)
        (place / f"{sha256}.jpg").write_bytes(data)
        when = (
            f"2026-07-{1 + n // 3600 % 28:02}T{10 + n // 3600 % 10}:{n // 60 % 60:02}:{n % 60:02}"
        )
        made.append(
            Photo(sha256, f"IMG_{n:05}.jpg", len(data), "JPEG", 64, 48, taken=when,
                  basis="original", offset="+00:00", likeness=f"{n * 2654435761 % 2**64:016x}")
        )  # fmt: skip
    return made


def timed(folder: Path, what: str, profile: bool = False) -> None:
    """Build the maker's edition and say what it cost."""
    build = load(folder / "build.toml")
    with Logbook(folder / "logbook.db") as logbook:
        picture = picture_from(build, logbook, mated=True)
    profiler = cProfile.Profile()
    clock, busy = time.perf_counter(), time.process_time()
    if profile:
        profiler.enable()
    built = build_record(
        picture, edition="maker", out=folder / "record" / "maker", originals=folder,
        made_at=picture.last or "", version="0",
    )  # fmt: skip
    profiler.disable()
    busy, clock = time.process_time() - busy, time.perf_counter() - clock
    print(f"{what}: {busy:.2f} s of processor, {clock:.2f} s; {built.changed} files written")
    if profile:
        pstats.Stats(profiler).sort_stats("cumulative").print_stats(18)


def main(count: int) -> None:
    """First, again, and after a change."""
    renditions.SIZES = (16, 32, 64)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "build.toml").write_text(SMALL_PLAN, encoding="utf-8")
        create(folder / "logbook.db")
        made = photos(folder, count)
        with Logbook(folder / "logbook.db") as logbook:
            logbook.append_all(made)
            logbook.append_all(
                [Placement(p.sha256, "cup", 10, n % 4 + 1) for n, p in enumerate(made)]
            )
        print(f"{count} photos, three renditions each")
        timed(folder, "first")
        timed(folder, "again")
        timed(folder, "again")
        with Logbook(folder / "logbook.db") as logbook:
            edits.show(logbook, made[:1], "nobody")
        timed(folder, "one photo less")
        timed(folder, "again, watched", profile=True)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 5000)
