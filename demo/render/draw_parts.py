"""Draw the demo's part drawings as SVG, from the same profiles as its photos.

    python demo/render/draw_parts.py            # writes demo/drawings/*.svg
    python demo/render/draw_parts.py --check    # writes nothing; says what is out of step

A drawing shows no values: the record puts a numbered mark at each dimension's `at`, and this
script leaves the place for it. Line types follow ISO 128-2, sections ISO 128-3, dimension lines
ISO 129-1. The sheet is A5 landscape, so that the scale in the title block is true on paper.
Sizes and `at` are compared with `demo/build.toml`; a disagreement ends with status 1.
"""

from __future__ import annotations

import argparse
import re
import sys
import tomllib
from collections.abc import Callable, Iterable, Sequence
from itertools import pairwise
from math import atan2, cos, hypot, pi, sin
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE))

import profiles  # noqa: E402  (it lies beside this script)

DEMO = HERE.parent
PER_MM = 5  # picture units per millimetre of paper
WIDTH, HEIGHT = 210 * PER_MM, 148 * PER_MM
INK = "#24211d"
THICK, THIN = 0.5 * PER_MM, 0.25 * PER_MM  # ISO 128-2, line group 0.5
ARROW = 16.0  # length of an arrowhead
CLEAR = 44.0  # half of the gap for a mark: the largest mark reaches 39
HATCH = 11.0  # between two lines of hatching
LONG_DASH_DOT = "30 4 2 4"
NUMBERS = "Numbers: see the list of dimensions."

Point = tuple[float, float]
Place = Callable[[float, float], Point]
Part = dict[str, Any]


def n(value: float) -> str:
    """A coordinate with at most one decimal."""
    return f"{round(value, 1) + 0.0:.1f}".removesuffix(".0")


class Sheet:
    """One drawing in the making: strokes by line type, texts, and where the marks go."""

    def __init__(self) -> None:
        self.thick: list[str] = []
        self.thin: list[str] = []
        self.hatching: list[str] = []
        self.centre: list[str] = []
        self.solid: list[str] = []
        self.texts: list[str] = []
        self.marks: dict[str, Point] = {}
        self.sizes: dict[str, float] = {}

    @staticmethod
    def path(points: Iterable[Point], closed: bool = False) -> str:
        return "M" + " ".join(f"{n(x)} {n(y)}" for x, y in points) + ("Z" if closed else "")

    def outline(self, points: Iterable[Point], closed: bool = False) -> None:
        self.thick.append(self.path(points, closed))

    def fine(self, *points: Point) -> None:
        self.thin.append(self.path(points))

    def box(self, x: float, y: float, w: float, h: float, thick: bool = False) -> None:
        drawn = f"M{n(x)} {n(y)}h{n(w)}v{n(h)}h{n(-w)}Z"
        (self.thick if thick else self.thin).append(drawn)

    def circle(self, x: float, y: float, r: float, thick: bool = False) -> None:
        arc = f"a{n(r)} {n(r)} 0 1 0"
        drawn = f"M{n(x - r)} {n(y)}{arc} {n(2 * r)} 0{arc} {n(-2 * r)} 0Z"
        (self.thick if thick else self.thin).append(drawn)

    def axis(self, a: Point, b: Point) -> None:
        self.centre.append(self.path([a, b]))

    def arrow(self, tip: Point, origin: Point) -> None:
        """A filled arrowhead with its tip at `tip`, coming from `origin`."""
        angle = atan2(tip[1] - origin[1], tip[0] - origin[0])
        x, y = tip[0] - ARROW * cos(angle), tip[1] - ARROW * sin(angle)
        dx, dy = -sin(angle) * ARROW / 6, cos(angle) * ARROW / 6
        self.solid.append(self.path([tip, (x + dx, y + dy), (x - dx, y - dy)], closed=True))

    def text(self, x: float, y: float, words: str, size: float, **also: str) -> None:
        more = "".join(f' {k.replace("_", "-")}="{v}"' for k, v in also.items())
        self.texts.append(
            f'<text x="{n(x)}" y="{n(y)}" font-size="{n(size)}"{more}>{escape(words)}</text>'
        )

    def mark(self, id: str, place: Point, size: float | None = None) -> None:
        """Keep the place of a dimension's mark; `size` is what the picture shows, in mm."""
        self.marks[id] = place
        if size is not None:
            self.sizes[id] = size

    def hatch(self, polygon: Sequence[Point], step: float = HATCH) -> None:
        """Thin lines at 45 degrees over the inside of a closed polygon (even-odd)."""
        turned = [(x + y, x - y) for x, y in polygon]  # x + y is the same along such a line
        step *= 2**0.5
        u = (min(u for u, _ in turned) // step + 0.5) * step
        while u < max(u for u, _ in turned):
            cuts = []
            for i, (u1, v1) in enumerate(turned):
                u0, v0 = turned[i - 1]
                if (u0 < u) != (u1 < u):
                    cuts.append(v0 + (v1 - v0) * (u - u0) / (u1 - u0))
            cuts.sort()
            for a, b in zip(cuts[::2], cuts[1::2], strict=True):
                if b - a > 2:
                    ends = [((u + v) / 2, (u - v) / 2) for v in (a, b)]
                    self.hatching.append(self.path(ends))
            u += step

    # ------------------------------------------------------------- dimensions

    def linear(self, a: Point, b: Point, mark: Point) -> None:
        """A dimension line with arrows inside and a gap for its mark."""
        self.arrow(a, b)
        self.arrow(b, a)
        length = hypot(b[0] - a[0], b[1] - a[1])
        dx, dy = (b[0] - a[0]) / length * CLEAR, (b[1] - a[1]) / length * CLEAR
        self.fine(a, (mark[0] - dx, mark[1] - dy))
        self.fine((mark[0] + dx, mark[1] + dy), b)

    def across(self, x: float, top: float, bottom: float, mark: float) -> Point:
        """A diameter of a lying part: arrows from outside, the line drawn up to the mark."""
        self.fine((x, mark + CLEAR), (x, bottom + 2.2 * ARROW))
        self.arrow((x, top), (x, mark))
        self.arrow((x, bottom), (x, bottom + 9))
        return (x, mark)

    def half(self, wall: float, axis: float, y: float, mark: float) -> Point:
        """A bore in a half-section: one arrow at the wall, the line ends just past the axis."""
        self.arrow((wall, y), (axis, y))
        self.fine((wall, y), (mark + CLEAR, y))
        return (mark, y)

    # ------------------------------------------------------------- the whole

    def svg(self, title: str, description: str) -> str:
        layers = [
            (f'stroke-width="{THICK}"', self.thick),
            (f'stroke-width="{THIN}"', self.thin),
            ('stroke-width="1"', self.hatching),
            (f'stroke-width="{THIN}" stroke-dasharray="{LONG_DASH_DOT}"', self.centre),
            (f'fill="{INK}" stroke="none"', self.solid),
        ]
        lines = "\n".join(f'<path {style} d="{"".join(d)}"/>' for style, d in layers if d)
        texts = "\n".join(self.texts)
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="210mm" height="148mm" '
            f'viewBox="0 0 {WIDTH} {HEIGHT}">\n'
            f"<title>{escape(title)}</title>\n<desc>{escape(description)}</desc>\n"
            f'<g fill="none" stroke="{INK}" stroke-linecap="round" stroke-linejoin="round">\n'
            f'{lines}\n</g>\n<g fill="{INK}" font-family="sans-serif">\n{texts}\n</g>\n</svg>\n'
        )


# ------------------------------------------------------------------ profiles to lines


def edges(outside: Sequence[Point]) -> dict[float, float]:
    """Heights where an outside profile turns by over 20 degrees, with the largest radius there."""
    found: dict[float, float] = {}
    for (a, b), (r, z), (c, d) in zip(outside, outside[1:], outside[2:], strict=False):
        dot = (r - a) * (c - r) + (z - b) * (d - z)
        if dot < 0.94 * hypot(r - a, z - b) * hypot(c - r, d - z):
            found[z] = max(r, found.get(z, 0.0))
    return found


def radius_at(outside: Sequence[Point], z: float) -> float:
    """Radius of an outside profile at height z. Raises ValueError beyond its ends."""
    for (a, low), (b, high) in pairwise(outside):
        if low <= z < high:
            return a + (b - a) * (z - low) / (high - low)
    raise ValueError(f"the profile does not reach {z}")


def half_section(
    sheet: Sheet,
    place: Place,
    outside: Sequence[Point],
    section: Sequence[Point],
    seen: Sequence[Point],
    step: float = HATCH,
) -> None:
    """View left of the axis, section right of it; `seen` are edges (r, z) behind the cut."""
    low, high = outside[0][1], outside[-1][1]
    profile = [(0.0, low), *outside, (0.0, high)]
    sheet.outline(place(-r, z) for r, z in profile)
    for z, r in edges(profile).items():
        if low < z < high:
            sheet.outline([place(-r, z), place(0, z)])
    cut = [place(r, z) for r, z in section]
    sheet.outline(cut, closed=True)
    sheet.hatch(cut, step)
    for r, z in seen:
        sheet.outline([place(0, z), place(r, z)])


def upright(cx: float, base: float, scale: float) -> Place:
    """From radius and height in mm to the picture, the axis standing at cx."""
    return lambda r, z: (cx + r * scale, base - z * scale)


# ------------------------------------------------------------------ what every sheet has


def frame(sheet: Sheet, part: Part, material: str, scale: str, notes: Sequence[str]) -> None:
    """Border, title block and notes."""
    sheet.box(25, 25, WIDTH - 50, HEIGHT - 50, thick=True)
    x, y, w, h = 505.0, 599.0, 520.0, 116.0
    rows, a, b = (42.0, 79.0), x + 300, x + 420
    sheet.box(x, y, w, h, thick=True)
    for row in rows:
        sheet.fine((x, y + row), (x + w, y + row))
    sheet.fine((a, y), (a, y + h))
    sheet.fine((b, y + rows[0]), (b, y + h))
    cells = [
        (x, y, "Part", str(part["name"]), 22.0, 35.0),
        (a, y, "Drawing no.", str(part["drawing"]), 22.0, 35.0),
        (x, y + rows[0], "Material", material, 15.0, 30.0),
        (a, y + rows[0], "Scale", scale, 15.0, 30.0),
        (b, y + rows[0], "Sheet", "A5", 15.0, 30.0),
        (x, y + rows[1], "Origin", "Invented for the demo", 15.0, 30.0),
        (a, y + rows[1], "Tolerances", "ISO 2768-m", 15.0, 30.0),
    ]
    for left, top, label, words, size, drop in cells:
        sheet.text(left + 8, top + 13, label, 10.5)
        sheet.text(left + 8, top + drop, words, size, font_weight="600")
    # First-angle projection (ISO 5456-2): the cone's small end looks away from its end view.
    px, py = b + 20, y + rows[1] + 18.5
    sheet.outline([(px, py - 6), (px + 26, py - 12), (px + 26, py + 12), (px, py + 6)], closed=True)
    sheet.circle(px + 50, py, 12, thick=True)
    sheet.circle(px + 50, py, 6, thick=True)
    sheet.axis((px - 6, py), (px + 68, py))
    sheet.axis((px + 50, py - 17), (px + 50, py + 17))
    for i, words in enumerate(reversed([*notes, NUMBERS])):
        sheet.text(44, HEIGHT - 42 - 22 * i, words, 15)


# ------------------------------------------------------------------ the parts


def foot(part: Part, material: str) -> Sheet:
    sheet, cx, base = Sheet(), 545.0, 415.0
    place = upright(cx, base, 10.0)
    turned = profiles.foot("turned")
    top = turned.index((7.5, profiles.FOOT_HEIGHT))
    floor = profiles.FOOT_HEIGHT - profiles.FOOT_BORE_DEPTH
    closing = turned.index((0, floor))
    bore, under = turned[top:closing], turned[closing + 2 :]
    outside = [under[-1], *turned[:top]]
    core = [(2.5, floor), (2.5, 3.6), (3.1, 3.0)]  # M6: crests at about Ø5, countersunk
    section = [*turned[:top], *bore, *core, *under]
    seen = [(7.5, 20.0), (7.0, 19.5), (2.5, floor), (2.5, 3.6), (24.0, 0.0)]
    half_section(sheet, place, outside, section, seen)
    sheet.fine(place(3.0, floor), place(3.0, 3.1))  # the thread's roots are thin, ISO 6410-1
    up = place(0, profiles.FOOT_HEIGHT)[1]
    sheet.axis((cx, up - 98), (cx, base + 92))

    wall, y = place(7.0, 0)[0], up - 72
    sheet.fine((wall, up - 5), (wall, y - 10))
    sheet.mark("bore", sheet.half(wall, cx, y, cx - 74), 2 * bore[1][0])
    # Its axis is datum A (ISO 5459: the triangle stands in line with the dimension line).
    sheet.solid.append(sheet.path([(wall, y - 8), (wall + 15, y), (wall, y + 8)], closed=True))
    sheet.fine((wall + 15, y), (wall + 50, y))
    sheet.box(wall + 50, y - 17, 34, 34)
    sheet.text(wall + 67, y + 6.5, "A", 19, text_anchor="middle")

    x = 925.0
    sheet.fine((place(13.0, 0)[0] + 5, up), (x + 10, up))
    sheet.fine((place(32, 0)[0] + 5, base), (x + 10, base))
    mark = (x, (up + base) / 2)
    sheet.linear((x, up), (x, base), mark)
    sheet.mark("height", mark, outside[-1][1] - outside[0][1])

    y = base + 150
    left, right = place(-32, 0)[0], place(32, 0)[0]
    for edge in (left, right):
        sheet.fine((edge, base - 1), (edge, y + 10))
    sheet.linear((left, y), (right, y), (cx, y))
    sheet.mark("rim", (cx, y), 2 * max(r for r, _ in outside))

    # Circular runout of the rim to A (ISO 1101); the mark stands where the value would.
    tip = place(-32, 2.6)
    x, y, high, cells = 38.0, tip[1] - 31, 62.0, (46.0, 78.0, 40.0)
    sheet.box(x, y, sum(cells), high)
    for stop in (cells[0], cells[0] + cells[1]):
        sheet.fine((x + stop, y), (x + stop, y + high))
    sheet.fine((x + 13, y + 44), (x + 33, y + 19))
    sheet.arrow((x + 33, y + 19), (x + 13, y + 44))
    sheet.text(x + cells[0] + cells[1] + 20, y + 37.5, "A", 19, text_anchor="middle")
    sheet.fine((x + sum(cells), tip[1]), tip)
    sheet.arrow(tip, (x, tip[1]))
    sheet.mark("runout", (x + cells[0] + cells[1] / 2, tip[1]))

    wall, y = place(3.0, 0)[0], base + 68
    sheet.fine((wall, base + 5), (wall, y + 10))
    sheet.mark("thread", sheet.half(wall, cx, y, cx - 74), 6.0)

    # Surface of the cone, material to be removed (ISO 21920-1).
    r = 22.5
    z = min(z for radius, z in outside if z > 5 and radius < r)
    tip, (x, y) = place(-radius_at(outside, z), z), (200.0, 235.0)
    sheet.fine(tip, (x + 100, y), (x - 20, y))
    sheet.arrow(tip, (x + 100, y))
    sheet.fine((x - 17, y - 29), (x, y), (x + 52, y - 89), (x + 140, y - 89))
    sheet.fine((x - 17, y - 29), (x + 17, y - 29))
    sheet.mark("finish", (x + 96, y - 42))

    sheet.mark("look", (84, 610))
    sheet.text(128, 615, "Look of the finished foot, all over.", 15)
    frame(
        sheet, part, material, "2:1", ["Two grooves 0.5 deep.", "Recess and thread for the weight."]
    )
    return sheet


def centre_hole(end: float, way: int) -> list[Point]:
    """Half of a centre hole, from the face inwards; `way` is +1 where z grows into the part."""
    return [(1.6, end), (0.8, end + way * 1.4), (0.8, end + way * 3.0), (0.0, end + way * 3.5)]


def stem(part: Part, material: str, size: str) -> Sheet:
    body = profiles.STEM_BODY[size]
    sheet, x0, axis = Sheet(), 210.0 if size == "tall" else 370.0, 245.0

    def place(r: float, z: float) -> Point:
        return (x0 + z * 5, axis - r * 5)

    finished = profiles.stem(size, "finished")
    low, high = -profiles.SPIGOT_LENGTH, body + profiles.TENON_LENGTH
    outside = finished[: finished.index((1.6, high))]
    profile = [(0.0, low), *outside, (0.0, high)]
    lower = [place(-r, z) for r, z in reversed(outside)]
    sheet.outline([*(place(r, z) for r, z in profile), *lower], closed=True)
    for z, r in edges(profile).items():
        if 0 < z < 0.5:
            continue  # so near the shoulder that the two lines would run together
        if low + 1 < z < high - 1:
            sheet.outline([place(-r, z), place(r, z)])
        elif low < z < high:  # the chamfer's edge stops at the broken-out section
            for side in (-1, 1):
                sheet.outline([place(side * 2.8, z), place(side * r, z)])
    sheet.axis(place(0, low - 7), place(0, high + 9))

    # A solid shaft is not cut lengthwise (ISO 128-3): only the centre holes are broken out.
    rim = [
        (2.8, 0.0), (2.7, 1.2), (3.0, 2.4), (2.5, 3.6), (1.7, 4.5), (0.4, 4.9),
        (-0.9, 4.6), (-1.9, 4.3), (-2.6, 3.2), (-2.5, 1.9), (-2.8, 0.9), (-2.7, 0.0),
    ]  # fmt: skip
    for end, way in ((low, 1), (high, -1)):
        broken = [place(r, end + way * depth) for r, depth in rim]
        hole = centre_hole(end, way)
        both = [place(r, z) for r, z in hole] + [place(-r, z) for r, z in reversed(hole)]
        sheet.fine(*broken)
        sheet.outline(both)
        sheet.hatch([*broken, *reversed(both)], 5.5)

    y = axis + 125
    left, right = place(0, 0)[0], place(0, body)[0]
    for x, r in ((left, radius_at(outside, 0.0)), (right, radius_at(outside, body - 0.5))):
        sheet.fine((x, axis + r * 5 + 5), (x, y + 10))
    mark = ((left + right) / 2, y)
    sheet.linear((left, y), (right, y), mark)
    sheet.mark("length", mark, body)

    for id, z in (("waist", body - 6.1), ("spigot", -3.4), ("tip", body + 6.0)):
        r = radius_at(outside, z)
        x, top = place(r, z)
        sheet.mark(id, sheet.across(x, top, place(-r, z)[1], axis - 135), 2 * r)

    # Detail X: the end with its centre hole.
    ring = place(0, high - 2.2)
    sheet.circle(*ring, 31)
    sheet.text(ring[0] + 26, ring[1] - 29, "X", 19)
    scale, ex, ey = 5.0 * PER_MM, 430.0, 530.0

    def near(r: float, z: float) -> Point:
        return (ex + (z - high) * scale, ey - r * scale)

    face, broken_at = outside[-2:], high - 6.2
    r = face[0][0]
    wave = [near(r - r * i / 8, broken_at + 0.22 * sin(3 * pi * i / 16)) for i in range(17)]
    hole = centre_hole(high, -1)
    skin = [*face, *hole]
    loop = [near(*p) for p in skin] + [near(-r, z) for r, z in reversed(skin)]
    sheet.outline([wave[0], *loop, wave[-1]])
    for r, z in hole[:-1]:
        sheet.outline([near(-r, z), near(r, z)])
    sheet.fine(*wave)
    sheet.hatch([*loop, *reversed(wave)])
    sheet.axis(near(0, broken_at - 1.2), near(0, high + 1.4))
    sheet.text(165, 442, "X (5:1)", 19)
    frame(sheet, part, material, "1:1", ["Straight taper, three grooves. Centre holes remain."])
    return sheet


def cup(part: Part, material: str) -> Sheet:
    sheet, cx, base = Sheet(), 420.0, 455.0
    place = upright(cx, base, 10.0)
    reamed = profiles.cup("reamed")
    top = reamed.index((12.0, profiles.CUP_HEIGHT))
    outside, inside = reamed[:top], reamed[top:]
    floor = profiles.CUP_HEIGHT - profiles.SOCKET_DEPTH
    seen = [(12.0, 30.0), (11.0, 29.0), (5.0, floor), (5.0, 0.5), (5.5, 0.0)]
    half_section(sheet, place, outside, reamed, seen)
    up = place(0, profiles.CUP_HEIGHT)[1]
    sheet.axis((cx, up - 32), (cx, base + 96))

    x = 800.0
    sheet.fine((place(14.4, 0)[0] + 8, up), (x + 10, up))
    sheet.fine((place(9.0, 0)[0] + 5, base), (x + 10, base))
    mark = (x, (up + base) / 2)
    sheet.linear((x, up), (x, base), mark)
    sheet.mark("height", mark, outside[-1][1] - outside[0][1])

    y = up - 78
    left, right = place(-15, 0)[0], place(15, 0)[0]
    for edge in (left, right):
        sheet.fine((edge, up), (edge, y - 10))
    sheet.linear((left, y), (right, y), (cx, y))
    sheet.mark("outside", (cx, y), 2 * max(r for r, _ in outside))

    wall, y = place(11, 21)
    sheet.mark("bore", sheet.half(wall, cx, y, cx - 74), 2 * inside[1][0])

    y = base + 124
    left, right = place(-9, 0)[0], place(9, 0)[0]
    for edge in (left, right):
        sheet.fine((edge, base + 5), (edge, y + 10))
    sheet.linear((left, y), (right, y), (cx, y))
    sheet.mark("neck", (cx, y), 18.0)

    wall, y = place(5, 0)[0], base + 68
    sheet.fine((wall, base + 5), (wall, y + 10))
    sheet.mark("hole", sheet.half(wall, cx, y, cx - 74), 2 * inside[3][0])
    frame(sheet, part, material, "2:1", ["Two grooves 0.5 deep.", "Polished inside and out."])
    return sheet


def pan(part: Part, material: str) -> Sheet:
    sheet, cx, base = Sheet(), 480.0, 350.0
    place = upright(cx, base, 10.0)
    bored = profiles.pan("bored")
    top = bored.index((28.6, 7.0)) + 1
    outside = bored[:top]
    dish = bored[top:]
    half_section(sheet, place, outside, bored, [(28.6, 7.0), (9.43, 5.0), (9.03, 4.6)])
    up = place(0, profiles.PAN_HUB)[1]
    sheet.axis((cx, up - 98), (cx, base + 32))

    y = base + 130
    left, right = place(-30, 0)[0], place(30, 0)[0]
    for edge in (left, right):
        sheet.fine((edge, base - 40), (edge, y + 10))
    sheet.linear((left, y), (right, y), (cx, y))
    sheet.mark("outside", (cx, y), 2 * max(r for r, _ in outside))

    x = right + 110
    sheet.fine((place(dish[2][0], 0)[0] + 5, up), (x + 10, up))
    sheet.fine((place(13.0, 0)[0] + 5, base), (x + 10, base))
    high = base + 74
    sheet.arrow((x, up), (x, up - 60))
    sheet.fine((x, up), (x, up - 60))
    sheet.arrow((x, base), (x, high))
    sheet.fine((x, base), (x, high - CLEAR))
    sheet.mark("hub", (x, high), profiles.PAN_HUB)

    wall, y = place(9.0, 0)[0], up - 72
    sheet.fine((wall, up - 5), (wall, y - 10))
    sheet.mark("bore", sheet.half(wall, cx, y, cx - 74), 18.0)
    frame(sheet, part, material, "2:1", ["Polished all over, then nickel 8 to 12 micrometres."])
    return sheet


DRAWN: dict[str, Callable[[Part, str], Sheet]] = {
    "foot": foot,
    "tall-stem": lambda part, material: stem(part, material, "tall"),
    "low-stem": lambda part, material: stem(part, material, "low"),
    "cup": cup,
    "pan": pan,
}


def at(point: Point) -> tuple[float, float]:
    """A place as shares of the picture's width and height, as build.toml has it."""
    return (round(point[0] / WIDTH, 3), round(point[1] / HEIGHT, 3))


def out_of_step(part: Part, sheet: Sheet) -> list[str]:
    """What differs between a drawing and the part's dimensions in build.toml."""
    found = []
    dims = {dim["id"]: dim for dim in part["dim"]}
    for id in dims.keys() ^ sheet.marks.keys():
        found.append(f"{part['id']}.{id}: only on the drawing, or only in build.toml")
    for id in dims.keys() & sheet.marks.keys():
        x, y = at(sheet.marks[id])
        if dims[id].get("at") != [x, y]:
            found.append(f"{part['id']}.{id}: wants at = [{x}, {y}]")
        written = re.search(r"\d+(\.\d+)?", dims[id]["callout"])
        drawn = sheet.sizes.get(id)
        # What is drawn may be off by less than the eye could see on paper.
        if drawn is not None and (written is None or abs(float(written[0]) - drawn) > 0.05):
            found.append(f"{part['id']}.{id}: drawn {drawn:g}, written {dims[id]['callout']}")
    return sorted(found)


def main() -> int:
    arguments = argparse.ArgumentParser(description="Draw the demo's part drawings.")
    arguments.add_argument("--check", action="store_true", help="write nothing, only compare")
    check = arguments.parse_args().check
    build = tomllib.loads((DEMO / "build.toml").read_text(encoding="utf-8"))
    faults = []
    for part in build["part"]:
        material = build["material"][part["material"]]["name"]
        sheet = DRAWN[part["id"]](part, material)
        kind = (
            "view with broken-out centre holes" if part["id"].endswith("stem") else "half-section"
        )
        svg = sheet.svg(
            f"{part['name']}, drawing {part['drawing']}",
            f"Workshop drawing of the {part['name'].lower()}, {kind}, invented for the demo. "
            "Its dimension lines carry no values; each leaves room for a numbered mark.",
        )
        target = DEMO / "drawings" / f"{part['id']}.svg"
        if not check:
            target.write_text(svg, encoding="utf-8", newline="\n")
        elif target.read_text(encoding="utf-8") != svg:
            faults.append(f"{target.name} is not what this script draws")
        faults += out_of_step(part, sheet)
    print("\n".join(faults) or "The drawings agree with build.toml.")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
