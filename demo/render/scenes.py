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
    row(blank, grid(5, 2, 74, 80, 0, 20), seed=4)
    w.swarf("steel", 14, (-30, -60, 0), (220, 40, 1), 5)
    w.camera((150, -430, 280), (0, 12, 4), 47, 5.0, (20, -10, 20))


def foot_facing() -> None:
    w.headstock()
    w.lathe_light()
    w.chuck(33.0, 12, 25)
    faced = [(33, 0), (33, 20), (2.2, 20), (0.4, 18.4), (0, 18.4), (0, 0)]
    place(lathe(faced, steel(feed=0.35, marks=1.4), 0.4), (4, 0, 0), (0, 90, 0))
    w.turning_tool((24.2, -15, 0))
    w.swarf("steel", 34, (42, 16, w.SLIDE), (60, 40, 3), 8)
    w.swarf("steel", 4, (27, -22, 4), (6, 10, 2), 9)
    w.camera((255, -200, 165), (14, -6, -2), 68, 3.6, (24, -10, 12))


def foot_boring() -> None:
    w.headstock(seed=5)
    w.lathe_light(20, 18)
    w.chuck(33.0, 12, -12)
    bored = [(33, 0), (33, 20), (7.5, 20), (7, 19.5), (7, 8), (0, 8), (0, 0)]
    place(lathe(bored, steel(feed=0.3, marks=1.1), 0.4), (5, 0, 0), (0, 90, 0))
    w.boring_bar((29.5, -6.6, 0), 4.0, 74)
    w.swarf("steel", 26, (40, -20, w.SLIDE), (50, 60, 3), 3)
    w.camera((170, -195, 115), (24, 0, 0), 70, 3.4, (26, -4, 10))


def foot_plug_gauge() -> None:
    work_bench(2, "mat")
    part = lathe(p.foot("bored"), steel(feed=0.3, marks=1.0), 0.4)
    row(part, [(0, 0), (80, 28), (-76, 44), (22, 100)], seed=6)
    w.plug_gauge(6.98, (-6, -54, 7.9), (0, 0, -10))
    w.camera((60, -250, 170), (0, -10, 6), 60, 4.5, (0, -28, 16))


def foot_turning_cone() -> None:
    w.headstock(seed=7)
    w.lathe_light(22, 16)
    w.chuck(32.0, 13, 40)
    place(lathe(p.foot("turned"), steel(feed=0.28, marks=1.2), 0.3), (9.4, 0, 0), (0, 90, 0))
    w.turning_tool((20.8, -21.6, 0))
    w.swarf("steel", 34, (40, 10, w.SLIDE), (60, 50, 3), 12)
    w.swarf("steel", 3, (23, -29, 3), (5, 5, 2), 13)
    w.camera((190, -215, 140), (16, -6, 0), 74, 3.6, (20, -16, 10))


def foot_turned_close() -> None:
    work_bench(3)
    part = lathe(p.foot("turned"), steel(feed=0.3, marks=1.3), 0.3)
    row(part, [(0, 0), (70, 62), (-54, 90), (30, 140)], seed=2)
    w.swarf("steel", 9, (-40, -34, 0), (70, 40, 1), 21)
    w.camera((80, -215, 110), (2, 4, 8), 72, 6.3, (2, -18, 13))


def foot_caliper() -> None:
    work_bench(4, "mat")
    place(lathe(p.foot("turned"), steel(feed=0.26, marks=1.0), 0.3), (0, 0, 0), (0, 0, 40))
    part = lathe(p.foot("turned"), steel(feed=0.26, marks=1.0), 0.3)
    place(part, (126, 84, 0))
    copy(part, (-94, 114, 0))
    w.caliper(64.0, (-32, 29, 0.4), (0, 0, 0), "64.04")
    w.camera((-10, -190, 185), (22, 12, 4), 56, 6.3, (24, 10, 9))


def foot_tapping() -> None:
    work_bench(5)
    part = lathe(p.foot("tapped"), steel(feed=0.25, marks=0.7), 0.3)
    box((120, 72, 44), m.ground((0.3, 0.295, 0.29), 0.34), (0, 46, 22), 2)
    for y in (2.0, 78.2):
        box((120, 12, 58), m.ground((0.42, 0.41, 0.4), 0.3), (0, y, 29), 1.2)
    place(part, (0, 40, 64.2), (180, 0, 0))
    place(w.tap_tool(3.0, 70), (0, 40, 46), (0, 0, 0))
    rod(4.6, 22, steel(rough=0.22), (0, 40, 108))
    rod(4.0, 170, steel(rough=0.22, feed=0.4), (-80, 26, 119), (0, 90, 9))
    box((26, 20, 14), m.ground((0.3, 0.29, 0.28)), (0, 40, 119), 2, (0, 0, 9))
    w.swarf("steel", 12, (10, 36, 62), (26, 18, 1), 31)
    w.camera((130, -235, 210), (0, 36, 72), 64, 3.4, (0, 20, 68))


def foot_thread() -> None:
    work_bench(6, "felt")
    part = lathe(p.foot("tapped"), steel(feed=0.22, marks=0.8), 0.3)
    place(part, (0, 0, 20), (180, 0, 0))
    copy(part, (76, 44, 20), (180, 0, 30))
    copy(part, (-72, 68, 0), (0, 0, 50))
    copy(part, (10, 120, 0), (0, 0, 10))
    place(w.tap_tool(3.0, 60), (-34, -56, 2.9), (0, 90, 14))
    w.camera((20, -200, 170), (2, -4, 10), 64, 3.6, (0, -10, 18))


def foot_polishing() -> None:
    w.headstock(seed=9)
    w.lathe_light(24, 12)
    w.chuck(32.0, 13, 70)
    place(lathe(p.foot("tapped"), m.polished(m.STEEL, 0.11), 0.3), (9.4, 0, 0), (0, 90, 0))
    w.cross_slide(40)
    box((16, 70, 30), m.wood(*ASH, plank=0.5), (44, -74, -18), 2, (10, 0, 24))
    box((16.6, 3, 30.6), m.abrasive(), (31, -38, -12), 1.0, (10, 0, 24))
    w.camera((185, -195, 125), (16, -4, -2), 76, 3.2, (22, -12, 8))


def foot_polished_row() -> None:
    work_bench(7, "felt")
    part = lathe(p.foot("tapped"), m.polished(m.STEEL, 0.12), 0.3)
    row(part, grid(5, 2, 76, 82, 0, 26), seed=9)
    w.camera((190, -430, 270), (-2, 22, 2), 47, 5.0, (20, 0, 18))


def foot_marked() -> None:
    """The number is punched on the rim underneath, where nobody sees it and everybody can look."""
    work_bench(8, "felt")
    part = lathe(p.foot("tapped"), m.polished(m.STEEL, 0.16), 0.3)
    ink = m.plain((0.03, 0.028, 0.026), 0.5)
    for i, (x, y) in enumerate(((0, 0), (80, 22), (-82, 30), (34, 96))):
        put(part, i, (x, y, 20), (180, 0, 20.0 * i))
        words(str((5, 6, 4, 7)[i]), 6.5, ink, (x, y - 27.6, 20.04))
    rod(4.5, 62, m.ground((0.3, 0.29, 0.28), 0.3), (-40, -52, 4.5), (0, 90, 20), 0.6, 6)
    w.camera((30, -210, 190), (4, -2, 10), 62, 5.0, (0, -26, 20))


# ------------------------------------------------------------------ stems


def stem_bars(size: str, count: int, seed: int) -> None:
    work_bench(seed)
    stock = lathe(p.stem(size, "bar"), brass(feed=0.9, marks=0.5, rough=0.34, stain=0.35), 0.5)
    luck = Random(seed)
    for i in range(count):
        put(
            stock,
            i,
            ((i - (count - 1) / 2) * 27, -50 + luck.uniform(-6, 6), 12.5),
            (-90, 0, luck.uniform(-1.5, 1.5)),
        )
    w.camera((130, -300, 230), (4, -16, 6), 62, 4.0, (30, -50, 22))


def stem_between_centres() -> None:
    w.headstock(seed=17)
    w.lathe_light(24, 14)
    w.chuck(9.0, 16, 10)
    cone = [(9, 0), (9, 20), (0.6, 34), (0, 34), (0, 0)]
    place(lathe(cone, steel(rough=0.2), 0.3), (0, 0, 0), (0, 90, 0))
    part = lathe(p.stem("tall", "turned"), brass(feed=0.32, marks=1.3), 0.3)
    place(part, (31 + p.SPIGOT_LENGTH, 0, 0), (0, 90, 0))
    # A carrier clamped on the end, driven by one jaw.
    place(
        lathe([(16, 0), (16, 10), (7.6, 10), (7.6, 0)], m.cast_iron(), 1.2),
        (32.4, 0, 0),
        (0, 90, 0),
    )
    rod(4, 34, m.cast_iron(), (37, 0, 8), (-40, 0, 0))
    w.tailstock(31 + p.SPIGOT_LENGTH + p.STEM_BODY["tall"] + p.TENON_LENGTH - 2.6)
    w.turning_tool((110, -12.1, 0))
    w.swarf("brass", 150, (110, 0, w.SLIDE), (90, 60, 4), 6)
    w.swarf("brass", 20, (111, -22, 0.5), (9, 9, 0.5), 7)
    w.camera((150, -330, 195), (104, 0, -4), 60, 4.0, (108, -10, 8))


def stem_tapering(size: str, seed: int, at: float) -> None:
    w.headstock(seed=seed)
    w.lathe_light(16, 12)
    w.chuck(7.4, 18, 55)
    part = lathe(p.stem(size, "tapered"), brass(feed=0.3, marks=1.25), 0.25)
    place(part, (22, 0, 0), (0, 90, 0))
    body = p.STEM_BODY[size]
    w.tailstock(22 + body + p.TENON_LENGTH - 2.6)
    radius = 10.8 - 3.6 * (at - 22) / body
    w.turning_tool((at, -radius - 0.2, 0))
    w.swarf("brass", 140, (at, 0, w.SLIDE), (90, 60, 4), seed)
    w.swarf("brass", 16, (at + 2, -radius - 10, 0.5), (8, 8, 0.5), seed + 1)
    far = 1.0 if size == "tall" else 0.8
    w.camera((20, -270 * far, 150 * far), (at - 14, 0, -2), 70, 3.6, (at - 10, -6, 6))


def stem_half_made() -> None:
    work_bench(19)
    done = lathe(p.stem("tall", "tapered"), brass(feed=0.28, marks=1.0), 0.25)
    waiting = lathe(p.stem("tall", "turned"), brass(feed=0.34, marks=1.3), 0.3)
    box((210, 62, 16), m.wood(*ASH, plank=0.5), (-2, 4, 8), 1.5)
    for i in range(3):
        put(done, i, (-78 + 31 * i, 4, 16.2), (0, 0, 47.0 * i))
    for i in range(3):
        put(waiting, i, (15 + 31 * i, 4, 16.2), (0, 0, 33.0 * i))
    w.swarf("brass", 60, (0, -40, 0), (200, 40, 1), 26)
    w.camera((150, -400, 180), (-4, 4, 74), 60, 3.2, (20, 0, 70))


def stem_grooves_close() -> None:
    work_bench(20, "mat")
    part = lathe(p.stem("tall", "tapered"), brass(feed=0.3, marks=1.2), 0.25)
    place(part, (-50, -6, 11.8), (0, 90, 14))
    copy(part, (-36, 42, 11.8), (0, 90, 8))
    copy(part, (-58, 86, 11.8), (0, 90, 12))
    w.swarf("brass", 30, (10, -34, 0), (120, 22, 1), 41)
    w.camera((-60, -165, 110), (-14, 6, 8), 58, 5.0, (-24, -2, 20))


def stem_micrometer() -> None:
    work_bench(21, "mat")
    part = lathe(p.stem("tall", "finished"), brass(feed=0.2, marks=0.7), 0.2)
    place(part, (0, -40, 30), (-90, 0, 0))
    for y in (-12, 80):
        box((34, 14, 20), m.wood(*ASH, plank=0.5), (0, y, 10), 1)
    w.micrometer(14.0, (-7, -46, 30), (62, 0, 0))
    copy(part, (-66, 10, 12.2), (-90, 0, 14))
    copy(part, (94, 30, 12.2), (-90, 0, -10))
    w.camera((56, -255, 135), (22, -30, 26), 60, 4.2, (10, -46, 32))


def stem_row(size: str, count: int, seed: int, finish: Any) -> None:
    work_bench(seed, "kraft")
    part = lathe(p.stem(size, "finished"), finish, 0.2)
    luck = Random(seed)
    for i in range(count):
        put(
            part,
            i,
            ((i - (count - 1) / 2) * 28, -40 + luck.uniform(-3, 3), 11.8),
            (-90, 0, luck.uniform(-2, 2)),
        )
    w.camera((110, -230, 150), (-2, -6, 8), 62, 3.4, (20, -44, 14))


def stem_polishing() -> None:
    w.headstock(seed=23)
    w.lathe_light(26, 12)
    w.chuck(7.0, 18, 80)
    place(lathe(p.stem("tall", "finished"), m.polished(m.BRASS, 0.1), 0.2), (20, 0, 0), (0, 90, 0))
    w.tailstock(20 + p.STEM_BODY["tall"] + p.TENON_LENGTH - 2.6)
    w.cross_slide(90)
    box((18, 110, 10), m.wood(*ASH, plank=0.5), (84, -66, -16), 3, (12, 0, -8))
    box((18.8, 16, 11), m.cloth((0.42, 0.40, 0.35)), (78, -17.5, -6.5), 3, (12, 0, -8))
    w.camera((210, -275, 145), (78, -6, -2), 68, 3.2, (82, -8, 6))


def stems_polished() -> None:
    work_bench(24, "felt", fill=0.5)
    tall = lathe(p.stem("tall", "finished"), m.polished(m.BRASS, 0.1), 0.2)
    low = lathe(p.stem("low", "finished"), m.polished(m.BRASS, 0.1), 0.2)
    box((236, 100, 16), m.wood(*ASH, plank=0.5), (0, 18, 8), 1.5)
    row(tall, grid(6, 1, 36, 44, 0, 42), 16.2, seed=5, jitter=0)
    row(low, grid(6, 1, 36, 44, 0, -6), 16.2, seed=6, jitter=0)
    w.camera((110, -440, 200), (-2, 10, 74), 56, 3.0, (20, -6, 60))


# ------------------------------------------------------------------ cup


def cup_turning() -> None:
    w.headstock(seed=27)
    w.lathe_light(24, 15)
    w.chuck(9.0, 7, 33)
    place(lathe(p.cup("turned"), brass(feed=0.3, marks=1.3), 0.3), (6.5, 0, 0), (0, 90, 0))
    w.turning_tool((25.6, -15.2, 0))
    w.swarf("brass", 150, (36, 6, w.SLIDE), (70, 60, 4), 36)
    w.swarf("brass", 18, (27, -25, 0.5), (9, 9, 0.5), 37)
    w.camera((150, -200, 130), (20, -4, -2), 78, 3.4, (26, -14, 8))


def cup_turned() -> None:
    work_bench(28)
    row(lathe(p.cup("turned"), brass(feed=0.3, marks=1.2), 0.3), grid(5, 2, 48, 54, 0, 18), seed=7)
    w.swarf("brass", 70, (0, -50, 0), (240, 40, 1), 46)
    w.camera((130, -310, 170), (-2, 14, 10), 52, 4.5, (16, -2, 24))


def cup_boring() -> None:
    w.headstock(seed=29)
    w.lathe_light(20, 18)
    w.chuck(15.0, 16, 12)
    place(lathe(p.cup("bored"), brass(feed=0.25, marks=1.2), 0.25), (8, 0, 0), (0, 90, 0))
    w.boring_bar((35, -10.4, 0), 4.4, 78)
    w.swarf("brass", 130, (52, -10, w.SLIDE), (60, 60, 4), 53)
    w.swarf("brass", 12, (36, -3, -10.4), (4, 5, 0.5), 54)
    w.camera((160, -150, 110), (32, 0, -2), 74, 3.4, (38, -8, 12))


def cup_bore_gauge() -> None:
    work_bench(30, "mat")
    part = lathe(p.cup("bored"), brass(feed=0.22, marks=0.9), 0.25)
    place(part, (0, 0, 0))
    copy(part, (54, 40, 0))
    copy(part, (-50, 52, 0))
    copy(part, (100, 62, 0))
    copy(part, (-2, 92, 0))
    w.bore_gauge((0, 0, 12), 10.9, (0, 0, -10), 14)
    w.camera((95, -420, 210), (4, 6, 84), 60, 3.4, (0, -6, 110))


def cup_bored_row() -> None:
    work_bench(31, "kraft")
    part = lathe(p.cup("bored"), brass(feed=0.24, marks=1.0), 0.25)
    row(part, grid(5, 2, 50, 62, 0, 10), seed=11, numbers=27)
    w.camera((60, -300, 290), (0, 0, 8), 58, 4.0, (6, -20, 26))


def cup_polishing() -> None:
    w.headstock(seed=33)
    w.lathe_light(26, 12)
    w.chuck(9.0, 7, 75)
    place(lathe(p.cup("reamed"), m.polished(m.BRASS, 0.09), 0.25), (6.5, 0, 0), (0, 90, 0))
    w.cross_slide(50)
    box((18, 100, 10), m.wood(*ASH, plank=0.5), (34, -70, -20), 3, (12, 0, 10))
    box((18.8, 16, 11), m.cloth((0.42, 0.40, 0.35)), (25.6, -22, -10), 3, (12, 0, 10))
    w.camera((140, -200, 120), (20, -4, -4), 78, 3.2, (28, -14, 8))


def cup_polished() -> None:
    work_bench(32, "felt", fill=0.4)
    part = lathe(p.cup("reamed"), m.polished(m.BRASS, 0.1), 0.25)
    row(part, grid(4, 2, 50, 52, 0, 30), seed=13)
    copy(part, (-30, -34, 15.2), (-90, 0, -28))  # one on its side
    copy(part, (36, -30, 30), (180, 0, 0))  # one on its rim
    w.camera((50, -230, 125), (0, 0, 14), 62, 4.2, (10, -34, 22))


# ------------------------------------------------------------------ drip pan


def pan_parting() -> None:
    w.headstock(seed=11)
    w.lathe_light(22, 16)
    w.chuck(30.4, 14, 20)
    dish = [(30, 26), (30, 27.6), (28.6, 27.6), (25.4, 24.8), (14, 24), (13.2, 25.6), (5, 25.6)]
    stock = [(30.3, -40), (30.3, 17.6), (13.6, 18), (13, 20.6), (13.6, 22.4), (26, 23), (29.2, 25)]
    stock += [*dish, (5, -40)]
    place(lathe(stock, steel(feed=0.22, marks=1.1), 0.2), (12, 0, 0), (0, 90, 0))
    box((2.4, 74, 15), m.plain((0.10, 0.10, 0.105), 0.28, 1.0), (31.4, -51, -7.4), 0.2)
    box((40, 50, 40), m.ground((0.3, 0.295, 0.29), 0.34), (40, -106, -16), 1.6)
    for dx in (-10, 8):
        bolt = m.plain((0.1, 0.1, 0.1), 0.32, 1.0)
        rod(4.2, 10, bolt, (40 + dx, -94, 4), (0, 0, 0), 0.8, 6)
    w.cross_slide(46)
    w.swarf("steel", 26, (40, 10, w.SLIDE), (50, 50, 3), 15)
    w.swarf("steel", 3, (31, -30, 3), (3, 8, 2), 17)
    w.camera((200, -210, 150), (26, -8, -4), 70, 3.4, (36, -22, 8))


def pan_parted() -> None:
    work_bench(12)
    part = lathe(p.pan("parted"), steel(feed=0.25, marks=1.4), 0.25)
    row(part, grid(5, 2, 70, 74, 0, 12)[:9], seed=3)
    w.swarf("steel", 16, (20, -70, 0), (160, 26, 1), 23)
    w.camera((120, -400, 260), (0, 10, 2), 48, 5.0, (14, -6, 6))


def pan_boring() -> None:
    w.headstock(seed=13)
    w.lathe_light(20, 18)
    w.chuck(30.0, 7, -25)
    place(lathe(p.pan("bored"), steel(feed=0.25, marks=1.1), 0.2), (6.6, 0, 0), (0, 90, 0))
    w.boring_bar((13.2, -8.8, 0), 3.4, 70)
    w.swarf("steel", 20, (30, -24, w.SLIDE), (40, 50, 3), 33)
    w.camera((160, -165, 116), (12, 0, 0), 72, 3.4, (14, -8, 10))


def pan_scrapped() -> None:
    work_bench(14, "mat")
    bad = lathe(p.pan("scrapped"), steel(feed=0.45, marks=1.6, rough=0.32), 0.2)
    place(bad, (0, 0, 0), (0, 0, 25))
    # Where the tool dug in: a slot from the bore outwards, and a lighter skip beside it.
    for size, at, angle in (
        ((11.0, 1.5, 3.0), (13.0, -3.4, 4.6), -15.0),
        ((6.0, 0.8, 1.4), (12.2, 2.2, 4.8), 8.0),
    ):
        cutter = box(size, None, at, 0, (0, 10, angle))
        cutter.hide_render = True
        cut = bad.modifiers.new("cut", "BOOLEAN")
        cut.object = cutter
        cut.operation = "DIFFERENCE"
        cut.solver = "EXACT"
    good = lathe(p.pan("bored"), steel(feed=0.22, marks=0.9), 0.2)
    place(good, (72, 26, 0))
    copy(good, (66, 92, 0), (0, 0, 70))
    box((52, 22, 0.3), m.plain((0.55, 0.07, 0.045), 0.7), (-64, 4, 0.3), 0, (0, 0, 12))
    words("SCRAP", 11, m.plain((0.02, 0.02, 0.02), 0.6), (-64, 4, 0.5), (0, 0, 12))
    w.camera((-20, -230, 190), (0, 8, 2), 58, 5.0, (0, -6, 5))


def pan_row(numbered: str, seed: int, finish: Any, count: int = 8) -> None:
    """Pans in the box that they travel in."""
    work_bench(seed)
    w.tray((310, 180), (0, 10, 0), m.plain((0.20, 0.21, 0.22), 0.35), 24, 4)
    box((302, 172, 0.6), m.paper((0.55, 0.53, 0.49)), (0, 10, 2.6), 0, (0, 0, 4))
    row(lathe(p.pan("bored"), finish, 0.25), grid(4, 2, 70, 76, 0, 10)[:count], 2.9, seed=seed)
    if numbered:
        w.label(numbered, (30, -112, 0.2), (0, 0, -3), 66, 10)
    w.camera((90, -400, 320), (0, 0, 4), 48, 5.6, (10, -20, 12))


def pan_polished() -> None:
    work_bench(15, "felt")
    part = lathe(p.pan("bored"), m.polished(m.STEEL, 0.09), 0.25)
    row(part, grid(3, 3, 68, 70, 0, 34)[:8], seed=8)
    w.camera((-110, -280, 180), (0, 16, 3), 58, 4.5, (-8, -30, 7))


def pan_plated_close() -> None:
    work_bench(16, "felt", fill=0.5)
    part = lathe(p.pan("bored"), m.polished(m.NICKEL, 0.07), 0.25)
    place(part, (0, 0, 0))
    copy(part, (-46, 56, 14.0), (24, 8, 0))
    copy(part, (60, 50, 0))
    cup = lathe(p.cup("reamed"), m.polished(m.BRASS, 0.1), 0.25)
    place(cup, (-58, -22, 0))
    w.camera((40, -190, 130), (2, 10, 6), 62, 5.0, (0, -14, 7))


# ------------------------------------------------------------------ the set


def table(
    tone: tuple[m.Colour, m.Colour] = WALNUT,
    seed: int = 1,
    evening: bool = False,
    wall_tone: m.Colour = (0.20, 0.19, 0.17),
) -> None:
    """A long table indoors: boards, a plain wall far behind, a window on the left."""
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


TALL = (0, 2, 4, 6)  # places of the tall ones when they alternate with the low ones


def all_eight(
    places: list[tuple[float, float]],
    candles: float = 0.0,
    lit: bool = False,
    tall: tuple[int, ...] = TALL,
) -> None:
    made: dict[str, Any] = {}
    for i, (x, y) in enumerate(places):
        w.candlestick((x, y, 0), "tall" if i in tall else "low", 37.0 * i, candles, lit, made)


TWO_ROWS = [(-190, 60), (-130, -6), (-74, 62), (-16, -2), (42, 60), (100, -4), (158, 58), (214, 2)]


def set_cover() -> None:
    table(OAK, 1)
    all_eight([(x - 14, y) for x, y in TWO_ROWS])
    w.camera((120, -800, 280), (-4, 20, 82), 56, 3.6, (30, 10, 110))


def set_candles() -> None:
    table(OAK, 2, True)
    all_eight([(x - 14, y) for x, y in TWO_ROWS], 150, True)
    w.camera((-100, -960, 330), (0, 20, 140), 54, 3.0, (-10, 0, 150))


def set_line() -> None:
    table(ASH, 3)
    all_eight([(72 * 0.62 * (i - 3.5), 72 * (i - 3.5)) for i in range(8)])
    w.camera((-160, -800, 240), (-8, -40, 80), 58, 2.6, (-100, -160, 120))


def set_above() -> None:
    table(OAK, 4)
    all_eight([(-130 + 87 * (i % 4), -54 + 108 * (i // 4)) for i in range(8)], tall=(4, 5, 6, 7))
    w.camera((90, -460, 590), (0, -6, 70), 50, 4.0, (0, -40, 120))


def set_pair() -> None:
    table(WALNUT, 5)
    made: dict[str, Any] = {}
    w.candlestick((-46, 0, 0), "tall", 10, 150, False, made)
    w.candlestick((46, 24, 0), "low", 50, 150, False, made)
    w.camera((70, -660, 250), (0, 0, 150), 66, 2.6, (-30, 0, 140))


def set_parts() -> None:
    work_bench(41, "kraft", day=22, fill=0.4)
    metal, shiny = m.polished(m.BRASS, 0.12), m.polished(m.STEEL, 0.13)
    nickel = m.polished(m.NICKEL, 0.1)
    for size, x in (("tall", -62.0), ("low", 62.0)):
        side = -1 if x < 0 else 1
        place(lathe(p.foot("tapped"), shiny, 0.3), (x - 6 * side, -98, 0))
        place(lathe(p.pan("bored"), nickel, 0.25), (x - 6 * side, 48, 0))
        place(lathe(p.cup("reamed"), metal, 0.25), (x - 6 * side, 116, 0))
        lying = (x + 38 * side, -30 if size == "tall" else 0, 11.8)
        place(lathe(p.stem(size, "finished"), metal, 0.2), lying, (-90, 0, 4.0 * side))
    w.camera((20, -330, 430), (0, -4, 4), 56, 4.5, (0, -30, 14))


def pressing() -> None:
    """A stem goes into its foot on a hand press."""
    work_bench(42)
    iron = m.paint((0.10, 0.16, 0.15), 0.4)
    box((150, 120, 26), iron, (0, 60, 13), 4)
    box((44, 60, 330), iron, (0, 108, 165), 5)
    box((40, 130, 44), iron, (0, 66, 318), 5)
    box((20, 20, 120), m.ground((0.45, 0.44, 0.43), 0.25), (0, 20, 276), 1)
    place(lathe(p.foot("tapped"), m.polished(m.STEEL, 0.14), 0.3), (0, 20, 26.1))
    place(lathe(p.stem("tall", "finished"), m.polished(m.BRASS, 0.13), 0.25), (0, 20, 52.1))
    box((34, 34, 12), m.wood(*ASH, plank=0.5), (0, 20, 204), 1)
    w.camera((150, -430, 210), (0, 20, 120), 62, 4.0, (0, 10, 70))


def in_their_box() -> None:
    """The eight lie in a box with cloth between them, the lid beside it."""
    table(ASH, 6)
    wood = m.wood(*OAK, plank=0.5)
    w.tray((452, 286), (0, 20, 0), wood, 74, 3)
    w.sheet((430, 270), m.cloth((0.05, 0.075, 0.07)), (0, 20, 9), 3, 4)
    made: dict[str, Any] = {}
    luck = Random(50)
    for i in range(4):
        _lying("tall", (-178 + 69 * i, -72, 42), luck.uniform(1, 5), made)
    for i in range(4):
        where = (108 + 70 * (i % 2), -104 + 130 * (i // 2), 42)
        _lying("low", where, luck.uniform(1, 5), made)
    box((458, 8, 240), wood, (40, 250, 118), 2, (-14, 0, 3))
    w.camera((150, -520, 560), (0, 20, 20), 48, 5.6, (0, 0, 50))


def _lying(size: str, at: w.Triple, turn: float, made: dict[str, Any]) -> None:
    """One candlestick on its side, foot to the front."""
    x, y, z = at
    seat = p.FOOT_HEIGHT + p.STEM_BODY[size]
    parts: tuple[tuple[str, Callable[[], Any], float], ...] = (
        ("foot", lambda: lathe(p.foot("tapped"), m.polished(m.STEEL, 0.14), 0.3), 0.0),
        ("pan", lambda: lathe(p.pan("bored"), m.polished(m.NICKEL, 0.1), 0.3), seat),
        (size, lambda: lathe(p.stem(size, "finished"), m.polished(m.BRASS, 0.13), 0.25), 20.0),
        ("cup", lambda: lathe(p.cup("reamed"), m.polished(m.BRASS, 0.13), 0.3), seat),
    )
    for key, make, along in parts:
        where = (x, y + along, z)
        if key in made:
            copy(made[key], where, (-90, 0, turn))
        else:
            made[key] = place(make(), where, (-90, 0, turn))


def music_table() -> None:
    """The long table of the rehearsal house on an evening, sheets of music between the lights."""
    table(OAK, 8, True)
    page = m.paper((0.72, 0.68, 0.58))
    for x, y, turn in ((-150, -70, 12), (30, -110, -8), (190, -60, 20), (-40, 120, 4)):
        w.sheet((105, 148), page, (x, y, 0.3), turn, int(x) % 7)
    made: dict[str, Any] = {}
    for i in range(8):
        size = "tall" if i in TALL else "low"
        w.candlestick((-330 + 94 * i, 40 + 70 * i, 0), size, 31.0 * i, 150, True, made)
    w.camera((-250, -760, 340), (-30, 110, 128), 42, 2.8, (-190, 120, 120))


def item(number: int) -> Callable[[], None]:
    """A portrait of one finished candlestick; 1 to 4 are tall, 5 to 8 low."""

    def build() -> None:
        luck = Random(100 + number)
        size = "low" if number > 4 else "tall"
        table((WALNUT, OAK, WALNUT, ASH)[number % 4], 10 + number, wall_tone=(0.16, 0.155, 0.145))
        made: dict[str, Any] = {}
        w.candlestick((0, 0, 0), size, 40.0 * number, 0, False, made)
        others = ("tall", "low") if size == "tall" else ("low", "tall")
        for i, (dx, dy) in enumerate(((-120, 290), (135, 350), (34, 490))):
            if luck.random() < 0.75:
                w.candlestick(
                    (dx + luck.uniform(-20, 20), dy, 0),
                    others[i % 2], luck.uniform(0, 360), 0, False, made,
                )  # fmt: skip
        w.label(str(number), (48, -22, 0.1), (0, 0, luck.uniform(-14, 6)), 20, 13)
        side = luck.uniform(-140, 120)
        high = luck.uniform(170, 260)
        far, middle = (-540, 92) if size == "tall" else (-430, 60)
        w.camera((side, far, high), (2, 0, middle), 74, 2.8, (0, -12, middle + 28))

    return build


# ------------------------------------------------------------------ the list

PHONE2 = 2


def _shot(
    file: str, part: str, op: int | str, piece: str, taken: str, build: Callable[[], None],
    note: str, **more: Any,
) -> Shot:  # fmt: skip
    return Shot(file, part, str(op), piece, note, taken, build, **more)


def _on(date: str, clock: str, summer: bool = False) -> str:
    return f"{date}T{clock}{'+02:00' if summer else '+01:00'}"


SHOTS: tuple[Shot, ...] = (
    _shot("foot-op10-1.jpg", "foot", 10, "", _on("2026-02-14", "10:12:31.417"), foot_blanks,
          "Ten sawn stainless blanks for the feet, before the first cut", gps=True),
    _shot("bench-0031.jpg", "foot", 10, "foot-1", _on("2026-02-14", "10:58:07.802"), foot_facing,
          "First blank in the chuck, facing cut running to the middle"),
    _shot("foot-op10-2.jpg", "foot", 10, "foot-4", _on("2026-02-15", "14:20:44.093"), foot_boring,
          "Boring bar in the 14 mm bore of foot 4"),
    _shot("foot-op10-3.jpg", "foot", 10, "foot-7", _on("2026-02-15", "16:41:19.655"),
          foot_plug_gauge, "Go and no-go plug beside the bored feet"),
    _shot("bench-0044.jpg", "foot", 20, "foot-2", _on("2026-02-21", "11:03:52.238"),
          foot_turning_cone, "Turning the cone of foot 2", gps=True),
    _shot("foot-op20-1.jpg", "foot", 20, "foot-3", _on("2026-02-22", "15:37:10.911"),
          foot_turned_close, "Tool marks on foot 3 straight off the lathe"),
    _shot("foot-op20-2.jpg", "foot", 20, "foot-5", _on("2026-02-28", "17:34:26.340"),
          foot_caliper, "Caliper across the rim of foot 5"),
    _shot("foot-op30-1.jpg", "foot", 30, "foot-6", _on("2026-03-07", "10:44:02.127"),
          foot_tapping, "Tapping M6 by hand through foot 6"),
    _shot("foot-op30-2.jpg", "foot", 30, "foot-8", _on("2026-03-07", "13:18:35.568"), foot_thread,
          "The M6 thread for the weight, foot 8 from below"),
    _shot("foot-op40-1.jpg", "foot", 40, "foot-1", _on("2026-03-14", "11:26:48.774"),
          foot_polishing, "Foot 1 back in the chuck for polishing", gps=True),
    _shot("foot-op40-2.jpg", "foot", 40, "", _on("2026-03-14", "18:52:13.036"),
          foot_polished_row, "All ten feet polished"),
    _shot("tall-stem-op10-1.jpg", "tall-stem", 10, "", _on("2026-03-21", "09:55:16.633"),
          lambda: stem_bars("tall", 6, 16), "Brass bar cut to length for six tall stems",
          orientation=6, portrait=True),
    _shot("bench-0071.jpg", "tall-stem", 10, "tall-stem-1", _on("2026-03-21", "11:40:28.097"),
          stem_between_centres, "Tall stem 1 turned between centres with a carrier", gps=True),
    _shot("tall-stem-op20-1.jpg", "tall-stem", 20, "tall-stem-2",
          _on("2026-03-28", "10:33:45.521"), lambda: stem_tapering("tall", 18, 96),
          "The taper of tall stem 2, live centre on the right"),
    _shot("tall-stem-op20-2.jpg", "tall-stem", 20, "", _on("2026-03-28", "16:58:33.870"),
          stem_half_made, "Three tall stems tapered, three still waiting"),
    _shot("tall-stem-op20-3.jpg", "tall-stem", 20, "tall-stem-5",
          _on("2026-04-03", "17:21:09.344", True), stem_grooves_close,
          "The three grooves of tall stem 5 after the tool was touched up"),
    _shot("tall-stem-op30-1.jpg", "tall-stem", 30, "tall-stem-5",
          _on("2026-04-11", "10:17:54.206", True), stem_micrometer,
          "Micrometer on the 14 mm spigot of tall stem 5"),
    _shot("low-stem-op10-1.jpg", "low-stem", 10, "", _on("2026-04-12", "09:41:12.300", True),
          lambda: stem_bars("low", 6, 17), "Six short bars for the low stems"),
    _shot("low-stem-op20-1.jpg", "low-stem", 20, "low-stem-3",
          _on("2026-04-18", "15:08:40.752", True), lambda: stem_tapering("low", 19, 58),
          "The taper of low stem 3"),
    _shot("low-stem-op30-1.jpg", "low-stem", 30, "", _on("2026-04-25", "18:03:41.982", True),
          lambda: stem_row("low", 6, 22, brass(feed=0.2, marks=0.7)),
          "Six low stems with both spigots to size", gps=True),
    _shot("tall-stem-op40-1.jpg", "tall-stem", 40, "tall-stem-3",
          _on("2026-05-01", "19:25:30.415", True), stem_polishing,
          "Polishing tall stem 3 with felt on a stick"),
    _shot("low-stem-op40-1.jpg", "low-stem", 40, "", _on("2026-05-02", "11:48:12.759", True),
          stems_polished, "All twelve stems polished", orientation=6, portrait=True),
    _shot("cup-op10-1.jpg", "cup", 10, "cup-2", _on("2026-05-09", "10:51:37.277", True),
          cup_turning, "Turning the outside of cup 2"),
    _shot("cup-op10-2.jpg", "cup", 10, "", _on("2026-05-10", "17:34:18.843", True), cup_turned,
          "Ten cups turned outside, sockets still solid", gps=True),
    _shot("bench-0118.jpg", "cup", 20, "cup-4", _on("2026-05-16", "11:12:46.519", True),
          cup_boring, "Boring the candle socket of cup 4"),
    _shot("cup-op20-1.jpg", "cup", 20, "cup-5", _on("2026-05-16", "15:28:01.064", True),
          cup_bore_gauge, "Bore gauge standing in the socket of cup 5", orientation=6,
          portrait=True),
    _shot("cup-op20-2.jpg", "cup", 20, "", _on("2026-05-16", "18:45:29.396", True),
          cup_bored_row, "Ten cups bored, numbered in the order they were made"),
    _shot("cup-op40-1.jpg", "cup", 40, "cup-1", _on("2026-06-05", "20:11:53.731", True),
          cup_polishing, "Cup 1 in the chuck, last polish"),
    _shot("cup-op40-2.jpg", "cup", 40, "", _on("2026-06-06", "12:19:40.187", True),
          cup_polished, "Ten cups polished"),
    _shot("pan-op10-1.jpg", "pan", 10, "pan-1", _on("2026-06-13", "10:09:57.489", True),
          pan_parting, "Parting off the first drip pan"),
    _shot("pan-op10-2.jpg", "pan", 10, "", _on("2026-06-13", "16:47:21.905", True), pan_parted,
          "Nine drip pans parted off"),
    _shot("bench-0140.jpg", "pan", 20, "pan-3", _on("2026-06-20", "14:31:39.261", True),
          pan_boring, "Boring the hub of drip pan 3"),
    _shot("pan-op20-1.jpg", "pan", 20, "pan-6", _on("2026-06-20", "15:22:04.718", True),
          pan_scrapped, "Drip pan 6: the boring tool dug in, hub bored too large; scrapped",
          gps=True),
    _shot("pan-op30-1.jpg", "pan", 30, "", _on("2026-06-27", "19:14:50.152", True), pan_polished,
          "The drip pans polished"),
    _shot("pan-op40-1.jpg", "pan", 40, "", _on("2026-07-01", "20:06:22.108", True),
          lambda: pan_row("8 pans out", 25, m.polished(m.STEEL, 0.1)),
          "Eight pans packed for the plating shop"),
    _shot("pan-op40-2.jpg", "pan", 40, "", _on("2026-07-24", "18:39:05.690", True),
          lambda: pan_row("", 26, m.polished(m.NICKEL, 0.07)), "The same eight back, in nickel"),
    _shot("pan-op40-3.jpg", "pan", 40, "pan-2", _on("2026-07-24", "19:02:44.020", True),
          pan_plated_close, "Nickel beside brass: pan 2 and a cup"),
    _shot("foot-op50-1.jpg", "foot", 50, "", _on("2026-08-07", "18:20:16.555", True), foot_marked,
          "The marks: a number punched under each foot"),
    _shot("assembly-1.jpg", "set", "", "", _on("2026-08-08", "10:05:11.230", True), pressing,
          "A stem going into its foot on the hand press"),
    _shot("set-6.jpg", "set", "", "", _on("2026-08-08", "09:27:18.801", True), set_parts,
          "What one tall and one low candlestick are made of", gps=True),
    _shot("set-1.jpg", "set", "", "", _on("2026-09-05", "15:08:24.610", True), set_cover,
          "All eight candlesticks: four tall, four low", phone=PHONE2, gps=True, samples=1.6),
    _shot("set-3.jpg", "set", "", "", _on("2026-09-05", "15:22:10.458", True), set_line,
          "The eight in line", phone=PHONE2, samples=1.3),
    _shot("set-4.jpg", "set", "", "", _on("2026-09-05", "15:29:55.926", True), set_above,
          "The eight from above", phone=PHONE2, orientation=3),
    _shot("set-5.jpg", "set", "", "", _on("2026-09-05", "16:02:33.374", True), set_pair,
          "One tall and one low with their candles", phone=PHONE2, portrait=True, orientation=6),
    _shot("set-2.jpg", "set", "", "", _on("2026-09-05", "20:31:47.083", True), set_candles,
          "All eight lit for the first time", phone=PHONE2, samples=1.8),
    _shot("box-1.jpg", "set", "", "", _on("2026-09-26", "14:12:05.111", True), in_their_box,
          "The eight in their box, ready to go", phone=PHONE2),
    _shot("evening-1.jpg", "set", "", "", _on("2026-10-02", "19:48:36.900", True), music_table,
          "The first rehearsal by their light", phone=PHONE2, samples=1.8),
    *(
        _shot(
            f"item-{n}.jpg", "set", "", f"item {n}",
            _on("2026-09-06", f"17:{6 * n:02d}:{7 * n % 60:02d}.{137 * n % 1000:03d}", True),
            item(n), f"Candlestick {n}, {'low' if n > 4 else 'tall'}",
            orientation=8 if n in (4, 7) else 6, portrait=True, phone=PHONE2, gps=n == 3,
            samples=1.8,
        )
        for n in range(1, 9)
    ),
)  # fmt: skip
