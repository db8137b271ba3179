"""How heavy the pages of a dimension with thousands of readings are, and how quickly they open.

    python -m tests.benchmarks.large_dimension [--readings 5000] [--runs 5]

One part, one dimension, as many pieces as a part may have (2,000 at most), each read and corrected
by turns until there are so many readings (seeded), a setup every fiftieth piece. The maker's
edition is built; leaves of the dimension's page are opened in Chromium from the disk, by turns with
an empty page: kB of HTML, and seconds by the clock until it is loaded and painted, opening a tab
among them. Ends with status 1 when a leaf is over 500 kB or takes more than 1 s.
"""

from __future__ import annotations

import argparse
import random
import statistics
import sys
import tempfile
import time
from pathlib import Path

from playwright.sync_api import sync_playwright

from qlog.drawing.build_file.load import load
from qlog.logbook.facts import Done, Fact, Reading, Setup
from qlog.logbook.store import FILE_NAME, Logbook, create
from qlog.record.publish.build import build_record
from qlog.review.whole import picture_from
from tests.browser.conftest import FLAGS, chromium

KB, SECONDS = 500, 1.0
MOST = 1000  # pieces needed of a part, and spare ones
PLAN = """
title = "Many stems"
units = "mm"
rule = "guarded"
[instrument.micrometer]
name = "micrometer"
kind = "micrometer"
step = 0.001
error = 0.002
[[part]]
id = "stem"
name = "Stem"
needed = {needed}
spare = {spare}
[[part.op]]
number = 10
name = "turn"
kind = "turning"
[[part.dim]]
id = "tip"
name = "tip"
callout = "Ø10 ±0.03"
op = 10
instrument = "micrometer"
measures = "outside"
"""


def make(folder: Path, readings: int) -> None:
    """Enter the build into a folder that is not there yet."""
    folder.mkdir(parents=True)
    pieces = min(readings, 2 * MOST)
    needed = min(pieces, MOST)
    text = PLAN.format(needed=needed, spare=pieces - needed)
    (folder / "build.toml").write_text(text, encoding="utf-8")
    create(folder / FILE_NAME)
    build, draw = load(folder / "build.toml"), random.Random(5)

    def read(piece: int) -> Reading:
        size = f"{draw.gauss(10, 0.008):.3f}"
        return Reading("stem", 10, "tip", piece, size, size, "mm", "micrometer")

    facts: list[Fact] = []
    for piece in range(1, pieces + 1):
        if piece % 50 == 1 and piece > 1:
            facts.append(Setup("stem", 10, piece, "tool change"))
        facts += [Done("stem", 10, piece), read(piece)]
    with Logbook(folder / FILE_NAME, revision=build.revision, source=build.source) as log:
        entries = log.append_all(facts)
        last = {e.fact.piece: e.id for e in entries if isinstance(e.fact, Reading)}
        with log.together():
            for n in range(readings - pieces):
                piece = n % pieces + 1
                entry = log.append(read(piece), supersedes=last[piece], reason="read again")
                last[piece] = entry.id


def opened(paths: list[Path], runs: int) -> dict[Path, float]:
    """Median seconds from the start until a page is loaded and two frames were painted."""
    found: dict[Path, list[float]] = {path: [] for path in paths}
    frames = "() => new Promise(r => requestAnimationFrame(() => requestAnimationFrame(r)))"
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium(), args=FLAGS)
        for turn in range(-1, runs):
            for path in paths:
                page = browser.new_page(viewport={"width": 1280, "height": 800})
                begun = time.perf_counter()
                page.goto(path.as_uri(), wait_until="load", timeout=120_000)
                page.evaluate(frames)
                if turn >= 0:
                    found[path].append(time.perf_counter() - begun)
                page.close()
        browser.close()
    return {path: statistics.median(times) for path, times in found.items()}


def main() -> int:
    """Make the build and its record, open the pages, and say what misses."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--readings", type=int, default=5000)
    parser.add_argument("--runs", type=int, default=5)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "build"
        make(folder, asked.readings)
        begun = time.process_time()
        with Logbook(folder / FILE_NAME) as log:
            picture = picture_from(load(folder / "build.toml"), log, mated=True, dated=True)
        built = build_record(
            picture, edition="maker", out=folder / "record", originals=folder,
            made_at="", version="0",
        )  # fmt: skip
        print(f"{asked.readings} readings: {built.pages} pages, built in "
              f"{time.process_time() - begun:.1f} s of processor")  # fmt: skip
        empty = Path(name) / "empty.html"
        empty.write_text("<!doctype html><title>empty</title>", encoding="utf-8")
        pages = sorted((folder / "record" / "dimensions").glob("*.html"))
        times = opened([empty, *pages[:5], *pages[-1:]], asked.runs)
        missed = 0
        print("\n| page | kB | s |\n|---|---|---|")
        for path in sorted(set(times) | set(pages)):
            kb, seconds = path.stat().st_size / 1000, times.get(path)
            missed += kb > KB or (seconds or 0) > SECONDS
            if seconds is not None:
                print(f"| {path.name} | {kb:.0f} | {seconds:.2f} |")
        others = sorted(
            (p for p in (folder / "record").rglob("*.html") if p not in pages),
            key=lambda p: -p.stat().st_size,
        )[:4]
        print("\nheaviest besides: " + ", ".join(
            f"{p.relative_to(folder / 'record').as_posix()} {p.stat().st_size / 1000:.0f} kB"
            for p in others
        ))  # fmt: skip
    print(f"{missed} of {len(pages)} pages miss" if missed else "all reached")
    return int(bool(missed))


if __name__ == "__main__":
    sys.exit(main())
