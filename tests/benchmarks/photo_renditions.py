"""Three JPEG renditions of a hundred 12-megapixel photos, beside vipsthumbnail, by hand.

    python tests/benchmarks/photo_renditions.py [--photos 100] [--rounds 3] [--folder DIR] [--heic]

Whole processes on both cores, one after the other in every round, so that a busy machine slows
all of them. Prints a table: wall and processor time, ratios, memory, likeness; then the time of
reading a photo's facts. The photos are made up (seeded), kept in DIR for another run. With --heic
they are brought into that format first, by `vips` (libvips-tools and an encoder are needed).
"""

from __future__ import annotations

import argparse
import hashlib
import json
import os
import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
from PIL import Image

ROOT = Path(__file__).resolve().parents[2]
SIZES = (1920, 960, 320)
SUMS = "sums.json"
WIDTH, HEIGHT = 4000, 3000


def make_photos(folder: Path, count: int) -> list[Path]:
    """Textured photos of 3 to 4 MB: clouds from large to small, edges, and a sensor's noise."""
    folder.mkdir(parents=True, exist_ok=True)
    paths = [folder / f"bench_{i:03}.jpg" for i in range(count)]
    rng = np.random.default_rng(20250314)
    texture = np.full((HEIGHT, WIDTH, 3), 120, np.float32)
    for cell, strength in ((500, 60), (100, 30), (25, 18), (6, 10)):
        small = rng.normal(0, 1, (HEIGHT // cell + 2, WIDTH // cell + 2, 3)).astype(np.float32)
        small = 0.35 * small + 0.8 * small.mean(2, keepdims=True)
        for band in range(3):
            cloud = Image.fromarray(small[..., band])
            texture[..., band] += strength * np.asarray(
                cloud.resize((WIDTH, HEIGHT), Image.Resampling.BICUBIC)
            )
    texture[800:2200, 1200:1216] += 90  # a straight edge, as of a machined face
    for i, path in enumerate(paths):
        if path.exists():
            continue
        noise = rng.normal(0, 4, (HEIGHT, WIDTH, 1)).astype(np.float32)
        shifted = np.roll(texture, (37 * i, 53 * i), (0, 1)) + noise
        image = Image.fromarray(np.clip(shifted, 0, 255).astype(np.uint8))
        block = Image.Exif()
        block.get_ifd(0x8769)[0x9003] = f"2025:03:14 19:{i % 60:02}:00"
        image.save(path, quality=92, exif=block)
    return paths


def ours(folder: Path, out: Path, count: int) -> None:
    sys.path.insert(0, str(ROOT))
    from qlog.record.photos.renditions import RenditionJob, render_many

    sums = json.loads((folder / SUMS).read_text(encoding="utf-8"))
    jobs = [RenditionJob(folder / name, sha256) for name, sha256 in list(sums.items())[:count]]
    outcomes = render_many(jobs, out)
    assert all(o.rendered is not None and o.rendered.made == 3 for o in outcomes)


def sums_of(folder: Path, paths: list[Path]) -> dict[str, str]:
    """The photos' sums, worked out before the time runs: the logbook knows them."""
    sums = {p.name: hashlib.sha256(p.read_bytes()).hexdigest() for p in paths}
    (folder / SUMS).write_text(json.dumps(sums), encoding="utf-8")
    return sums


def as_heic(folder: Path, paths: list[Path]) -> list[Path]:
    folder.mkdir(parents=True, exist_ok=True)
    made = [folder / f"{path.stem}.heic" for path in paths]
    for path, heic in zip(paths, made, strict=True):
        if not heic.exists():
            subprocess.run(["vips", "copy", str(path), f"{heic}[Q=60]"], check=True)
    return made


def vips(paths: list[str], out: Path, name: str, size: int) -> list[str]:
    return ["vipsthumbnail", *paths, "-s", str(size), "-o", f"{out}/{name}[Q=82,strip]"]


def timed(commands: list[list[str]], env: dict[str, str] | None = None) -> tuple[float, float]:
    """Wall and processor seconds of commands run one after the other."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    start = time.perf_counter()
    for command in commands:
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL, env=env)
    wall = time.perf_counter() - start
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    used = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return wall, used


def peak_memory(command: list[str]) -> float:
    """Peak resident memory of a command in MiB, by GNU time's way: the child's own maximum."""
    script = (
        "import resource, subprocess, sys; subprocess.run(sys.argv[1:], check=True);"
        "print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024)"
    )
    done = subprocess.run(
        [sys.executable, "-c", script, *command], check=True, capture_output=True, text=True
    )
    return float(done.stdout)


def likeness(photo: Path, picture: Path) -> float:
    """Peak signal to noise in decibels against the photo brought down by Lanczos in one step."""
    with Image.open(photo) as whole, Image.open(picture) as made:
        slow = np.asarray(whole.resize(made.size, Image.Resampling.LANCZOS), dtype=np.float32)
        difference = np.asarray(made.convert("RGB"), dtype=np.float32) - slow
    return float(10 * np.log10(255**2 / (difference**2).mean()))


def facts_time(paths: list[Path]) -> tuple[float, float]:
    """Milliseconds a photo: reading all its facts, and asking whether size and time changed."""
    sys.path.insert(0, str(ROOT))
    from qlog.intake.photos.photo_file import read

    known = {p: (read(p).bytes, p.stat().st_mtime_ns) for p in paths}
    start = time.perf_counter()
    for path in paths:
        read(path)
    whole = time.perf_counter() - start
    start = time.perf_counter()
    for path in paths:
        status = path.stat()
        assert known[path] == (status.st_size, status.st_mtime_ns)
    return 1e3 * whole / len(paths), 1e3 * (time.perf_counter() - start) / len(paths)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--photos", type=int, default=100)
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--folder", type=Path, default=Path(tempfile.gettempdir()) / "bench_photos")
    parser.add_argument("--heic", action="store_true")
    parser.add_argument("--ours", nargs=2, type=Path, help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.ours:
        ours(*options.ours, options.photos)
        return
    paths = make_photos(options.folder, options.photos)
    if options.heic:
        options.folder /= "heic"
        paths = as_heic(options.folder, paths)
        sys.path.insert(0, str(ROOT))
        __import__("pi_heif").register_heif_opener()
    sums = sums_of(options.folder, paths)
    names = [str(p) for p in paths]
    megabytes = statistics.mean(p.stat().st_size for p in paths) / 1e6
    print(f"{len(paths)} photos of {WIDTH} x {HEIGHT}, {megabytes:.1f} MB on average")
    with tempfile.TemporaryDirectory() as scratch:
        work = Path(scratch)
        out = {name: work / name for name in ("ours", "three", "cascade", "pairs")}
        own = [sys.executable, __file__, "--photos", str(len(paths)), "--ours"]
        own += [str(options.folder), str(out["ours"])]
        three = [vips(names, out["three"], f"%s-{s}.jpg", s) for s in SIZES]
        larger = [str(out["cascade"] / f"{p.stem}-1920.jpg") for p in paths]
        middle = [str(out["cascade"] / f"{p.stem}-1920-960.jpg") for p in paths]
        cascade = [
            vips(names, out["cascade"], "%s-1920.jpg", 1920),
            vips(larger, out["cascade"], "%s-960.jpg", 960),
            vips(middle, out["cascade"], "%s-320.jpg", 320),
        ]
        # Two processes of one thread each: the most that two cores get out of it.
        listing = work / "names"
        listing.write_text("\0".join(names), encoding="utf-8")
        pairs = [
            [
                *("xargs", "-0", "-P2", "-n10", "-a", str(listing), "sh", "-c"),
                f'vipsthumbnail "$@" -s {s} -o "{out["pairs"]}/%s-{s}.jpg[Q=82,strip]"',
                "sh",
            ]
            for s in SIZES
        ]
        single = {**os.environ, "VIPS_CONCURRENCY": "1"}
        found: dict[str, list[tuple[float, float]]] = {name: [] for name in out}
        for _ in range(options.rounds):
            for name, commands, env in (
                ("ours", [own], None),
                ("three", three, None),
                ("cascade", cascade, None),
                ("pairs", pairs, single),
            ):
                shutil.rmtree(out[name], ignore_errors=True)
                out[name].mkdir()
                found[name].append(timed(commands, env))
        print("\n| way | wall s | processor s | wall, ours to it | processor, ours to it |")
        print("|---|---|---|---|---|")
        for name, words in (
            ("ours", "ours, 2 threads"),
            ("three", "vipsthumbnail, three sizes"),
            ("cascade", "vipsthumbnail, its own cascade"),
            ("pairs", "vipsthumbnail, three sizes, 2 processes of 1 thread"),
        ):
            wall, used = (statistics.median(t[i] for t in found[name]) for i in (0, 1))
            ratios = [
                statistics.median(
                    a[i] / b[i] for a, b in zip(found["ours"], found[name], strict=True)
                )
                for i in (0, 1)
            ]
            print(f"| {words} | {wall:.2f} | {used:.2f} | {ratios[0]:.3f} | {ratios[1]:.3f} |")
        shutil.rmtree(out["ours"])
        print(f"\npeak memory of ours: {peak_memory(own):.0f} MiB")
        print("\n| size | likeness ours, dB | vipsthumbnail, dB | bytes ours | vipsthumbnail |")
        print("|---|---|---|---|---|")
        for size in SIZES:
            a = [out["ours"] / f"{sums[p.name][:24]}-1-{size}.jpg" for p in paths[:5]]
            b = [out["three"] / f"{p.stem}-{size}.jpg" for p in paths[:5]]
            like = [
                statistics.mean(likeness(p, q) for p, q in zip(paths[:5], made, strict=True))
                for made in (a, b)
            ]
            mean = [statistics.mean(q.stat().st_size for q in made) / 1e3 for made in (a, b)]
            print(f"| {size} | {like[0]:.2f} | {like[1]:.2f} | {mean[0]:.0f} k | {mean[1]:.0f} k |")
    whole, known = facts_time(paths)
    print(
        f"\nfacts of a photo (hash, EXIF, size): {whole:.2f} ms; known by size and time: ", end=""
    )
    print(f"{known:.4f} ms")


if __name__ == "__main__":
    main()
