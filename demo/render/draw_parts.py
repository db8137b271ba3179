"""Draw the four parts' drawings from their profiles: outside on the left, cut open on the right.

    python demo/render/draw_parts.py

writes demo/drawings/*.svg and prints where each number belongs (`at` in build.toml). Lines after
ISO 128: thick outlines, thin dimension lines and hatching, a dash-dotted axis.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import dataclass, field
from html import escape
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

import profiles
from profiles import Profile

OUT = Path(__file__).resolve().parent.parent / "drawings"
WIDTH = 640.0
TEXT = 17


@dataclass
class Sheet:
    """A drawing under way; lengths of the part in millimetres, axis at x = 0, heights upwards."""

    height: float
    scale: float
    bottom: float  # y of the part's height 0
    parts: list[str] = field(default_factory=list)
    at: dict[str, tuple[float, float]] = field(default_factory=dict)

    def x(self, radius: float) -> float:
        return WIDTH / 2 + radius * self.scale

    def y(self, height: float) -> float:
        return self.bottom - height * self.scale

    def line(self, x1: float, y1: float, x2: float, y2: float, kind: str) -> None:
        self.parts.append(f'<path class="{kind}" d="M{x1:.1f} {y1:.1f}L{x2:.1f} {y2:.1f}"/>')

    def arrow(self, x: float, y: float, dx: float, dy: float) -> None:
        """An arrow head with its point at x, y, coming from the direction dx, dy."""
        nx, ny = -dy, dx
        self.parts.append(
            f'<path class="arrow" d="M{x:.1f} {y:.1f}'
            f"L{x + 11 * dx + 3 * nx:.1f} {y + 11 * dy + 3 * ny:.1f}"
            f'L{x + 11 * dx - 3 * nx:.1f} {y + 11 * dy - 3 * ny:.1f}Z"/>'
        )

    def text(self, x: float, y: float, words: str, anchor: str = "middle") -> None:
        self.parts.append(
            f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}">{escape(words)}</text>'
        )

    def mark(self, name: str, x: float, y: float) -> None:
        self.at[name] = (round(x / WIDTH, 3), round(y / self.height, 3))

    def across(self, name: str, radius: float, edge: float, y: float, words: str) -> None:
        """A diameter between two extension lines that start at height `edge` of the part."""
        left, right = self.x(-radius), self.x(radius)
        start = self.y(edge)
        away = 4 if y > start else -4
        for x in (left, right):
            self.line(x, start + away, x, y + away, "thin")
        wide = right - left > 120
        if wide:
            self.line(left, y, right, y, "thin")
            self.arrow(left, y, 1, 0)
            self.arrow(right, y, -1, 0)
            self.text((left + right) / 2, y - 7, words)
            self.mark(name, (left + right) / 2 - len(words) * 5 - 28, y - 13)
        else:
            end = right + 44 + len(words) * 9
            self.line(left - 26, y, end, y, "thin")
            self.arrow(left, y, -1, 0)
            self.arrow(right, y, 1, 0)
            self.text(right + 34, y - 7, words, "start")
            self.mark(name, end + 20, y - 6)

    def upright(
        self, name: str, low: float, high: float, radii: tuple[float, float], x: float, words: str
    ) -> None:
        """A length along the axis at x; its extension lines start at `radii`, low and high."""
        top, bottom = self.y(high), self.y(low)
        side = 1 if x > self.x(radii[0]) else -1
        for y, radius in ((bottom, radii[0]), (top, radii[1])):
            self.line(self.x(radius) + 4 * side, y, x + 5 * side, y, "thin")
        if bottom - top > 40:
            self.line(x, top, x, bottom, "thin")
            self.arrow(x, top, 0, 1)
            self.arrow(x, bottom, 0, -1)
        else:
            self.line(x, top - 26, x, bottom + 26, "thin")
            self.arrow(x, top, 0, -1)
            self.arrow(x, bottom, 0, 1)
        middle = (top + bottom) / 2
        self.text(x + 9 * side, middle + 6, words, "start" if side > 0 else "end")
        self.mark(name, x + 9 * side + side * len(words) * 4.6, middle - 24)

    def leader(
        self, name: str, radius: float, height: float, x: float, y: float, words: str
    ) -> None:
        """A line from a surface to a text."""
        self.line(self.x(radius), self.y(height), x, y, "thin")
        self.parts.append(
            f'<circle class="dot" cx="{self.x(radius):.1f}" cy="{self.y(height):.1f}" r="2.6"/>'
        )
        side = 1 if x > self.x(radius) else -1
        shelf = x + side * (len(words) * 9 + 8)
        self.line(x, y, shelf, y, "thin")
        self.text(min(x, shelf) + 3, y - 6, words, "start")
        self.mark(name, shelf + side * 20, y - 4)

    def body(self, profile: Profile) -> None:
        """The part: the outside on the left, hatched material on the right of the axis."""
        right = " ".join(f"{self.x(r):.1f},{self.y(z):.1f}" for r, z in profile)
        outside = self._outside(profile)
        left = " ".join(f"{self.x(-r):.1f},{self.y(z):.1f}" for r, z in outside)
        top, low = self.y(outside[-1][1]), self.y(outside[0][1])
        self.parts += [
            f'<polygon fill="url(#hatch)" class="cut" points="{right}"/>',
            f'<polyline class="thick" points="{self.x(0):.1f},{low:.1f} {left} '
            f'{self.x(0):.1f},{top:.1f}"/>',
        ]
        for r, z in self._edges(outside):
            self.line(self.x(-r), self.y(z), self.x(0), self.y(z), "edge")
        self.line(self.x(0), top - 22, self.x(0), low + 22, "axis")

    @staticmethod
    def _outside(profile: Profile) -> Profile:
        """The outer side, from the lowest point up to the highest."""
        top = max(range(len(profile)), key=lambda i: (profile[i][1], profile[i][0]))
        return profile[: top + 1]

    @staticmethod
    def _edges(outside: Profile) -> Profile:
        """Corners that an eye sees as a line across the outside."""
        found = []
        for before, here, after in zip(outside, outside[1:], outside[2:], strict=False):
            level = [p for p in (before, after) if abs(p[1] - here[1]) < 0.01]
            if here[0] > 1 and any(abs(p[0] - here[0]) > 0.2 for p in level):
                found.append(here)
        return found

    def svg(self, name: str) -> str:
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH:.0f} {self.height:.0f}">'
            f"<title>{escape(name)}</title>"
            '<defs><pattern id="hatch" width="7" height="7" patternUnits="userSpaceOnUse" '
            'patternTransform="rotate(45)"><path d="M0 0V7" stroke="#777" stroke-width="1.1"/>'
            "</pattern></defs><style>"
            "path,polygon,polyline{fill:none;stroke:#222;stroke-linejoin:round}"
            ".cut{fill:url(#hatch);stroke-width:2.2}.thick{stroke-width:2.2}"
            ".edge{stroke-width:1.1}.thin{stroke-width:.9}.arrow,.dot{fill:#222;stroke:none}"
            ".axis{stroke-width:.9;stroke-dasharray:14 3 2 3}"
            f"text{{font:{TEXT}px sans-serif;fill:#222}}</style>" + "".join(self.parts) + "</svg>\n"
        )


def foot() -> Sheet:
    s = Sheet(height=400, scale=6.4, bottom=260)
    s.body(profiles.foot("tapped"))
    s.across("bore", 6, 18, 90, "Ø12 H7")
    s.upright("height", 0, 18, (30, 12.6), 550, "18 ±0.05")
    s.across("rim", 30, 0.6, 345, "Ø60 ±0.2")
    s.leader("runout", 30, 2.4, 535, 300, "↗ 0.06")
    s.leader("thread", 3, 1.0, 400, 300, "M6-6H")
    s.leader("finish", -20, 9.5, 120, 150, "Ra 0.8")
    return s


def stem() -> Sheet:
    s = Sheet(height=860, scale=4.9, bottom=740)
    s.body(profiles.stem("finished"))
    s.upright("length", 0, 120, (-10.8, -11), 150, "120 ±0.1")
    s.leader("waist", 7, 80, 440, 340, "Ø14 ±0.15")
    s.across("spigot", 6, -11.5, 825, "Ø12 p6")
    s.across("tip", 4, 136, 45, "Ø8 f7")
    return s


def cup() -> Sheet:
    s = Sheet(height=560, scale=9.4, bottom=430)
    s.body(profiles.cup("reamed"))
    s.upright("height", 0, 32, (-8.6, -19.4), 90, "32 ±0.1")
    s.across("rim", 20, 32, 45, "Ø40")
    s.across("bore", 11, 32, 95, "Ø22 +0.05/0")
    s.across("hole", 4, 0, 500, "Ø8 H7")
    return s


def collar() -> Sheet:
    s = Sheet(height=380, scale=15, bottom=230)
    s.body(profiles.collar("bored"))
    s.across("outside", 12, 0.6, 320, "Ø24 ±0.02")
    s.upright("thickness", 0, 6, (11.4, 11.4), 545, "6 ±0.03")
    s.across("bore", 4.02, 6, 90, "Ø8 +0.06/+0.02")
    return s


DRAWINGS: dict[str, Callable[[], Sheet]] = {
    "foot": foot, "stem": stem, "cup": cup, "collar": collar,
}  # fmt: skip


def main() -> None:
    for name, draw in DRAWINGS.items():
        sheet = draw()
        path = OUT / f"{name}.svg"
        path.write_text(sheet.svg(name), encoding="utf-8", newline="\n")
        for dimension, (x, y) in sheet.at.items():
            print(f"{name} {dimension}: at = [{x}, {y}]")


if __name__ == "__main__":
    main()
