"""A record of photos of 12 megapixels: made first, after one reading and one photo, and again.

    python -m tests.benchmarks.record_cold [--photos 500] [--rounds 5] [--folder DIR]

Five parts of twelve pieces and eight dimensions, entered directly, and so many photos, of which
twenty are pictures of their own (seeded, kept in DIR) and the rest the same with other bytes. In
every round, each in a fresh process: vipsthumbnail makes the three renditions of every photo,
`qlog record` makes both editions from nothing, then again after one reading was corrected and one
photo placed, then as they stand. Prints medians, by the clock and of processor, the ratio to
vipsthumbnail and to the cold record, and what files the change wrote; ends with status 1 when a
requirement is missed: cold 0.40 times vipsthumbnail by the clock, changed under 3 % of cold.
"""

from __future__ import annotations

import argparse
import hashlib
import os
import shutil
import statistics
import sys
import tempfile
import time
from pathlib import Path

from qlog.drawing.build_file.load import load
from qlog.logbook.facts import Photo, Placement, Reading
from qlog.logbook.store import FILE_NAME, Logbook
from qlog.record.publish import manifest
from tests.benchmarks import big_build
from tests.benchmarks.__main__ import QLOG, taken
from tests.benchmarks.photo_renditions import HEIGHT, SIZES, WIDTH, make_photos, vips

COLD, CHANGED = 0.40, 0.03
Time = tuple[float, float]


def originals(folder: Path, pictures: list[Path], count: int) -> list[Photo]:
    """So many originals of a build, every one with bytes of its own."""
    made = []
    for n in range(count):
        data, own = pictures[n % len(pictures)].read_bytes(), f"{n:06}".encode()
        data = data[:2] + b"\xff\xfe" + (len(own) + 2).to_bytes(2, "big") + own + data[2:]
        sha256 = hashlib.sha256(data).hexdigest()
        place = folder / "photos" / sha256[:2]
        place.mkdir(parents=True, exist_ok=True)
        (place / f"{sha256}.jpg").write_bytes(data)
        when = f"2026-01-{5 + n // 60 % 25:02}T19:{n % 60:02}:00"
        made.append(
            Photo(sha256, f"IMG_{n:05}.jpg", len(data), "JPEG", WIDTH, HEIGHT, taken=when,
                  basis="original", offset="+00:00", likeness=f"{n * 2654435761 % 2**64:016x}")
        )  # fmt: skip
    return made


def placed(folder: Path, photos: list[Photo], first: int = 0) -> None:
    """Enter photos, spread over the parts' pieces."""
    build = load(folder / "build.toml")
    places = [(part.id, piece) for part in build.parts for piece in part.pieces]
    with Logbook(folder / FILE_NAME, revision=build.revision, source=build.source) as log:
        log.append_all(photos)
        shown = [(p, *places[n % len(places)]) for n, p in enumerate(photos, start=first)]
        log.append_all([Placement(p.sha256, part, 20, piece) for p, part, piece in shown])


def corrected(folder: Path, turn: int) -> None:
    """One reading gets another value."""
    with Logbook(folder / FILE_NAME) as log:
        entry = log.live(Reading)[turn]
        old = entry.fact
        size = f"{float(old.value or 0) + 0.001:.3f}"
        new = Reading(old.part, old.op, old.dimension, old.piece, size, size, old.unit,
                      old.instrument)  # fmt: skip
        log.append(new, supersedes=entry.id, reason="read the wrong line")


def timed(*commands: list[str]) -> Time:
    """Seconds by the clock and of processor of commands one after the other."""
    begun = time.perf_counter()
    used = sum(taken(command) for command in commands)
    return time.perf_counter() - begun, used


def sums(record: Path) -> dict[str, str]:
    """Every file of both editions with its sum, read from the disk."""
    return {
        f"{folder.name}/{path}": manifest.digest(folder / path)
        for folder in record.iterdir()
        for path in manifest.files_of(folder)
    }


def main() -> int:
    """Measure, print the table, and say what misses."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--photos", type=int, default=500)
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--folder", type=Path, default=Path(tempfile.gettempdir()) / "bench_photos")
    asked = parser.parse_args()
    pictures = make_photos(asked.folder, min(20, asked.photos))
    found: dict[str, list[Time]] = {"vips": [], "cold": [], "changed": [], "again": []}
    written: list[list[str]] = []
    with tempfile.TemporaryDirectory() as name:
        folder, thumbs = Path(name) / "build", Path(name) / "thumbs"
        os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
        os.environ["PYTHONPYCACHEPREFIX"] = str(Path(name) / "compiled")
        os.environ["QLOG_CACHE"] = str(Path(name) / "cache")
        big_build.make(folder, 5, 12, 8)
        every = originals(folder, pictures, asked.photos + asked.rounds)
        shown, more = every[: asked.photos], every[asked.photos :]
        placed(folder, shown)
        paths = [str(folder / "photos" / p.sha256[:2] / f"{p.sha256}.jpg") for p in shown]
        record = [*QLOG, "--build", str(folder), "record"]
        timed([*QLOG, "--build", str(folder), "status"])
        for turn in range(asked.rounds):
            for left in (thumbs, folder / "record", folder / ".kept"):
                shutil.rmtree(left, ignore_errors=True)
            thumbs.mkdir()
            found["vips"].append(timed(*(vips(paths, thumbs, f"%s-{s}.jpg", s) for s in SIZES)))
            found["cold"].append(timed(record))
            before = sums(folder / "record")
            corrected(folder, turn)
            placed(folder, more[turn : turn + 1], asked.photos + turn)
            found["changed"].append(timed(record))
            after = sums(folder / "record")
            written.append(sorted(path for path in after if after[path] != before.get(path)))
            found["again"].append(timed(record))
    middle = {
        n: tuple(statistics.median(t[i] for t in own) for i in (0, 1)) for n, own in found.items()
    }
    by_clock = statistics.median(
        c[0] / v[0] for c, v in zip(found["cold"], found["vips"], strict=True)
    )
    share = statistics.median(
        c[1] / v[1] for c, v in zip(found["changed"], found["cold"], strict=True)
    )
    print(f"{asked.photos} photos of {WIDTH} x {HEIGHT}, medians of {asked.rounds}\n")
    print("| what | wall s | processor s |\n|---|---|---|")
    for own, words in (
        ("vips", "vipsthumbnail, three sizes of each photo"),
        ("cold", "record, both editions, from nothing"),
        ("changed", "record after one reading and one photo"),
        ("again", "record as it stands"),
    ):
        print(f"| {words} | {middle[own][0]:.2f} | {middle[own][1]:.2f} |")
    print(f"\ncold: {by_clock:.3f} times vipsthumbnail by the clock (at most {COLD})")
    print(f"changed: {share:.1%} of cold by the processor (under {CHANGED:.0%}), "
          f"{statistics.median(len(w) for w in written):g} files of {len(after)}:")  # fmt: skip
    print("  " + " ".join(written[-1]))
    return int(by_clock > COLD or share >= CHANGED)


if __name__ == "__main__":
    sys.exit(main())
