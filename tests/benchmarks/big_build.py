"""How large and how tall the maker's pages become in a big build.

    python -m tests.benchmarks.big_build [--parts 12] [--pieces 30] [--dims 8] [--keep DIR] [--all]

A build of so many parts, pieces and dimensions is entered with a fixed seed: four operations over
months of evenings, a setup every tenth piece, tools that wear, scrapped pieces, corrections,
notes, photos, an operation forgotten on a whole part. Its maker's edition is built; every page is
weighed, and the dozen heaviest of each kind (`--all`: every page) are opened in Chromium: kB of
HTML, height in screens of 800 px at 1280 px, width at 360 px and there the smallest text of its
charts, details open. Prints the tallest and the heaviest of each kind and ends with status 1 when a
page is over 300 kB or 12 screens, wider than a phone, or has text of a chart below 11 px on one.
"""

from __future__ import annotations

import argparse
import random
import sys
import tempfile
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

from playwright.sync_api import sync_playwright

from qlog.drawing.build_file.load import load
from qlog.drawing.plan import Build, Part
from qlog.logbook.facts import (
    Assembly,
    Disposition,
    Done,
    Fact,
    GaugeCheck,
    Note,
    Placement,
    Reading,
    Setting,
    Setup,
    Start,
)
from qlog.logbook.store import FILE_NAME, Logbook, create
from qlog.record.photos import renditions
from qlog.record.publish.build import build_record
from qlog.review.whole import picture_from
from tests.benchmarks.record_again import photos
from tests.browser.conftest import FLAGS, chromium

KB, SCREENS, SCREEN, TEXT = 300, 12, 800, 11
NAMES = ("foot", "stem", "cup", "pan", "collar", "spigot")
DIMENSIONS = ("bore", "height", "rim", "neck", "step", "seat", "wall", "shoulder", "waist",
              "groove", "flange", "land")  # fmt: skip
OPS = ((10, "turn outside", "turning"), (20, "bore", "boring"), (30, "deburr", "deburring"),
       (40, "polish", "polishing"))  # fmt: skip
Made = tuple[Fact, str]


def plan(parts: int, pieces: int, dims: int) -> str:
    """The plan: parts of four operations, their dimensions read after two of them."""
    text = [
        'title = "Candlesticks for every choir"', 'units = "mm"', 'rule = "guarded"',
        'general = "ISO 2768-m"', 'timezone = "Europe/Vienna"',
        "[instrument.micrometer]", 'name = "micrometer"', 'kind = "micrometer"', "step = 0.001",
        "error = 0.002",
        "[instrument.caliper]", 'name = "caliper"', 'kind = "caliper"', "step = 0.01",
        "error = 0.03",
    ]  # fmt: skip
    for part in range(parts):
        name = f"{NAMES[part % len(NAMES)]}-{'abcdefgh'[part // len(NAMES)]}"
        text += ["[[part]]", f'id = "{name}"', f'name = "{name.replace("-", " ").capitalize()}"',
                 f"needed = {pieces - 2}", "spare = 2"]  # fmt: skip
        for number, said, kind in OPS:
            photos = "photos-each = 1" if number == 40 and part < 4 else ""
            text += ["[[part.op]]", f"number = {number}", f'name = "{said}"', f'kind = "{kind}"',
                     'machine = "lathe"', photos]  # fmt: skip
        for dim in range(dims):
            coarse, hole = dim % 4 == 3, dim == 0 and part % 2 == 0
            called = "tip" if dim == 0 and not hole else DIMENSIONS[dim]
            text += ["[[part.dim]]", f'id = "{called}"', f'name = "{called}"',
                     f'callout = "Ø{10 + dim} ±{"0.2" if coarse else "0.03"}"',
                     f"op = {OPS[dim % 2][0]}",
                     f'instrument = "{"caliper" if coarse else "micrometer"}"',
                     f'measures = "{"inside" if hole else "outside"}"']  # fmt: skip
    for inside, outside in (("foot-a", "stem-a"), ("cup-a", "pan-a")):
        text += ["[[joint]]", f'id = "{inside}-on-{outside}"', f'name = "{inside} on {outside}"',
                 f'inside = "{inside}.bore"', f'outside = "{outside}.tip"',
                 'clearance = "-0.05..0.05"']  # fmt: skip
    text += ["[[item]]", 'id = "stand"', 'name = "Stand"', "count = 8",
             'takes = { foot-a = 1, stem-a = 1, cup-a = 1 }']  # fmt: skip
    return "\n".join(text) + "\n"


def happened(build: Build, draw: random.Random) -> Iterator[Made]:
    """What was logged of the build, evening by evening: an operation of a part in each."""
    evening = datetime(2026, 1, 5, 18, 0, tzinfo=UTC)
    for number, _, _ in OPS:
        for index, part in enumerate(build.parts):
            forgotten = index == 1 and number == 30
            if not forgotten:
                yield from _of_evening(part, index, number, evening, draw)
            if evening.weekday() == 4:
                check = GaugeCheck("micrometer", "10", "10.001", "mm", "0.002", 1)
                yield check, evening.isoformat()
            evening += timedelta(days=1)
    for item in range(1, 9):
        for name in ("foot-a", "stem-a", "cup-a"):
            yield Assembly(f"stand-{item}", name, item), evening.isoformat()


def _of_evening(
    part: Part, index: int, number: int, evening: datetime, draw: random.Random
) -> Iterator[Made]:
    wears = index % 4 == 0 and number == 20
    yield Start(part.id, number, "the bar is a little oval" if index % 3 == 0 else ""), _at(evening)
    yield Setting(part.id, number, 1, "speed", "900", "900", "rev/min"), _at(evening)
    for piece in part.pieces:
        at = evening + timedelta(minutes=3 * piece)
        if piece == 7 and number > 20:
            continue
        if number == 20 and piece % 10 == 1 and piece > 1:
            yield Setup(part.id, number, piece, "tool change"), _at(at)
        yield Done(part.id, number, piece), _at(at)
        for dimension in part.read_after(number):
            nominal = float(dimension.callout.nominal or 0)
            creep = 0.002 * ((piece - 1) % 10) if wears else 0
            coarse = dimension.instrument == "caliper"
            size = (
                f"{draw.gauss(nominal + creep, 0.04 if coarse else 0.008):.{2 if coarse else 3}f}"
            )
            fact = Reading(part.id, number, dimension.id, piece, size, size, "mm",
                           dimension.instrument)  # fmt: skip
            yield fact, _at(at + timedelta(minutes=1))
        if piece % 10 == 4:
            yield Note(part.id, number, piece, "chatter at the far end, slower next time"), _at(at)
        if piece == 7 and number == 20:
            yield Disposition(part.id, piece, number, "scrap", "dropped on the floor"), _at(at)


#: The smallest text of the charts of a page as it is seen, in CSS pixels; 99 where there is none.
SMALLEST_TEXT = """
() => {
  document.querySelectorAll("details").forEach(d => { d.open = true; });
  return Math.min(99, ...[...document.querySelectorAll(".chart text, .multiple text")]
    .filter(t => t.getClientRects().length)
    .map(t => parseFloat(getComputedStyle(t).fontSize) * t.getScreenCTM().a));
}
"""


def _at(when: datetime) -> str:
    return when.isoformat(timespec="seconds")


def make(folder: Path, parts: int, pieces: int, dims: int) -> None:
    """Enter the build into a folder that is not there yet."""
    folder.mkdir(parents=True)
    (folder / "build.toml").write_text(plan(parts, pieces, dims), encoding="utf-8", newline="\n")
    create(folder / FILE_NAME)
    build, draw = load(folder / "build.toml"), random.Random(19)
    with Logbook(folder / FILE_NAME, revision=build.revision, source=build.source) as log:
        made = list(happened(build, draw))
        entries = log.append_all([fact for fact, _ in made], made=[at for _, at in made])
        for entry in [e for e in entries if isinstance(e.fact, Reading)][:: max(1, parts * 10)]:
            right = Reading(*(getattr(entry.fact, n) for n in Reading.columns()))
            log.append(right, made=entry.made, supersedes=entry.id, reason="read the wrong line")
        shown = [p for p in build.parts if p.operation(40).photos_each]
        places = [(p.id, n) for p in shown for n in p.pieces]
        taken = photos(folder, len(places))
        log.append_all(taken)
        log.append_all(
            [Placement(t.sha256, p, 40, n) for t, (p, n) in zip(taken, places, strict=True)]
        )


def chosen(folder: Path, *, every: bool) -> list[str]:
    """The pages to open: the dozen heaviest of each kind, or every one."""
    weights = {p.relative_to(folder).as_posix(): p.stat().st_size for p in folder.rglob("*.html")}
    kinds: dict[str, list[str]] = {}
    for path in sorted(weights, key=lambda p: -weights[p]):
        kinds.setdefault(kind_of(path), []).append(path)
    return [path for own in kinds.values() for path in (own if every else own[:12])]


def measured(folder: Path, *, every: bool) -> dict[str, tuple[float, float, int, float]]:
    """kB, screens at 1280, width at 360 px and its smallest chart text, of pages of a record."""
    found: dict[str, tuple[float, float, int, float]] = {}
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium(), args=FLAGS)
        wide = browser.new_page(viewport={"width": 1280, "height": SCREEN})
        phone = browser.new_page(viewport={"width": 360, "height": 740})
        for name in chosen(folder, every=every):
            path = folder / name
            for page in (wide, phone):
                page.goto(path.as_uri(), wait_until="domcontentloaded", timeout=120_000)
            height = wide.evaluate("document.documentElement.scrollHeight")
            width = phone.evaluate("document.documentElement.scrollWidth")
            text = phone.evaluate(SMALLEST_TEXT)
            found[name] = (path.stat().st_size / 1000, height / SCREEN, width, text)
        browser.close()
    return found


def kind_of(path: str) -> str:
    """The kind of a page: its folder, or its name without the number of a leaf."""
    folder, _, name = path.rpartition("/")
    return f"{folder}/" if folder else name.removesuffix(".html").rstrip("0123456789").rstrip("-")


def main() -> int:
    """Make the build, build its record, measure its pages, and say what misses."""
    asked = argparse.ArgumentParser()
    for name, default in (("parts", 12), ("pieces", 30), ("dims", 8)):
        asked.add_argument(f"--{name}", type=int, default=default)
    asked.add_argument("--keep", type=Path)
    asked.add_argument("--all", action="store_true")
    given = asked.parse_args()
    renditions.SIZES = (16, 32, 64)  # type: ignore[attr-defined]
    with tempfile.TemporaryDirectory() as name:
        folder = given.keep or Path(name) / "build"
        if not folder.exists():
            make(folder, given.parts, given.pieces, given.dims)
        build, begun = load(folder / "build.toml"), time.perf_counter()
        with Logbook(folder / FILE_NAME) as log:
            picture = picture_from(build, log, mated=True, dated=True)
        studied = time.perf_counter()
        built = build_record(
            picture, edition="maker", out=folder / "record", originals=folder,
            made_at="", version="0",
        )  # fmt: skip
        ended = time.perf_counter()
        print(f"{given.parts} parts x {given.pieces} pieces x {given.dims} dimensions: "
              f"{built.pages} pages, {built.bytes / 1e6:.1f} MB; {studied - begun:.1f} s to "
              f"assemble, {ended - studied:.1f} s to build")  # fmt: skip
        found = measured(folder / "record", every=given.all)
    shown = sorted(
        {
            max((p for p in found if kind_of(p) == kind), key=lambda p, i=i: found[p][i])
            for kind in {kind_of(p) for p in found}
            for i in (0, 1)
        }
    )
    print("\n| page | kB | screens at 1280 | px at 360 | chart text |\n|---|---|---|---|---|")
    for path in shown:
        kb, screens, width, text = found[path]
        told = "" if text == 99 else f"{text:.1f} px"
        print(f"| {path} | {kb:.0f} | {screens:.1f} | {width} | {told} |")
    missed = [
        p for p, (kb, s, w, t) in found.items() if kb > KB or s > SCREENS or w > 360 or t < TEXT
    ]
    print(f"\n{len(missed)} of {len(found)} pages miss" if missed else "\nall reached")
    return int(bool(missed))


if __name__ == "__main__":
    sys.exit(main())
