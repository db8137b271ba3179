"""The photos of the demo, one `Shot` each: what it shows, when it was "taken", how it is built.

The dates, the phones and the workshop are invented.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from random import Random
from typing import Any

import materials as m
import profiles as p
import props as w
from shapes import box, copy, lathe, place, rod, words

OAK: tuple[m.Colour, m.Colour] = ((0.29, 0.20, 0.118), (0.16, 0.10, 0.056))
WALNUT: tuple[m.Colour, m.Colour] = ((0.15, 0.078, 0.04), (0.06, 0.03, 0.016))
ASH: tuple[m.Colour, m.Colour] = ((0.52, 0.40, 0.26), (0.36, 0.25, 0.15))


@dataclass(frozen=True, slots=True)
class Shot:
    """One photo: its place in the build, its moment, and the function that sets the scene."""

    file: str
    part: str
    op: str
    piece: str
    note: str  # shown in the demo as the photo's caption
    taken: str  # local time with offset, ISO 8601 with milliseconds
    build: Callable[[], None]
    orientation: int = 1  # as EXIF has it: 6 and 8 are stored sideways
    portrait: bool = False
    phone: int = 1
    gps: bool = False
    exposure: float = 0.0
    samples: float = 1.0


def work_bench(seed: int = 1, top: str = "oak", **light: float) -> None:
    """The bench, bare or with something laid on it whose upper side is z = 0."""
    seat = {"oak": 0.0, "mat": -2.5, "felt": -0.6, "kraft": -0.4}[top]
    w.bench(
        m.wood(*OAK, worn=0.45), seed, seat, slide=(37 * seed % 600 - 300, 13 * seed % 300 - 150)
    )
    if top == "mat":
        box((520, 330, 2.6), m.rubber(), (0, 20, -1.3), 1.0)
    elif top == "felt":
        w.sheet((620, 380), m.cloth((0.045, 0.06, 0.085)), (0, 20, 0), 2, seed)
    elif top == "kraft":
        w.sheet((560, 360), m.paper((0.50, 0.385, 0.26)), (0, 20, 0), -3, seed)
    w.shop_light(**light)


def row(
    part: Any,
    at: list[tuple[float, float]],
    lift: float = 0.0,
    seed: int = 0,
    numbers: float | None = None,
    jitter: float = 1.2,
) -> None:
    """Copies of one part in order, each turned and shifted a little, with number cards in front."""
    luck = Random(seed)
    for i, (x, y) in enumerate(at):
        where = (x + luck.uniform(-jitter, jitter), y + luck.uniform(-jitter, jitter), lift)
        turn = (0.0, 0.0, luck.uniform(0, 360))
        if i == 0:
            place(part, where, turn)
        else:
            copy(part, where, turn)
        if numbers is not None:
            w.label(str(i + 1), (x, y - numbers, 0.1), (0, 0, luck.uniform(-8, 8)), 15, 9)


def put(part: Any, index: int, at: w.Triple, turn: w.Triple) -> None:
    """The first of a series is the mesh itself, the others are copies."""
    if index == 0:
        place(part, at, turn)
    else:
        copy(part, at, turn)


def grid(
    columns: int, rows: int, pitch: float, depth: float, x: float = 0, y: float = 0
) -> list[tuple[float, float]]:
    return [
        (x + (c - (columns - 1) / 2) * pitch, y + (r - (rows - 1) / 2) * depth)
        for r in range(rows)
        for c in range(columns)
    ]


def steel(**kw: Any) -> Any:
    return m.turned(m.STEEL, **kw)


def brass(**kw: Any) -> Any:
    return m.turned(m.BRASS, **kw)


# ------------------------------------------------------------------ foot


def foot_blanks() -> None:
    work_bench(1)
    blank = lathe(p.foot("blank"), m.sawn((0.5, 0.48, 0.45)), 0.4)
    row(blank, grid(5, 2, 70, 76, 0, 20), seed=4)
    w.swarf("steel", 14, (-30, -60, 0), (220, 40, 1), 5)
    w.camera((-170, -380, 240), (0, 8, 4), 56, 3.8, (-50, -20, 18))


def foot_facing() -> None:
    w.headstock()
    w.lathe_light()
    w.chuck(31.0, 12, 25)
    faced = [(31, 0), (31, 20), (2.2, 20), (0.4, 18.4), (0, 18.4), (0, 0)]
    place(lathe(faced, steel(feed=0.35, marks=1.4), 0.4), (4, 0, 0), (0, 90, 0))
    w.turning_tool((24.2, -13, 0))
    w.swarf("steel", 34, (42, 16, w.SLIDE), (60, 40, 3), 8)
    w.swarf("steel", 4, (27, -20, 4), (6, 10, 2), 9)
    w.camera((250, -210, 150), (14, -6, -2), 70, 3.6, (24, -10, 12))


def foot_boring() -> None:
    w.headstock(seed=5)
    w.lathe_light(20, 18)
    w.chuck(31.0, 12, -12)
    bored = [(31, 0), (31, 18), (6.5, 18), (6, 17.5), (6, 6), (0, 6), (0, 0)]
    place(lathe(bored, steel(feed=0.3, marks=1.1), 0.4), (5, 0, 0), (0, 90, 0))
    w.boring_bar((27.5, -5.6, 0), 3.6, 74)
    w.swarf("steel", 26, (40, -20, w.SLIDE), (50, 60, 3), 3)
    w.camera((165, -185, 120), (22, 0, 0), 72, 3.4, (24, -4, 10))


def foot_bore_gauge() -> None:
    work_bench(2, "mat")
    part = lathe(p.foot("bored"), steel(feed=0.3, marks=1.0), 0.4)
    row(part, [(0, 0), (76, 26), (-72, 40), (20, 96)], seed=6)
    w.plug_gauge(5.98, (-6, -50, 6.9), (0, 0, 12))
    w.camera((-50, -240, 165), (0, -10, 6), 62, 4.5, (0, -26, 14))


def foot_profiling() -> None:
    w.headstock(seed=7)
    w.lathe_light(22, 16)
    w.chuck(30.0, 13, 40)
    part = lathe(p.foot("turned"), steel(feed=0.28, marks=1.2), 0.3)
    place(part, (9.4, 0, 0), (0, 90, 0))
    w.turning_tool((20.4, -17.6, 0))
    w.swarf("steel", 34, (40, 10, w.SLIDE), (60, 50, 3), 12)
    w.swarf("steel", 3, (23, -25, 3), (5, 5, 2), 13)
    w.camera((190, -200, 130), (16, -6, 0), 76, 3.6, (20, -14, 10))


def foot_turned_close() -> None:
    work_bench(3)
    part = lathe(p.foot("turned"), steel(feed=0.3, marks=1.3), 0.3)
    row(part, [(0, 0), (66, 58), (-50, 84), (30, 130)], seed=2)
    w.swarf("steel", 9, (-40, -30, 0), (70, 40, 1), 21)
    w.camera((-90, -200, 96), (2, 4, 8), 74, 6.3, (-4, -16, 12))


def foot_caliper() -> None:
    work_bench(4, "mat")
    part = lathe(p.foot("turned"), steel(feed=0.26, marks=1.0), 0.3)
    place(part, (0, 0, 0), (0, 0, 40))
    copy(part, (120, 80, 0))
    copy(part, (-90, 110, 0))
    w.caliper(60.0, (-30, 27, 0.4), (0, 0, 0), "60.03")
    w.camera((-10, -190, 185), (22, 12, 4), 58, 6.3, (24, 10, 9))


def foot_tapping() -> None:
    work_bench(5)
    part = lathe(p.foot("tapped"), steel(feed=0.25, marks=0.7), 0.3)
    box((120, 70, 44), m.ground((0.3, 0.295, 0.29), 0.34), (0, 46, 22), 2)
    for y in (4.0, 76.2):
        box((120, 12, 58), m.ground((0.42, 0.41, 0.4), 0.3), (0, y, 29), 1.2)
    place(part, (0, 40, 62.2), (180, 0, 0))
    place(w.tap_tool(3.0, 70), (0, 40, 41), (0, 0, 0))
    rod(4.6, 22, steel(rough=0.22), (0, 40, 104))
    rod(4.0, 170, steel(rough=0.22, feed=0.4), (-80, 26, 115), (0, 90, 9))
    box((26, 20, 14), m.ground((0.3, 0.29, 0.28)), (0, 40, 115), 2, (0, 0, 9))
    w.swarf("steel", 12, (10, 36, 62), (26, 18, 1), 31)
    w.camera((-120, -230, 205), (0, 36, 70), 66, 3.4, (0, 20, 66))


def foot_thread() -> None:
    work_bench(6, "felt")
    part = lathe(p.foot("tapped"), steel(feed=0.22, marks=0.8), 0.3)
    place(part, (0, 0, 18), (180, 0, 0))
    copy(part, (70, 40, 18), (180, 0, 30))
    copy(part, (-66, 64, 0), (0, 0, 50))
    copy(part, (10, 112, 0), (0, 0, 10))
    place(w.tap_tool(3.0, 60), (-34, -52, 2.9), (0, 90, 14))
    w.camera((-20, -190, 160), (2, -4, 10), 66, 3.6, (0, -10, 16))


def foot_polished_row() -> None:
    work_bench(7, "felt")
    part = lathe(p.foot("tapped"), m.polished(m.STEEL, 0.12), 0.3)
    row(part, grid(5, 2, 72, 78, 0, 26), seed=9)
    w.camera((-200, -360, 220), (-2, 18, 2), 58, 3.4, (-40, -14, 16))


def foot_polishing() -> None:
    w.headstock(seed=9)
    w.lathe_light(24, 12)
    w.chuck(30.0, 13, 70)
    place(lathe(p.foot("tapped"), m.polished(m.STEEL, 0.11), 0.3), (9.4, 0, 0), (0, 90, 0))
    w.cross_slide(40)
    box((16, 70, 30), m.wood(*ASH, plank=0.5), (44, -70, -18), 2, (10, 0, 24))
    box((16.6, 3, 30.6), m.abrasive(), (31, -34, -12), 1.0, (10, 0, 24))
    w.camera((180, -190, 120), (16, -4, -2), 78, 3.2, (22, -12, 8))


# ------------------------------------------------------------------ collar


def collar_parting() -> None:
    w.headstock(seed=11)
    w.lathe_light(22, 16)
    w.chuck(12.6, 14, 20)
    stock = [(12.5, -40), (12.5, 18.0), (12, 18.2), (12, 24), (5, 24), (5, 26.2), (12, 26.2)]
    stock += [(12, 32), (3, 32), (3, -40)]
    place(lathe(stock, steel(feed=0.22, marks=1.1), 0.2), (12, 0, 0), (0, 90, 0))
    box((2.0, 74, 15), m.plain((0.10, 0.10, 0.105), 0.28, 1.0), (37.1, -43.4, -7.4), 0.2)
    box((40, 50, 40), m.ground((0.3, 0.295, 0.29), 0.34), (46, -96, -16), 1.6)
    for dx in (-10, 8):
        bolt = m.plain((0.1, 0.1, 0.1), 0.32, 1.0)
        rod(4.2, 10, bolt, (46 + dx, -84, 4), (0, 0, 0), 0.8, 6)
    w.cross_slide(46)
    w.swarf("steel", 26, (40, 10, w.SLIDE), (50, 50, 3), 15)
    w.swarf("steel", 3, (37, -16, 3), (3, 8, 2), 17)
    w.camera((170, -190, 130), (30, -6, -4), 80, 3.4, (38, -12, 8))


def collar_parted() -> None:
    work_bench(12)
    part = lathe(p.collar("parted"), steel(feed=0.25, marks=1.4), 0.25)
    row(part, grid(5, 2, 33, 38, 0, 12), seed=3, numbers=None)
    w.swarf("steel", 16, (20, -40, 0), (120, 26, 1), 23)
    w.camera((-90, -200, 140), (0, 6, 2), 58, 3.6, (-24, -8, 5))


def collar_boring() -> None:
    w.headstock(seed=13)
    w.lathe_light(20, 18)
    w.chuck(12.0, 9, -25)
    ring = [(11.4, 0), (12, 0.6), (12, 5.4), (11.4, 6), (4.6, 6), (4.1, 5.6), (4.1, 0)]
    place(lathe(ring, steel(feed=0.25, marks=1.1), 0.2), (6.6, 0, 0), (0, 90, 0))
    w.boring_bar((12.4, -3.8, 0), 2.4, 70)
    w.swarf("steel", 20, (30, -24, w.SLIDE), (40, 50, 3), 33)
    w.camera((130, -130, 96), (12, 0, 0), 80, 3.4, (13, -4, 8))


def collar_scrapped() -> None:
    work_bench(14, "mat")
    bad = lathe(p.collar("scrapped"), steel(feed=0.45, marks=1.6, rough=0.32), 0.2)
    place(bad, (0, 0, 0), (0, 0, 25))
    # Where the tool dug in: a slot from the bore outwards, and a lighter skip beside it.
    for size, at, angle in (
        ((9.0, 1.3, 2.2), (9.0, -2.4, 6.0), -15.0),
        ((5.0, 0.7, 1.0), (8.2, 1.2, 6.0), 8.0),
    ):
        cutter = box(size, None, at, 0, (0, 14, angle))
        cutter.hide_render = True
        cut = bad.modifiers.new("cut", "BOOLEAN")
        cut.object = cutter
        cut.operation = "DIFFERENCE"
        cut.solver = "EXACT"
    pen = m.plain((0.5, 0.02, 0.015), 0.4)
    box((0.9, 4.8, 0.06), pen, (-6.4, -5.6, 6.02), 0, (0, 0, 84))
    box((0.9, 4.8, 0.06), pen, (-6.4, -5.6, 6.06), 0, (0, 0, -6))
    good = lathe(p.collar("bored"), steel(feed=0.22, marks=0.9), 0.2)
    place(good, (34, 18, 0))
    copy(good, (62, 32, 0), (0, 0, 70))
    box((40, 18, 0.3), m.plain((0.55, 0.07, 0.045), 0.7), (-32, 12, 0.3), 0, (0, 0, 12))
    words("SCRAP", 9, m.plain((0.02, 0.02, 0.02), 0.6), (-32, 12, 0.5), (0, 0, 12))
    w.camera((-24, -124, 104), (-8, 3, 2), 64, 4.5, (0, -3, 6))


def collar_polished() -> None:
    work_bench(15, "felt")
    part = lathe(p.collar("bored"), m.polished(m.STEEL, 0.09), 0.25)
    row(part, grid(4, 2, 33, 35, 0, 14), seed=8)
    copy(part, (-15, -5.5, 6.0), (0, 0, 10))  # one on top of another
    w.camera((70, -160, 92), (0, 8, 3), 64, 4.5, (-6, -10, 9))


# ------------------------------------------------------------------ stem


def stem_bars() -> None:
    work_bench(16)
    stock = lathe(p.stem("bar"), brass(feed=0.9, marks=0.5, rough=0.34, stain=0.35), 0.5)
    luck = Random(4)
    for i in range(10):
        put(
            stock,
            i,
            ((i - 4.5) * 26.5, -60 + luck.uniform(-6, 6), 12.5),
            (-90, 0, luck.uniform(-1.5, 1.5)),
        )
    w.camera((-150, -300, 240), (-6, -16, 6), 56, 4.0, (-40, -58, 22))


def stem_between_centres() -> None:
    w.headstock(seed=17)
    w.lathe_light(24, 14)
    w.chuck(9.0, 16, 10)
    cone = [(9, 0), (9, 20), (0.6, 34), (0, 34), (0, 0)]
    place(lathe(cone, steel(rough=0.2), 0.3), (0, 0, 0), (0, 90, 0))
    part = lathe(p.stem("turned"), brass(feed=0.32, marks=1.3), 0.3)
    place(part, (31 + p.SPIGOT_LENGTH, 0, 0), (0, 90, 0))
    # A carrier clamped on the end, driven by one jaw.
    place(
        lathe([(15, 0), (15, 10), (6.6, 10), (6.6, 0)], m.cast_iron(), 1.2),
        (32.4, 0, 0),
        (0, 90, 0),
    )
    rod(4, 34, m.cast_iron(), (37, 0, 8), (-40, 0, 0))
    w.tailstock(31 + p.STEM_LENGTH - 2.6)
    w.turning_tool((104, -12.1, 0))
    w.swarf("brass", 150, (104, 0, w.SLIDE), (90, 60, 4), 6)
    w.swarf("brass", 20, (105, -22, 0.5), (9, 9, 0.5), 7)
    w.camera((140, -320, 190), (98, 0, -4), 62, 4.0, (102, -10, 8))


def stem_profiling() -> None:
    w.headstock(seed=18)
    w.lathe_light(16, 12)
    w.chuck(6.6, 18, 55)
    part = lathe(p.stem("profiled"), brass(feed=0.3, marks=1.25), 0.25)
    place(part, (22, 0, 0), (0, 90, 0))
    w.tailstock(22 + p.STEM_BODY + p.TENON_LENGTH - 2.6)
    w.turning_tool((96, -7.6, 0))
    w.swarf("brass", 140, (96, 0, w.SLIDE), (90, 60, 4), 16)
    w.swarf("brass", 16, (98, -18, 0.5), (8, 8, 0.5), 17)
    w.camera((30, -270, 150), (80, 0, -2), 72, 3.6, (84, -6, 6))


def stem_half_made() -> None:
    work_bench(19)
    done = lathe(p.stem("profiled"), brass(feed=0.28, marks=1.0), 0.25)
    waiting = lathe(p.stem("turned"), brass(feed=0.34, marks=1.3), 0.3)
    # They stand in a board drilled for their lower spigots.
    box((270, 62, 16), m.wood(*ASH, plank=0.5), (-2, 4, 8), 1.5)
    for i in range(4):
        put(done, i, (-108 + 30 * i, 4, 16.2), (0, 0, 47.0 * i))
    for i in range(4):
        put(waiting, i, (16 + 30 * i, 4, 16.2), (0, 0, 33.0 * i))
    w.swarf("brass", 60, (0, -40, 0), (200, 40, 1), 26)
    w.camera((-160, -400, 170), (-10, 4, 66), 60, 3.2, (-66, 0, 62))


def stem_profile_close() -> None:
    work_bench(20, "mat")
    part = lathe(p.stem("profiled"), brass(feed=0.3, marks=1.2), 0.25)
    place(part, (-50, -6, 11.9), (0, 90, 14))
    copy(part, (-36, 42, 11.9), (0, 90, 8))
    copy(part, (-58, 86, 11.9), (0, 90, 12))
    w.swarf("brass", 30, (10, -34, 0), (120, 22, 1), 41)
    w.camera((-50, -165, 105), (0, 6, 8), 58, 5.0, (-10, -2, 20))


def stem_micrometer() -> None:
    work_bench(21, "mat")
    part = lathe(p.stem("finished"), brass(feed=0.2, marks=0.7), 0.2)
    # Lying on two wooden rests, the Ø12 spigot towards the camera.
    place(part, (0, -40, 30), (-90, 0, 0))
    for y in (-12, 70):
        box((34, 14, 20), m.wood(*ASH, plank=0.5), (0, y, 10), 1)
    w.micrometer(12.0, (-6, -46, 30), (62, 0, 0))
    copy(part, (-64, 10, 12.2), (-90, 0, 14))
    copy(part, (92, 30, 12.2), (-90, 0, -10))
    w.camera((52, -250, 130), (22, -30, 26), 62, 4.2, (10, -46, 32))


def stem_spigots() -> None:
    work_bench(22, "kraft")
    part = lathe(p.stem("finished"), brass(feed=0.2, marks=0.7), 0.2)
    luck = Random(3)
    for i in range(10):
        put(
            part,
            i,
            ((i - 4.5) * 27, -40 + luck.uniform(-3, 3), 12.1),
            (-90, 0, luck.uniform(-2, 2)),
        )
    w.camera((-150, -240, 140), (-14, -10, 8), 60, 3.2, (-36, -44, 14))


def stem_polishing() -> None:
    w.headstock(seed=23)
    w.lathe_light(26, 12)
    w.chuck(6.0, 18, 80)
    part = lathe(p.stem("finished"), m.polished(m.BRASS, 0.1), 0.2)
    place(part, (20, 0, 0), (0, 90, 0))
    w.tailstock(20 + p.STEM_BODY + p.TENON_LENGTH - 2.6)
    w.cross_slide(90)
    box((18, 110, 10), m.wood(*ASH, plank=0.5), (84, -66, -16), 3, (12, 0, -8))
    box((18.8, 16, 11), m.cloth((0.42, 0.40, 0.35)), (78, -16.5, -6.5), 3, (12, 0, -8))
    w.camera((200, -270, 140), (76, -6, -2), 70, 3.2, (80, -8, 6))


def stem_polished() -> None:
    work_bench(24, "felt", fill=0.5)
    part = lathe(p.stem("finished"), m.polished(m.BRASS, 0.1), 0.2)
    box((206, 96, 16), m.wood(*ASH, plank=0.5), (0, 18, 8), 1.5)
    row(part, grid(5, 2, 38, 44, 0, 18), 16.2, seed=5, jitter=0)
    w.camera((-120, -430, 190), (-2, 10, 72), 58, 3.0, (-30, -6, 80))


def stem_before_black() -> None:
    work_bench(25)
    w.tray((230, 190), (0, 10, 0), m.plain((0.20, 0.21, 0.22), 0.35), 24, 4)
    box((222, 182, 0.6), m.paper((0.55, 0.53, 0.49)), (0, 10, 2.6), 0, (0, 0, 4))
    part = lathe(p.stem("finished"), m.polished(m.BRASS, 0.12), 0.2)
    for i in range(4):
        put(part, i, (-64 + 42 * i, -52, 15.0), (-90, 0, 4.0 + (-1) ** i))
    w.label("4 stems out", (26, -106, 0.2), (0, 0, -3), 66, 10)
    w.camera((-70, -290, 250), (0, -10, 8), 56, 4.2, (-10, -30, 18))


def stem_blackened() -> None:
    work_bench(26)
    w.tray((230, 190), (0, 10, 0), m.plain((0.20, 0.21, 0.22), 0.35), 24, -3)
    box((222, 182, 0.6), m.paper((0.55, 0.53, 0.49)), (0, 10, 2.6), 0, (0, 0, -3))
    part = lathe(p.stem("finished"), m.blackened(), 0.2)
    for i in range(4):
        put(part, i, (-60 + 42 * i, -52, 15.0), (-90, 0, -4.0 + 2 * (-1) ** i))
    w.camera((-130, -240, 200), (-4, -8, 8), 58, 3.6, (-20, -30, 18))


# ------------------------------------------------------------------ cup


def cup_turning() -> None:
    w.headstock(seed=27)
    w.lathe_light(24, 15)
    w.chuck(8.6, 10, 33)
    part = lathe(p.cup("turned"), brass(feed=0.3, marks=1.3), 0.3)
    place(part, (9.0, 0, 0), (0, 90, 0))
    w.turning_tool((29.6, -14.6, 0))
    w.swarf("brass", 150, (36, 6, w.SLIDE), (70, 60, 4), 36)
    w.swarf("brass", 18, (31, -26, 0.5), (9, 9, 0.5), 37)
    w.camera((150, -210, 130), (24, -4, -2), 78, 3.4, (30, -14, 8))


def cup_turned() -> None:
    work_bench(28)
    part = lathe(p.cup("turned"), brass(feed=0.3, marks=1.2), 0.3)
    row(part, grid(5, 2, 52, 56, 0, 18), seed=7)
    w.swarf("brass", 70, (0, -50, 0), (240, 40, 1), 46)
    w.camera((-140, -300, 150), (-2, 10, 12), 58, 3.2, (-40, -10, 26))


def cup_boring() -> None:
    w.headstock(seed=29)
    w.lathe_light(20, 18)
    w.chuck(16.4, 20, 12)
    part = lathe(p.cup("bored"), brass(feed=0.25, marks=1.2), 0.25)
    place(part, (8, 0, 0), (0, 90, 0))
    w.boring_bar((37, -10.4, 0), 4.4, 78)
    w.swarf("brass", 130, (54, -10, w.SLIDE), (60, 60, 4), 53)
    w.swarf("brass", 12, (38, -3, -10.4), (4, 5, 0.5), 54)
    w.camera((160, -150, 105), (34, 0, -2), 74, 3.4, (41, -8, 12))


def cup_bore_gauge() -> None:
    work_bench(30, "mat")
    part = lathe(p.cup("bored"), brass(feed=0.22, marks=0.9), 0.25)
    place(part, (0, 0, 0))
    copy(part, (58, 40, 0))
    copy(part, (-52, 52, 0))
    copy(part, (104, 62, 0))
    copy(part, (-2, 92, 0))
    w.bore_gauge((0, 0, 12), 10.9, (0, 0, 12), 14)
    w.camera((-90, -420, 210), (4, 6, 84), 60, 3.4, (0, -6, 110))


def cup_bored_row() -> None:
    work_bench(31, "kraft")
    part = lathe(p.cup("bored"), brass(feed=0.24, marks=1.0), 0.25)
    row(part, grid(5, 2, 50, 62, 0, 10), seed=11, numbers=29)
    w.camera((-70, -290, 290), (0, 0, 8), 58, 4.0, (-10, -20, 28))


def cup_polished() -> None:
    work_bench(32, "felt", fill=0.4)
    part = lathe(p.cup("reamed"), m.polished(m.BRASS, 0.1), 0.25)
    row(part, grid(4, 2, 52, 54, 0, 30), seed=13)
    copy(part, (-30, -34, 17.2), (-84, 0, -28))  # one on its side
    copy(part, (36, -30, 32), (180, 0, 0))  # one on its rim
    w.camera((-60, -230, 120), (0, 0, 14), 62, 4.2, (4, -34, 22))


def cup_polishing() -> None:
    w.headstock(seed=33)
    w.lathe_light(26, 12)
    w.chuck(8.6, 10, 75)
    place(lathe(p.cup("reamed"), m.polished(m.BRASS, 0.09), 0.25), (9.0, 0, 0), (0, 90, 0))
    w.cross_slide(50)
    box((18, 100, 10), m.wood(*ASH, plank=0.5), (38, -72, -20), 3, (12, 0, 10))
    box((18.8, 16, 11), m.cloth((0.42, 0.40, 0.35)), (29.6, -24, -10), 3, (12, 0, 10))
    w.camera((140, -200, 120), (22, -4, -4), 78, 3.2, (30, -14, 8))


def cup_before_black() -> None:
    work_bench(34)
    w.tray((150, 130), (0, 0, 0), m.plain((0.20, 0.21, 0.22), 0.35), 22, 6)
    box((144, 124, 0.6), m.paper((0.55, 0.53, 0.49)), (0, 0, 2.6), 0, (0, 0, 6))
    part = lathe(p.cup("reamed"), m.polished(m.BRASS, 0.11), 0.25)
    row(part, grid(2, 2, 56, 52, 0, 2), 2.9, seed=15)
    w.label("4 cups out", (14, -84, 0.2), (0, 0, 5), 56, 9)
    w.camera((-70, -220, 200), (0, -8, 10), 58, 5.0, (0, -16, 28))


def cup_blackened() -> None:
    work_bench(35)
    w.tray((150, 130), (0, 0, 0), m.plain((0.20, 0.21, 0.22), 0.35), 22, -4)
    box((144, 124, 0.6), m.paper((0.55, 0.53, 0.49)), (0, 0, 2.6), 0, (0, 0, -4))
    part = lathe(p.cup("reamed"), m.blackened(), 0.25)
    row(part, grid(2, 2, 54, 52, 0, 2), 2.9, seed=16)
    w.camera((-90, -190, 150), (0, 0, 14), 60, 5.6, (-8, -14, 28))


# ------------------------------------------------------------------ the set


def table(
    tone: tuple[m.Colour, m.Colour] = WALNUT,
    seed: int = 1,
    evening: bool = False,
    wall_tone: m.Colour = (0.20, 0.19, 0.17),
) -> None:
    """A table at home: boards, a plain wall far behind, a window on the left."""
    w.bench(
        m.wood(*tone, plank=0.14, rough=0.34),
        seed,
        back=False,
        slide=(61 * seed % 600 - 300, 29 * seed % 300 - 150),
    )
    w.wall(900, wall_tone)
    if evening:
        w.surroundings(0.07, 1.0)
        w.window((-1000, -200, 700), (0, 0, 60), 9, (600, 900))
        w.lamp((520, 180, 640), (0, 0, 60), 10, (160, 160), w.WARM)
        w.lamp((-200, 760, 420), (-100, 900, 300), 3, (120, 120), w.WARM, True)
    else:
        w.surroundings(0.36, 0.5)
        w.window((-950, -160, 600), (0, 0, 80), 36, (760, 1050))
        w.lamp((640, -120, 480), (0, 0, 80), 9, (340, 420), w.WARM)
        w.lamp((300, 760, 640), (0, 0, 60), 5, (700, 160), w.NEUTRAL)


def all_eight(
    places: list[tuple[float, float]],
    candles: float = 0.0,
    lit: bool = False,
    blacks: tuple[int, ...] = (1, 3, 5, 7),
) -> None:
    made: dict[str, Any] = {}
    for i, (x, y) in enumerate(places):
        w.candlestick((x, y, 0), i in blacks, 37.0 * i, candles, lit, made)


TWO_ROWS = [(-150, 0), (-96, 58), (-46, -6), (6, 54), (54, -2), (106, 56), (152, 2), (206, 60)]


def set_cover() -> None:
    table(WALNUT, 1)
    all_eight([(x - 26, y) for x, y in TWO_ROWS])
    w.camera((-110, -700, 250), (0, 10, 84), 58, 3.2, (-40, 0, 110))


def set_candles() -> None:
    table(OAK, 2, True)
    all_eight([(x - 26, y) for x, y in TWO_ROWS], 150, True)
    w.camera((90, -860, 310), (2, 20, 152), 54, 3.0, (20, 0, 150))


def set_line() -> None:
    table(ASH, 3)
    all_eight([(66 * 0.62 * (i - 3.5), 66 * (i - 3.5)) for i in range(8)])
    w.camera((150, -740, 230), (-14, -40, 80), 60, 2.6, (-94, -150, 120))


def set_above() -> None:
    table(WALNUT, 4)
    all_eight([(-120 + 80 * (i % 4), -50 + 100 * (i // 4)) for i in range(8)], blacks=(0, 2, 5, 7))
    w.camera((-90, -420, 560), (0, -6, 70), 52, 4.0, (0, -40, 150))


def set_pair() -> None:
    table(OAK, 5)
    made: dict[str, Any] = {}
    w.candlestick((-40, 0, 0), False, 10, 150, False, made)
    w.candlestick((42, 22, 0), True, 50, 150, False, made)
    w.camera((-70, -640, 250), (2, 0, 158), 66, 2.6, (-30, 0, 150))


def set_parts() -> None:
    work_bench(41, "kraft", day=22, fill=0.4)
    for x, metal in ((-52.0, m.polished(m.BRASS, 0.12)), (52.0, m.blackened())):
        side = -1 if x < 0 else 1
        shiny = m.polished(m.STEEL, 0.13)
        place(lathe(p.foot("tapped"), shiny, 0.3), (x - 8 * side, -94, 0))
        place(lathe(p.collar("bored"), shiny, 0.25), (x - 32 * side, 40, 0))
        place(lathe(p.cup("reamed"), metal, 0.25), (x - 22 * side, 108, 0))
        place(
            lathe(p.stem("finished"), metal, 0.2), (x + 14 * side, -48, 12.1), (-90, 0, 4.0 * side)
        )
    w.camera((-20, -300, 400), (0, -4, 4), 58, 4.5, (0, -30, 14))


def item(number: int) -> Callable[[], None]:
    """A portrait of one finished candlestick; 1 to 4 are bright, 5 to 8 black."""

    def build() -> None:
        luck = Random(100 + number)
        black = number > 4
        table(
            (WALNUT, OAK, WALNUT, ASH)[number % 4],
            10 + number,
            wall_tone=(0.22, 0.205, 0.18) if black else (0.12, 0.115, 0.11),
        )
        made: dict[str, Any] = {}
        w.candlestick((0, 0, 0), black, 40.0 * number, 0, False, made)
        for dx, dy, other in ((-110, 280, not black), (125, 340, black), (30, 480, not black)):
            if luck.random() < 0.75:
                w.candlestick(
                    (dx + luck.uniform(-20, 20), dy, 0), other, luck.uniform(0, 360), 0, False, made
                )
        w.label(str(number), (44, -20, 0.1), (0, 0, luck.uniform(-14, 6)), 20, 13)
        side = luck.uniform(-150, 110)
        high = luck.uniform(160, 260)
        w.camera((side, -520, high), (2, 0, 90), 76, 2.6, (0, -12, 120))

    return build


# ------------------------------------------------------------------ the list

PHONE2 = 2

SHOTS: tuple[Shot, ...] = (
    Shot(
        "foot-op10-1.jpg",
        "foot",
        "10",
        "",
        "Ten sawn stainless blanks for the feet, before the first cut",
        "2026-02-14T10:12:31.417+01:00",
        foot_blanks,
        gps=True,
    ),
    Shot(
        "IMG_0398.jpg",
        "foot",
        "10",
        "foot-1",
        "First blank in the chuck, facing cut running to the middle",
        "2026-02-14T10:58:07.802+01:00",
        foot_facing,
    ),
    Shot(
        "foot-op10-2.jpg",
        "foot",
        "10",
        "foot-4",
        "Boring bar in the 12 mm bore of foot 4",
        "2026-02-15T14:20:44.093+01:00",
        foot_boring,
    ),
    Shot(
        "foot-op10-3.jpg",
        "foot",
        "10",
        "foot-7",
        "Go and no-go plug beside the bored feet, foot 7 in front",
        "2026-02-15T16:41:19.655+01:00",
        foot_bore_gauge,
    ),
    Shot(
        "IMG_0412.jpg",
        "foot",
        "20",
        "foot-2",
        "Turning the ogee of foot 2 with the part held on its neck",
        "2026-02-21T11:03:52.238+01:00",
        foot_profiling,
        gps=True,
    ),
    Shot(
        "foot-op20-1.jpg",
        "foot",
        "20",
        "foot-3",
        "Tool marks on foot 3 straight off the lathe",
        "2026-02-22T15:37:10.911+01:00",
        foot_turned_close,
    ),
    Shot(
        "foot-op20-2.jpg",
        "foot",
        "20",
        "foot-5",
        "Caliper across the rim of foot 5",
        "2026-02-28T17:34:26.340+01:00",
        foot_caliper,
    ),
    Shot(
        "foot-op30-1.jpg",
        "foot",
        "30",
        "foot-6",
        "Tapping M6 by hand through foot 6",
        "2026-03-07T10:44:02.127+01:00",
        foot_tapping,
    ),
    Shot(
        "foot-op30-2.jpg",
        "foot",
        "30",
        "foot-8",
        "The M6 thread from below, foot 8",
        "2026-03-07T13:18:35.568+01:00",
        foot_thread,
    ),
    Shot(
        "foot-op40-1.jpg",
        "foot",
        "40",
        "foot-1",
        "Foot 1 back in the chuck for polishing",
        "2026-03-14T11:26:48.774+01:00",
        foot_polishing,
        gps=True,
    ),
    Shot(
        "foot-op40-2.jpg",
        "foot",
        "40",
        "",
        "All ten feet polished",
        "2026-03-14T18:52:13.036+01:00",
        foot_polished_row,
    ),
    Shot(
        "collar-op10-1.jpg",
        "collar",
        "10",
        "collar-1",
        "Parting off the first collar",
        "2026-03-21T10:09:57.489+01:00",
        collar_parting,
    ),
    Shot(
        "collar-op10-2.jpg",
        "collar",
        "10",
        "",
        "Ten collars parted off",
        "2026-03-21T12:47:21.905+01:00",
        collar_parted,
    ),
    Shot(
        "IMG_0431.jpg",
        "collar",
        "20",
        "collar-3",
        "Boring collar 3 in the jaws",
        "2026-03-28T14:31:39.261+01:00",
        collar_boring,
    ),
    Shot(
        "collar-op20-1.jpg",
        "collar",
        "20",
        "collar-6",
        "Collar 6: the boring tool dug in, bore too large and a cut across the face; scrapped",
        "2026-03-28T15:22:04.718+01:00",
        collar_scrapped,
        gps=True,
    ),
    Shot(
        "collar-op30-1.jpg",
        "collar",
        "30",
        "",
        "The nine good collars polished",
        "2026-04-03T19:14:50.152+02:00",
        collar_polished,
    ),
    Shot(
        "stem-op10-1.jpg",
        "stem",
        "10",
        "",
        "Brass bar cut to length for ten stems",
        "2026-04-11T09:55:16.633+02:00",
        stem_bars,
        orientation=6,
        portrait=True,
    ),
    Shot(
        "IMG_0457.jpg",
        "stem",
        "10",
        "stem-1",
        "Stem 1 turned between centres with a carrier",
        "2026-04-12T11:40:28.097+02:00",
        stem_between_centres,
        gps=True,
    ),
    Shot(
        "stem-op20-1.jpg",
        "stem",
        "20",
        "stem-2",
        "Slim part of stem 2 being profiled, live centre on the right",
        "2026-04-25T10:33:45.521+02:00",
        stem_profiling,
    ),
    Shot(
        "stem-op20-2.jpg",
        "stem",
        "20",
        "",
        "Four stems profiled, four still waiting",
        "2026-05-02T16:58:33.870+02:00",
        stem_half_made,
    ),
    Shot(
        "stem-op20-3.jpg",
        "stem",
        "20",
        "stem-6",
        "Tool marks on the vase of stem 6",
        "2026-05-10T17:21:09.344+02:00",
        stem_profile_close,
    ),
    Shot(
        "stem-op30-1.jpg",
        "stem",
        "30",
        "stem-5",
        "Micrometer on the 12 mm spigot of stem 5",
        "2026-05-16T10:17:54.206+02:00",
        stem_micrometer,
    ),
    Shot(
        "stem-op30-2.jpg",
        "stem",
        "30",
        "",
        "Ten stems with both spigots to size",
        "2026-05-17T18:03:41.982+02:00",
        stem_spigots,
        gps=True,
    ),
    Shot(
        "IMG_0520.jpg",
        "stem",
        "40",
        "stem-3",
        "Polishing stem 3 with felt on a stick",
        "2026-06-26T19:25:30.415+02:00",
        stem_polishing,
    ),
    Shot(
        "stem-op40-1.jpg",
        "stem",
        "40",
        "",
        "Ten stems polished",
        "2026-06-27T11:48:12.759+02:00",
        stem_polished,
        orientation=6,
        portrait=True,
    ),
    Shot(
        "stem-op50-1.jpg",
        "stem",
        "50",
        "",
        "Four stems in the tray before they went out for blackening",
        "2026-06-30T20:06:22.108+02:00",
        stem_before_black,
    ),
    Shot(
        "stem-op50-2.jpg",
        "stem",
        "50",
        "",
        "The same four stems back, blackened",
        "2026-07-24T18:39:05.690+02:00",
        stem_blackened,
    ),
    Shot(
        "cup-op10-1.jpg",
        "cup",
        "10",
        "cup-2",
        "Turning the outside of cup 2",
        "2026-05-23T10:51:37.277+02:00",
        cup_turning,
    ),
    Shot(
        "cup-op10-2.jpg",
        "cup",
        "10",
        "",
        "Ten cups turned outside, sockets still solid",
        "2026-05-25T17:34:18.843+02:00",
        cup_turned,
        gps=True,
    ),
    Shot(
        "IMG_0498.jpg",
        "cup",
        "20",
        "cup-4",
        "Boring the candle socket of cup 4",
        "2026-05-30T11:12:46.519+02:00",
        cup_boring,
    ),
    Shot(
        "cup-op20-1.jpg",
        "cup",
        "20",
        "cup-5",
        "Bore gauge standing in the socket of cup 5",
        "2026-05-30T16:28:01.064+02:00",
        cup_bore_gauge,
        orientation=6,
        portrait=True,
    ),
    Shot(
        "cup-op20-2.jpg",
        "cup",
        "20",
        "",
        "Ten cups bored, numbered in the order they were made",
        "2026-06-06T15:45:29.396+02:00",
        cup_bored_row,
    ),
    Shot(
        "cup-op40-1.jpg",
        "cup",
        "40",
        "cup-1",
        "Cup 1 in the chuck, last polish",
        "2026-06-19T20:11:53.731+02:00",
        cup_polishing,
    ),
    Shot(
        "cup-op40-2.jpg",
        "cup",
        "40",
        "",
        "Ten cups polished",
        "2026-06-20T12:19:40.187+02:00",
        cup_polished,
    ),
    Shot(
        "cup-op50-1.jpg",
        "cup",
        "50",
        "",
        "Four cups in the tray before blackening",
        "2026-06-30T20:13:08.952+02:00",
        cup_before_black,
    ),
    Shot(
        "cup-op50-2.jpg",
        "cup",
        "50",
        "",
        "The four cups back, blackened",
        "2026-07-24T18:47:36.245+02:00",
        cup_blackened,
    ),
    Shot(
        "set-1.jpg",
        "set",
        "",
        "",
        "All eight candlesticks: four bright, four black",
        "2026-09-05T15:08:24.610+02:00",
        set_cover,
        phone=PHONE2,
        gps=True,
        samples=1.6,
    ),
    Shot(
        "set-2.jpg",
        "set",
        "",
        "",
        "All eight lit on the table in the evening",
        "2026-09-05T20:31:47.083+02:00",
        set_candles,
        phone=PHONE2,
        samples=1.8,
    ),
    Shot(
        "set-3.jpg",
        "set",
        "",
        "",
        "The eight in line",
        "2026-09-05T15:22:10.458+02:00",
        set_line,
        phone=PHONE2,
        samples=1.3,
    ),
    Shot(
        "set-4.jpg",
        "set",
        "",
        "",
        "The eight from above",
        "2026-09-05T15:29:55.926+02:00",
        set_above,
        phone=PHONE2,
        orientation=3,
    ),
    Shot(
        "set-5.jpg",
        "set",
        "",
        "",
        "One bright and one black with their candles",
        "2026-09-05T16:02:33.374+02:00",
        set_pair,
        phone=PHONE2,
        portrait=True,
        orientation=6,
    ),
    Shot(
        "set-6.jpg",
        "set",
        "",
        "",
        "What one bright and one black candlestick are made of",
        "2026-08-08T10:27:18.801+02:00",
        set_parts,
        gps=True,
    ),
    *(
        Shot(
            f"item-{n}.jpg",
            "set",
            "",
            f"item {n}",
            f"Candlestick {n}, {'blackened' if n > 4 else 'bright'}",
            f"2026-09-06T17:{6 * n:02d}:{7 * n % 60:02d}.{137 * n % 1000:03d}+02:00",
            item(n),
            orientation=8 if n in (4, 7) else 6,
            portrait=True,
            phone=PHONE2,
            gps=n == 3,
            samples=1.8,
        )
        for n in range(1, 9)
    ),
)
