"""The photos of the demo, one `Shot` each: what the picture shows, when it was "taken", how it is built.

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

OAK: tuple[m.Colour, m.Colour] = ((0.36, 0.235, 0.125), (0.22, 0.13, 0.065))
WALNUT: tuple[m.Colour, m.Colour] = ((0.15, 0.078, 0.04), (0.06, 0.03, 0.016))
ASH: tuple[m.Colour, m.Colour] = ((0.52, 0.40, 0.26), (0.36, 0.25, 0.15))


@dataclass(frozen=True, slots=True)
class Shot:
    """One photo: its place in the build, its moment, and the function that sets the scene."""

    file: str
    part: str
    op: str
    piece: str
    note: str
    taken: str  # local time with offset, ISO 8601 with milliseconds
    build: Callable[[], None]
    orientation: int = 1  # as EXIF has it: 6 and 8 are stored sideways
    portrait: bool = False
    phone: int = 1
    gps: bool = False
    exposure: float = 0.0
    samples: float = 1.0


def work_bench(seed: int = 1, top: str = "oak", **light: float) -> None:
    if top == "mat":
        w.bench(m.wood(*OAK, worn=0.5), seed)
        box((520, 330, 2.6), m.rubber(), (0, 20, -1.28), 1.0)
    elif top == "felt":
        w.bench(m.wood(*OAK, worn=0.5), seed)
        w.sheet((480, 320), m.cloth((0.05, 0.075, 0.11)), (0, 20, -0.4), 2, seed)
    elif top == "kraft":
        w.bench(m.wood(*OAK, worn=0.5), seed)
        w.sheet((460, 320), m.paper(), (0, 20, -0.4), -3, seed)
    else:
        w.bench(m.wood(*OAK, worn=0.45), seed, slide=(37.0 * seed, 13.0 * seed))
    w.shop_light(**light)


def row(part: Any, at: list[tuple[float, float]], lift: float = 0.0, seed: int = 0,
        numbers: float | None = None, jitter: float = 1.2) -> None:
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
            w.label(str(i + 1), (x, y - numbers, 0.1), (0, 0, luck.uniform(-8, 8)))


def grid(columns: int, rows: int, pitch: float, depth: float, x: float = 0, y: float = 0) -> list[tuple[float, float]]:
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
    w.camera((-190, -330, 210), (0, 12, 6), 62, 3.4, (-60, -20, 18))


def foot_facing() -> None:
    w.headstock()
    w.lathe_light()
    w.chuck(31.0, 12, 25)
    part = lathe([(31, 0), (31, 20), (2.2, 20), (0.4, 18.4), (0, 18.4), (0, 0)], steel(feed=0.35, marks=1.4), 0.4)
    place(part, (4, 0, 0), (0, 90, 0))
    w.turning_tool((24.2, -13, 0))
    w.swarf("steel", 26, (40, -30, -55), (60, 50, 18), 8)
    w.swarf("steel", 4, (27, -20, 4), (6, 10, 2), 9)
    w.camera((250, -210, 150), (14, -6, -2), 70, 3.6, (24, -10, 12))


def foot_boring() -> None:
    w.headstock(seed=5)
    w.lathe_light(20, 18)
    w.chuck(31.0, 12, -12)
    part = lathe([(31, 0), (31, 18), *[(6.5, 18), (6, 17.5), (6, 6)], (0, 6), (0, 0)], steel(feed=0.3, marks=1.1), 0.4)
    place(part, (5, 0, 0), (0, 90, 0))
    w.boring_bar((27.5, -5.6, 0), 3.6, 74)
    w.swarf("steel", 18, (34, -20, -55), (50, 50, 16), 3)
    w.camera((165, -185, 120), (22, 0, 0), 72, 3.2, (24, -4, 10))


def foot_bore_gauge() -> None:
    work_bench(2, "mat")
    part = lathe(p.foot("bored"), steel(feed=0.3, marks=1.0), 0.4)
    row(part, [(0, 0), (74, 26), (-72, 40), (20, 96)], seed=6)
    w.plug_gauge(5.98, (-40, -52, 6.8), (0, 0, 18))
    w.camera((-60, -250, 165), (-6, -6, 10), 66, 3.5, (0, -6, 16))


def foot_profiling() -> None:
    w.headstock(seed=7)
    w.lathe_light(22, 16)
    w.chuck(12.6, 14, 40)
    part = lathe(p.foot("turned"), steel(feed=0.28, marks=1.2), 0.3)
    place(part, (29, 0, 0), (0, -90, 0))
    w.turning_tool((16.8, -23.6, 0))
    w.swarf("steel", 30, (30, -30, -50), (70, 50, 18), 12)
    w.swarf("steel", 3, (20, -30, 3), (6, 6, 2), 13)
    w.camera((-20, -270, 150), (18, -6, 0), 75, 3.4, (18, -20, 10))


def foot_turned_close() -> None:
    work_bench(3)
    part = lathe(p.foot("turned"), steel(feed=0.3, marks=1.3), 0.3)
    row(part, [(0, 0), (66, 58), (-50, 84), (30, 130)], seed=2)
    w.swarf("steel", 9, (-40, -30, 0), (70, 40, 1), 21)
    w.camera((-90, -200, 96), (2, 4, 8), 78, 3.0, (-6, -20, 12))


def foot_caliper() -> None:
    work_bench(4, "mat")
    part = lathe(p.foot("turned"), steel(feed=0.26, marks=1.0), 0.3)
    place(part, (0, 0, 0), (0, 0, 40))
    copy(part, (120, 80, 0))
    copy(part, (-90, 110, 0))
    w.caliper(60.0, (-30, 26, 0.4), (0, 0, 0), "59.98")
    w.camera((40, -230, 260), (16, 6, 4), 60, 4.5, (30, 10, 8))


def foot_tapping() -> None:
    work_bench(5)
    part = lathe(p.foot("tapped"), steel(feed=0.25, marks=0.7), 0.3)
    box((120, 70, 44), m.ground((0.3, 0.295, 0.29), 0.34), (0, 46, 22), 2)
    box((120, 12, 62), m.ground((0.42, 0.41, 0.4), 0.3), (0, 4, 31), 1.2)
    place(part, (0, 40, 62.2), (180, 0, 0))
    place(w.tap_tool(3.0, 70), (0, 40, 41), (0, 0, 0))
    rod(4.6, 22, steel(rough=0.22), (0, 40, 104))
    bar = rod(4.0, 170, steel(rough=0.22, feed=0.4), (-80, 26, 115), (0, 90, 9))
    bar.name = "tap wrench"
    box((26, 20, 14), m.ground((0.3, 0.29, 0.28)), (0, 40, 115), 2, (0, 0, 9))
    w.swarf("steel", 12, (10, 36, 62), (26, 18, 1), 31)
    w.camera((-120, -230, 205), (0, 36, 70), 66, 3.4, (0, 20, 66))


def foot_thread() -> None:
    work_bench(6, "felt")
    part = lathe(p.foot("tapped"), steel(feed=0.22, marks=0.8), 0.3)
    place(part, (0, 0, 18), (180, 0, 0))
    other = copy(part, (64, 44, 26), (-62, 0, 30))
    other.name = "leaning"
    copy(part, (-66, 64, 0), (0, 0, 50))
    copy(part, (10, 112, 0), (0, 0, 10))
    screw = w.tap_tool(3.0, 60)
    place(screw, (-54, -34, 3), (0, 90, 28))
    w.camera((-20, -190, 160), (2, 4, 12), 70, 3.2, (0, -4, 18))


def foot_polished_row() -> None:
    work_bench(7, "felt")
    part = lathe(p.foot("tapped"), m.polished(m.STEEL, 0.12), 0.3)
    row(part, grid(5, 2, 72, 78, 0, 26), seed=9)
    w.camera((-240, -300, 180), (-6, 16, 6), 66, 3.0, (-70, -14, 16))


def foot_polishing() -> None:
    w.headstock(seed=9)
    w.lathe_light(24, 12)
    w.chuck(12.6, 14, 70)
    part = lathe(p.foot("tapped"), m.polished(m.STEEL, 0.11), 0.3)
    place(part, (29, 0, 0), (0, -90, 0))
    box((30, 16, 60), m.wood(*ASH, plank=0.5), (34, -84, -30), 2, (14, 0, 8))
    box((30.4, 1.2, 60), m.abrasive(), (34, -75, -32), 0.4, (14, 0, 8))
    w.camera((110, -240, 110), (20, 0, 0), 80, 3.0, (24, -22, 8))


# ------------------------------------------------------------------ collar


def collar_parting() -> None:
    w.headstock(seed=11)
    w.lathe_light(22, 16)
    w.chuck(12.6, 14, 20)
    stock = [(12.5, -40), (12.5, 18.0), (12, 18.2), (12, 24.0), (5.0, 24.0), (5.0, 26.2), (12, 26.2), (12, 32), (4, 32), (4, -40)]
    place(lathe(stock, steel(feed=0.22, marks=1.1), 0.2), (12, 0, 0), (0, 90, 0))
    blade = m.plain((0.10, 0.10, 0.105), 0.28, 1.0)
    box((2.0, 74, 15), blade, (37.1, -43.4, -7.4), 0.2)
    box((52, 60, 44), m.ground((0.3, 0.295, 0.29), 0.34), (40, -86, -14), 1.6)
    for dx in (-14, 6, 22):
        rod(4.2, 10, m.plain((0.1, 0.1, 0.1), 0.32, 1.0), (40 + dx, -76, 8), (0, 0, 0), 0.8, 6)
    box((150, 120, 70), m.ground((0.34, 0.335, 0.33), 0.36), (50, -110, -74), 3)
    w.swarf("steel", 20, (40, -26, -40), (40, 40, 14), 15)
    w.swarf("steel", 3, (37, -16, 3), (3, 8, 2), 17)
    w.camera((170, -190, 130), (32, -8, -2), 80, 3.2, (38, -12, 8))


def collar_parted() -> None:
    work_bench(12)
    part = lathe(p.collar("parted"), steel(feed=0.25, marks=1.4), 0.25)
    row(part, grid(5, 2, 33, 38, 0, 12), seed=3, numbers=None)
    w.swarf("steel", 16, (20, -40, 0), (120, 26, 1), 23)
    w.camera((-110, -170, 120), (0, 8, 2), 68, 3.2, (-30, -8, 5))


def collar_boring() -> None:
    w.headstock(seed=13)
    w.lathe_light(20, 18)
    w.chuck(12.0, 9, -25)
    part = lathe([(11.4, 0), (12, 0.6), (12, 5.4), (11.4, 6), (6.4, 6), (6, 5.6), (6, 0)], steel(feed=0.25, marks=1.1), 0.2)
    place(part, (6.6, 0, 0), (0, 90, 0))
    w.boring_bar((12.4, -5.2, 0), 3.2, 70)
    w.swarf("steel", 8, (26, -24, -50), (40, 40, 12), 33)
    w.camera((130, -130, 96), (12, 0, 0), 85, 3.2, (13, -4, 8))


def collar_scrapped() -> None:
    work_bench(14, "mat")
    bad = lathe(p.collar("scrapped"), steel(feed=0.45, marks=2.6, rough=0.32), 0.2)
    place(bad, (0, 0, 0), (0, 0, 25))
    pen = m.plain((0.5, 0.02, 0.015), 0.4)
    box((0.9, 4.2, 0.06), pen, (-7.0, -6.8, 6.02), 0, (0, 0, 84))
    box((0.9, 4.2, 0.06), pen, (-7.0, -6.8, 6.02), 0, (0, 0, -6))
    gouge = box((9, 1.1, 1.2), m.plain((0.1, 0.1, 0.1), 0.3, 1.0), (9.5, 2.6, 5.9), 0.1, (0, 0, 24))
    gouge.name = "the cut"
    good = lathe(p.collar("bored"), steel(feed=0.22, marks=0.9), 0.2)
    place(good, (38, 16, 0), (0, 0, 0))
    copy(good, (66, 30, 0), (0, 0, 70))
    box((46, 26, 0.3), m.plain((0.62, 0.08, 0.05), 0.7), (-30, 22, 0.3), 0, (0, 0, 14))
    words("SCRAP", 10, m.plain((0.02, 0.02, 0.02), 0.6), (-30, 22, 0.5), (0, 0, 14))
    w.camera((-16, -128, 104), (2, 6, 2), 72, 3.2, (0, -6, 5))


def collar_polished() -> None:
    work_bench(15, "felt")
    part = lathe(p.collar("bored"), m.polished(m.STEEL, 0.09), 0.25)
    row(part, grid(3, 3, 31, 33, -6, 20), seed=8)
    tilted = copy(part, (44, -8, 10.2), (58, 0, 24))
    tilted.name = "leaning"
    copy(part, (44, 4.6, 0), (0, 0, 0))
    w.camera((80, -150, 86), (6, 6, 3), 80, 2.8, (30, -8, 6))


# ------------------------------------------------------------------ stem


def stem_bars() -> None:
    work_bench(16)
    stock = lathe(p.stem("bar"), brass(feed=0.9, marks=0.5, rough=0.34, stain=0.35), 0.5)
    luck = Random(4)
    for i in range(10):
        turn = (0.0, 90.0, 90 + luck.uniform(-1.5, 1.5))
        where = ((i - 4.5) * 24.5, -40 + luck.uniform(-6, 6), 11)
        if i == 0:
            place(stock, where, turn)
        else:
            copy(stock, where, turn)
    w.camera((-190, -230, 170), (0, 6, 6), 60, 3.6, (-40, -40, 20))


def stem_between_centres() -> None:
    w.headstock(seed=17)
    w.lathe_light(24, 14)
    w.chuck(9.0, 16, 10)
    cone = [(9, 0), (9, 20), (0.6, 34), (0, 34), (0, 0)]
    place(lathe(cone, steel(rough=0.2), 0.3), (0, 0, 0), (0, 90, 0))
    part = lathe(p.stem("turned"), brass(feed=0.32, marks=1.3), 0.3)
    place(part, (31 + p.SPIGOT_LENGTH, 0, 0), (0, 90, 0))
    # A carrier clamped on the end, driven by one jaw.
    place(lathe([(15, 0), (15, 11), (6.6, 11), (6.6, 0)], m.cast_iron(), 1.2), (33, 0, 0), (0, 90, 0))
    rod(4, 34, m.cast_iron(), (38, 0, 8), (-40, 0, 0))
    w.tailstock(point=31 + 120 - 2.6)
    w.turning_tool((96, -10.7, 0))
    w.swarf("brass", 120, (98, -30, -20), (60, 36, 8), 6)
    w.swarf("brass", 26, (98, -22, 2), (14, 14, 2), 7)
    w.camera((130, -300, 175), (88, 0, 0), 68, 3.6, (94, -10, 8))


def stem_profiling() -> None:
    w.headstock(seed=18)
    w.lathe_light(22, 16)
    w.chuck(6.6, 18, 55)
    part = lathe(p.stem("profiled"), brass(feed=0.3, marks=1.25), 0.25)
    place(part, (22, 0, 0), (0, 90, 0))
    w.tailstock(point=22 + p.STEM_BODY + 16 - 2.6)
    w.turning_tool((78, -5.4, 0))
    w.swarf("brass", 110, (80, -30, -20), (60, 36, 8), 16)
    w.swarf("brass", 20, (80, -18, 2), (12, 12, 2), 17)
    w.camera((20, -240, 135), (66, 0, 0), 80, 3.2, (72, -6, 6))


def stem_half_made() -> None:
    work_bench(19)
    done = lathe(p.stem("profiled"), brass(feed=0.28, marks=1.0), 0.25)
    waiting = lathe(p.stem("turned"), brass(feed=0.34, marks=1.3), 0.3)
    for i in range(4):
        thing = place(done, (-96 + 26 * i, 0, 11.5), (0, 0, 30 * i)) if i == 0 else copy(done, (-96 + 26 * i, 3 * (i % 2), 11.5), (0, 0, 47 * i))
        thing.name = "profiled"
    for i in range(4):
        where = (16 + 27 * i, 8 + 2 * (i % 2), 11.5)
        if i == 0:
            place(waiting, where)
        else:
            copy(waiting, where, (0, 0, 33 * i))
    w.swarf("brass", 60, (0, -40, 0), (200, 40, 1), 26)
    w.camera((-150, -330, 150), (-14, 4, 52), 62, 3.2, (-60, 0, 50))


def stem_profile_close() -> None:
    work_bench(20, "mat")
    part = lathe(p.stem("profiled"), brass(feed=0.3, marks=1.2), 0.25)
    place(part, (-44, 0, 11.8), (0, 90, 14))
    copy(part, (-30, 46, 11.8), (0, 90, 8))
    copy(part, (-52, 88, 11.8), (0, 90, 12))
    w.swarf("brass", 30, (0, -30, 0), (120, 26, 1), 41)
    w.camera((-40, -170, 110), (4, 6, 8), 66, 3.0, (-16, 2, 16))


def stem_micrometer() -> None:
    work_bench(21, "mat")
    part = lathe(p.stem("finished"), brass(feed=0.2, marks=0.7), 0.2)
    place(part, (0, 96, 24), (90, 0, 0))
    for y in (86, 20):
        box((34, 16, 16), m.wood(*ASH, plank=0.5), (0, y - 4, 8), 1)
    w.micrometer(12.0, (-6, 101, 24), (-58, 0, 0))
    copy(part, (-56, 60, 10.4), (90, 0, 12))
    copy(part, (96, 140, 10.4), (90, 0, -20))
    w.camera((120, 250, 150), (4, 78, 22), 64, 3.6, (10, 100, 26))


def stem_spigots() -> None:
    work_bench(22, "kraft")
    part = lathe(p.stem("finished"), brass(feed=0.2, marks=0.7), 0.2)
    luck = Random(3)
    for i in range(10):
        where = ((i - 4.5) * 25, -30 + luck.uniform(-3, 3), 10.6)
        turn = (-90.0, 0.0, luck.uniform(-2, 2))
        if i == 0:
            place(part, where, turn)
        else:
            copy(part, where, turn)
    w.camera((-130, -210, 120), (-12, -14, 8), 70, 2.8, (-36, -38, 12))


def stem_polishing() -> None:
    w.headstock(seed=23)
    w.lathe_light(26, 12)
    w.chuck(6.0, 18, 80)
    part = lathe(p.stem("finished"), m.polished(m.BRASS, 0.1), 0.2)
    place(part, (20, 0, 0), (0, 90, 0))
    w.tailstock(point=20 + p.STEM_BODY + 16 - 2.6)
    box((26, 70, 14), m.wood(*ASH, plank=0.5), (62, -56, -8), 2, (10, 0, -6))
    box((26.4, 2.0, 14.4), m.cloth((0.35, 0.33, 0.29)), (60, -20.2, -2), 0.6, (10, 0, -6))
    w.camera((190, -250, 120), (64, 0, 0), 78, 3.0, (66, -8, 6))


def stem_polished() -> None:
    work_bench(24, "felt")
    part = lathe(p.stem("finished"), m.polished(m.BRASS, 0.1), 0.2)
    row(part, grid(5, 2, 36, 40, 0, 18), 11.5, seed=5)
    w.camera((-130, -300, 130), (-4, 10, 56), 66, 2.8, (-40, 0, 60))


def stem_before_black() -> None:
    work_bench(25)
    w.tray((230, 170), (0, 10, 0), m.paint((0.30, 0.31, 0.32), 0.4), 24, 4)
    w.sheet((214, 154), m.paper((0.66, 0.63, 0.57)), (0, 10, 2.2), 4, 2)
    part = lathe(p.stem("finished"), m.polished(m.BRASS, 0.12), 0.2)
    for i in range(4):
        where = (-62 + 40 * i, -44, 14.5)
        turn = (-90.0, 0.0, 4.0 + (-1) ** i)
        if i == 0:
            place(part, where, turn)
        else:
            copy(part, where, turn)
    w.label("4 stems out", (80, -112, 0.2), (0, 0, -7), 58, 9)
    w.camera((-70, -260, 230), (0, 2, 8), 58, 4.0, (-10, -20, 18))


def stem_blackened() -> None:
    work_bench(26)
    w.tray((230, 170), (0, 10, 0), m.paint((0.30, 0.31, 0.32), 0.4), 24, -3)
    w.sheet((214, 154), m.paper((0.66, 0.63, 0.57)), (0, 10, 2.2), -3, 7)
    part = lathe(p.stem("finished"), m.blackened(), 0.2)
    for i in range(4):
        where = (-60 + 40 * i, -44, 14.5)
        turn = (-90.0, 0.0, -4.0 + 2 * (-1) ** i)
        if i == 0:
            place(part, where, turn)
        else:
            copy(part, where, turn)
    w.camera((-120, -230, 190), (-4, 0, 8), 62, 3.4, (-20, -26, 18))


# ------------------------------------------------------------------ cup


def cup_turning() -> None:
    w.headstock(seed=27)
    w.lathe_light(24, 15)
    w.chuck(8.6, 10, 33)
    part = lathe(p.cup("turned"), brass(feed=0.3, marks=1.3), 0.3)
    place(part, (11.5, 0, 0), (0, 90, 0))
    w.turning_tool((31.6, -15.0, 0))
    w.swarf("brass", 130, (34, -34, -20), (60, 40, 8), 36)
    w.swarf("brass", 26, (32, -26, 2), (12, 12, 2), 37)
    w.camera((140, -230, 130), (26, -2, 0), 80, 3.2, (32, -14, 8))


def cup_turned() -> None:
    work_bench(28)
    part = lathe(p.cup("turned"), brass(feed=0.3, marks=1.2), 0.3)
    row(part, grid(5, 2, 52, 56, 0, 18), seed=7)
    w.swarf("brass", 70, (0, -50, 0), (240, 40, 1), 46)
    w.camera((-170, -260, 130), (-4, 8, 14), 66, 3.0, (-50, -10, 26))


def cup_boring() -> None:
    w.headstock(seed=29)
    w.lathe_light(20, 18)
    w.chuck(16.4, 22, 12)
    part = lathe(p.cup("bored"), brass(feed=0.25, marks=1.2), 0.25)
    place(part, (10, 0, 0), (0, 90, 0))
    w.boring_bar((38, -10.6, 0), 4.4, 78)
    w.swarf("brass", 90, (48, -20, -40), (40, 30, 8), 53)
    w.swarf("brass", 16, (40, -4, -10.6), (6, 5, 1), 54)
    w.camera((160, -150, 105), (36, 0, 0), 76, 3.0, (42, -8, 12))


def cup_bore_gauge() -> None:
    work_bench(30, "mat")
    part = lathe(p.cup("bored"), brass(feed=0.22, marks=0.9), 0.25)
    place(part, (0, 0, 0))
    copy(part, (58, 40, 0))
    copy(part, (-52, 52, 0))
    copy(part, (104, 62, 0))
    copy(part, (-2, 92, 0))
    w.bore_gauge((0, 0, 12), 10.9, (0, 0, 12), 14)
    w.camera((-70, -330, 190), (6, 6, 82), 62, 3.0, (0, -6, 120))


def cup_bored_row() -> None:
    work_bench(31, "kraft")
    part = lathe(p.cup("bored"), brass(feed=0.24, marks=1.0), 0.25)
    row(part, grid(5, 2, 50, 62, 0, 10), seed=11, numbers=30)
    w.camera((-90, -230, 220), (-2, 4, 10), 62, 3.4, (-10, -20, 28))


def cup_polished() -> None:
    work_bench(32, "felt")
    part = lathe(p.cup("reamed"), m.polished(m.BRASS, 0.1), 0.25)
    row(part, grid(4, 2, 52, 54, 0, 30), seed=13)
    side = copy(part, (-30, -30, 16.8), (90, 0, 62))
    side.name = "on its side"
    other = copy(part, (40, -28, 32), (180, 0, 0))
    other.name = "on its rim"
    w.camera((-60, -230, 120), (0, 0, 14), 72, 2.8, (4, -28, 22))


def cup_polishing() -> None:
    w.headstock(seed=33)
    w.lathe_light(26, 12)
    w.chuck(8.6, 10, 75)
    part = lathe(p.cup("reamed"), m.polished(m.BRASS, 0.09), 0.25)
    place(part, (11.5, 0, 0), (0, 90, 0))
    box((22, 66, 13), m.wood(*ASH, plank=0.5), (32, -54, -10), 2, (8, 0, 10))
    box((22.4, 2.0, 13.4), m.cloth((0.35, 0.33, 0.29)), (36, -19.6, -4.6), 0.6, (8, 0, 10))
    w.camera((120, -200, 110), (26, 0, 0), 84, 2.8, (32, -14, 8))


def cup_before_black() -> None:
    work_bench(34)
    w.tray((150, 130), (0, 0, 0), m.paint((0.30, 0.31, 0.32), 0.4), 22, 6)
    w.sheet((138, 118), m.paper((0.66, 0.63, 0.57)), (0, 0, 2.2), 6, 12)
    part = lathe(p.cup("reamed"), m.polished(m.BRASS, 0.11), 0.25)
    row(part, grid(2, 2, 56, 52, 0, 2), 3.4, seed=15)
    w.label("4 cups out", (44, -86, 0.2), (0, 0, 5), 52, 9)
    w.camera((-70, -210, 190), (0, 0, 12), 62, 3.6, (0, -16, 28))


def cup_blackened() -> None:
    work_bench(35)
    w.tray((150, 130), (0, 0, 0), m.paint((0.30, 0.31, 0.32), 0.4), 22, -4)
    w.sheet((138, 118), m.paper((0.66, 0.63, 0.57)), (0, 0, 2.2), -4, 5)
    part = lathe(p.cup("reamed"), m.blackened(), 0.25)
    row(part, grid(2, 2, 54, 52, 0, 2), 3.4, seed=16)
    w.camera((-90, -190, 150), (0, 0, 14), 66, 3.2, (-10, -18, 28))


# ------------------------------------------------------------------ the set


def table(tone: tuple[m.Colour, m.Colour] = WALNUT, seed: int = 1, evening: bool = False,
          wall_tone: m.Colour = (0.20, 0.19, 0.17)) -> None:
    """A table at home: boards, a plain wall far behind, a window on the left."""
    w.bench(m.wood(*tone, plank=0.14, rough=0.34), seed, back=False, slide=(61.0 * seed, 29.0 * seed))
    w.wall(900, wall_tone)
    if evening:
        w.surroundings(0.07, 1.0)
        w.window((-1000, -200, 700), (0, 0, 60), 9, (600, 900))
        w.lamp((520, 180, 640), (0, 0, 60), 10, (160, 160), WARM)
        w.lamp((-200, 760, 420), (-100, 900, 300), 3, (120, 120), WARM, True)
    else:
        w.surroundings(0.22, 0.5)
        w.window((-950, -120, 640), (0, 0, 60), 34, (640, 1000))
        w.lamp((620, 40, 560), (0, 0, 80), 7, (300, 300), WARM)
        w.lamp((300, 760, 640), (0, 0, 60), 5, (700, 160), NEUTRAL)


WARM, NEUTRAL = w.WARM, w.NEUTRAL


def all_eight(places: list[tuple[float, float]], candles: float = 0.0, lit: bool = False,
              blacks: tuple[int, ...] = (1, 3, 5, 7)) -> None:
    made: dict[str, Any] = {}
    for i, (x, y) in enumerate(places):
        w.candlestick((x, y, 0), i in blacks, 37.0 * i, candles, lit, made)


TWO_ROWS = [(-150, 0), (-96, 58), (-46, -6), (6, 54), (54, -2), (106, 56), (152, 2), (206, 60)]


def set_cover() -> None:
    table(WALNUT, 1)
    all_eight([(x - 26, y) for x, y in TWO_ROWS])
    w.camera((-120, -560, 205), (0, 10, 70), 56, 3.4, (-30, 0, 100))


def set_candles() -> None:
    table(OAK, 2, True)
    all_eight([(x - 26, y) for x, y in TWO_ROWS], 150, True)
    w.camera((70, -700, 260), (0, 20, 138), 54, 3.2, (20, 0, 140))


def set_line() -> None:
    table(ASH, 3)
    all_eight([(-10 + 62 * (i - 3.5) * 0.7, 62 * (i - 3.5)) for i in range(8)])
    w.camera((-250, -470, 150), (-30, -60, 84), 74, 2.2, (-110, -155, 110))


def set_above() -> None:
    table(WALNUT, 4)
    all_eight([(-120 + 80 * (i % 4), -50 + 100 * (i // 4)) for i in range(8)], blacks=(0, 2, 5, 7))
    w.camera((-70, -360, 480), (0, -4, 70), 56, 4.0, (0, -40, 140))


def set_pair() -> None:
    table(OAK, 5)
    made: dict[str, Any] = {}
    w.candlestick((-36, 0, 0), False, 10, 170, False, made)
    w.candlestick((40, 18, 0), True, 50, 170, False, made)
    w.camera((-60, -520, 210), (2, 0, 148), 62, 2.6, (-30, 0, 130))


def set_parts() -> None:
    work_bench(41, "kraft", day=24)
    bright, blacked = m.polished(m.BRASS, 0.12), m.blackened()
    shiny = m.polished(m.STEEL, 0.13)
    feet = lathe(p.foot("tapped"), shiny, 0.3)
    place(feet, (-62, 20, 0))
    copy(feet, (62, 26, 0))
    ring = lathe(p.collar("bored"), shiny, 0.25)
    place(ring, (-14, -42, 0))
    copy(ring, (18, -38, 0))
    place(lathe(p.stem("finished"), bright, 0.2), (-118, -52, 11.6), (0, 90, 20))
    place(lathe(p.stem("finished"), blacked, 0.2), (20, -68, 11.6), (0, 90, -6))
    place(lathe(p.cup("reamed"), bright, 0.25), (-22, 66, 0))
    place(lathe(p.cup("reamed"), blacked, 0.25), (24, 74, 0))
    w.camera((-40, -300, 280), (0, -6, 8), 60, 4.0, (-10, -20, 12))


def item(number: int) -> Callable[[], None]:
    """A portrait of one finished candlestick; 1, 3, 5, 7 are bright, 2, 4, 6, 8 black."""

    def build() -> None:
        luck = Random(100 + number)
        black = number % 2 == 0
        table((WALNUT, OAK, WALNUT, ASH)[(number - 1) // 2], 10 + number,
              wall_tone=(0.22, 0.205, 0.18) if black else (0.12, 0.115, 0.11))
        made: dict[str, Any] = {}
        w.candlestick((0, 0, 0), black, 40.0 * number, 0, False, made)
        for dx, dy, other in ((-96, 240, not black), (112, 300, black), (30, 420, not black)):
            if luck.random() < 0.75:
                w.candlestick((dx + luck.uniform(-20, 20), dy, 0), other, luck.uniform(0, 360), 0, False, made)
        side = luck.uniform(-150, 110)
        high = luck.uniform(130, 220)
        w.camera((side, -430, high), (0, 0, 76), 68, 2.4, (0, -12, 112))

    return build


# ------------------------------------------------------------------ the list

PHONE2 = 2

SHOTS: tuple[Shot, ...] = (
    Shot("foot-op10-1.jpg", "foot", "10", "", "Ten sawn stainless blanks for the feet, before the first cut", "2026-02-14T10:12:31.417+01:00", foot_blanks, gps=True),
    Shot("IMG_0398.jpg", "foot", "10", "foot-1", "First blank in the chuck, facing cut running to the middle", "2026-02-14T10:58:07.802+01:00", foot_facing),
    Shot("foot-op10-2.jpg", "foot", "10", "foot-4", "Boring bar in the 12 mm bore of foot 4", "2026-02-15T14:20:44.093+01:00", foot_boring),
    Shot("foot-op10-3.jpg", "foot", "10", "foot-7", "Go and no-go plug beside the bored feet, foot 7 in front", "2026-02-15T16:41:19.655+01:00", foot_bore_gauge),
    Shot("IMG_0412.jpg", "foot", "20", "foot-2", "Turning the ogee of foot 2 with the part held on its neck", "2026-02-21T11:03:52.238+01:00", foot_profiling, gps=True),
    Shot("foot-op20-1.jpg", "foot", "20", "foot-3", "Tool marks on foot 3 straight off the lathe", "2026-02-22T15:37:10.911+01:00", foot_turned_close),
    Shot("foot-op20-2.jpg", "foot", "20", "foot-5", "Caliper across the rim of foot 5", "2026-02-28T17:05:26.340+01:00", foot_caliper, orientation=8, portrait=True),
    Shot("foot-op30-1.jpg", "foot", "30", "foot-6", "Tapping M6 by hand through foot 6", "2026-03-07T10:44:02.127+01:00", foot_tapping),
    Shot("foot-op30-2.jpg", "foot", "30", "foot-8", "The M6 thread from below, foot 8", "2026-03-07T13:18:35.568+01:00", foot_thread),
    Shot("foot-op40-1.jpg", "foot", "40", "foot-1", "Foot 1 back in the chuck for polishing", "2026-03-14T11:26:48.774+01:00", foot_polishing, gps=True),
    Shot("foot-op40-2.jpg", "foot", "40", "", "All ten feet polished", "2026-03-14T18:52:13.036+01:00", foot_polished_row),
    Shot("collar-op10-1.jpg", "collar", "10", "collar-1", "Parting off the first collar", "2026-03-21T10:09:57.489+01:00", collar_parting),
    Shot("collar-op10-2.jpg", "collar", "10", "", "Ten collars parted off", "2026-03-21T12:47:21.905+01:00", collar_parted),
    Shot("IMG_0431.jpg", "collar", "20", "collar-3", "Boring collar 3 in the jaws", "2026-03-28T14:31:39.261+01:00", collar_boring),
    Shot("collar-op20-1.jpg", "collar", "20", "collar-6", "Collar 6: the boring tool dug in, bore too large and a cut across the face; scrapped", "2026-03-28T15:22:04.718+01:00", collar_scrapped, gps=True),
    Shot("collar-op30-1.jpg", "collar", "30", "", "Nine good collars and a spare polished", "2026-04-03T19:14:50.152+02:00", collar_polished),
    Shot("stem-op10-1.jpg", "stem", "10", "", "Brass bar cut to length for ten stems", "2026-04-11T09:55:16.633+02:00", stem_bars, orientation=6, portrait=True),
    Shot("IMG_0457.jpg", "stem", "10", "stem-1", "Stem 1 turned between centres with a carrier", "2026-04-12T11:40:28.097+02:00", stem_between_centres, gps=True),
    Shot("stem-op20-1.jpg", "stem", "20", "stem-2", "Slim part of stem 2 being profiled, live centre on the right", "2026-04-25T10:33:45.521+02:00", stem_profiling),
    Shot("stem-op20-2.jpg", "stem", "20", "", "Four stems profiled, four still waiting", "2026-05-02T16:58:33.870+02:00", stem_half_made),
    Shot("stem-op20-3.jpg", "stem", "20", "stem-6", "Tool marks on the vase of stem 6", "2026-05-10T17:21:09.344+02:00", stem_profile_close),
    Shot("stem-op30-1.jpg", "stem", "30", "stem-5", "Micrometer on the 12 mm spigot of stem 5", "2026-05-16T10:17:54.206+02:00", stem_micrometer),
    Shot("stem-op30-2.jpg", "stem", "30", "", "Ten stems with both spigots to size", "2026-05-17T18:03:41.982+02:00", stem_spigots, gps=True),
    Shot("IMG_0520.jpg", "stem", "40", "stem-3", "Polishing stem 3 with felt on a stick", "2026-06-26T19:25:30.415+02:00", stem_polishing),
    Shot("stem-op40-1.jpg", "stem", "40", "", "Ten stems polished", "2026-06-27T11:48:12.759+02:00", stem_polished, orientation=6, portrait=True),
    Shot("stem-op50-1.jpg", "stem", "50", "", "Four stems in the tray before they went out for blackening", "2026-06-30T20:06:22.108+02:00", stem_before_black),
    Shot("stem-op50-2.jpg", "stem", "50", "", "The same four stems back, blackened", "2026-07-24T18:39:05.690+02:00", stem_blackened),
    Shot("cup-op10-1.jpg", "cup", "10", "cup-2", "Turning the outside of cup 2", "2026-05-23T10:51:37.277+02:00", cup_turning),
    Shot("cup-op10-2.jpg", "cup", "10", "", "Ten cups turned outside, sockets still solid", "2026-05-25T17:34:18.843+02:00", cup_turned, gps=True),
    Shot("IMG_0498.jpg", "cup", "20", "cup-4", "Boring the candle socket of cup 4", "2026-05-30T11:12:46.519+02:00", cup_boring),
    Shot("cup-op20-1.jpg", "cup", "20", "cup-5", "Bore gauge standing in the socket of cup 5", "2026-05-30T16:28:01.064+02:00", cup_bore_gauge, orientation=6, portrait=True),
    Shot("cup-op20-2.jpg", "cup", "20", "", "Ten cups bored, numbered in the order they were made", "2026-06-06T15:45:29.396+02:00", cup_bored_row),
    Shot("cup-op40-1.jpg", "cup", "40", "cup-1", "Cup 1 in the chuck, last polish", "2026-06-19T20:11:53.731+02:00", cup_polishing),
    Shot("cup-op40-2.jpg", "cup", "40", "", "Ten cups polished", "2026-06-20T12:19:40.187+02:00", cup_polished),
    Shot("cup-op50-1.jpg", "cup", "50", "", "Four cups in the tray before blackening", "2026-06-30T20:13:08.952+02:00", cup_before_black),
    Shot("cup-op50-2.jpg", "cup", "50", "", "The four cups back, blackened", "2026-07-24T18:47:36.245+02:00", cup_blackened),
    Shot("set-1.jpg", "set", "", "", "All eight candlesticks: four bright, four black", "2026-09-05T15:08:24.610+02:00", set_cover, phone=PHONE2, gps=True, samples=1.6),
    Shot("set-2.jpg", "set", "", "", "All eight lit on the table in the evening", "2026-09-05T20:31:47.083+02:00", set_candles, phone=PHONE2, samples=1.8),
    Shot("set-3.jpg", "set", "", "", "The eight in line", "2026-09-05T15:22:10.458+02:00", set_line, phone=PHONE2, samples=1.3),
    Shot("set-4.jpg", "set", "", "", "The eight from above", "2026-09-05T15:29:55.926+02:00", set_above, phone=PHONE2, orientation=3),
    Shot("set-5.jpg", "set", "", "", "One bright and one black with their candles", "2026-09-05T16:02:33.374+02:00", set_pair, phone=PHONE2, portrait=True, orientation=6),
    Shot("set-6.jpg", "set", "", "", "What one bright and one black candlestick are made of", "2026-08-08T10:27:18.801+02:00", set_parts, gps=True),
    *(
        Shot(
            f"item-{n}.jpg", "set", "", f"item {n}",
            f"Candlestick {n}, {'blackened' if n % 2 == 0 else 'bright'}",
            f"2026-09-06T{17 + (n // 6)}:{(8 + 9 * n) % 60:02d}:{(13 * n) % 60:02d}.{(137 * n) % 1000:03d}+02:00",
            item(n), orientation=8 if n in (4, 7) else 6, portrait=True, phone=PHONE2, gps=n == 3,
        )
        for n in range(1, 9)
    ),
)  # fmt: skip
