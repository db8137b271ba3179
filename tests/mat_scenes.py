"""Made-up photos of a mat: drawn from its printed places, seen from a slant, in any light."""

from __future__ import annotations

import io
import math
from dataclasses import dataclass
from typing import Any

import numpy as np
import segno
from PIL import Image, ImageDraw

from qlog.intake.photos.mats.mat_places import MatLayout
from qlog.intake.photos.slate import Mat, Slate, payload

#: Pixels a millimetre of the drawn mat.
FINE = 5


def colour(piece: int) -> tuple[int, int, int]:
    """The colour of the work on a place: no two alike, none bright."""
    return 40 + 15 * (piece % 5), 40 + 30 * (piece // 5 % 5), 60 + 37 * (piece % 4)


@dataclass(frozen=True)
class Seen:
    """How the camera stands: tilted about an axis in the paper, and how the light is."""

    tilt: float = 0.0  # degrees
    axis: float = 0.0  # degrees; 0 tilts the far edge away
    turn: float = 0.0  # degrees about the view
    light: float = 1.0
    slope: float = 0.0  # of the light from left to right: 0.5 is half the light on the right
    tint: tuple[float, float, float] = (1.0, 1.0, 1.0)
    covered: tuple[int, ...] = ()
    bent: float = 0.0  # millimetres that the middle bulges, moved aside


def drawn(slate: Slate, first: int, last: int, paper: str, empty: tuple[int, ...] = ()) -> Any:
    """The mat as printed, with a disc of its own colour on every place."""
    layout = MatLayout(paper, last - first + 1)
    width, height = (round(FINE * mm) for mm in layout.size)
    mat = Image.new("RGB", (width, height), "white")
    draw = ImageDraw.Draw(mat)
    for corner in range(4):
        box = [FINE * mm for mm in layout.corner(corner)]
        text = payload(
            Slate(slate.part, slate.op, build=slate.build, mat=Mat(first, last, paper, corner))
        )
        rows = list(segno.make(text, error="h", micro=False).matrix)
        code = Image.fromarray(np.array([[0 if c else 255 for c in row] for row in rows], np.uint8))
        side = round(box[2] - box[0])
        size = Image.Resampling.NEAREST
        mat.paste(code.resize((side, side), size).convert("RGB"), (round(box[0]), round(box[1])))
    for box, grey in layout.patches():
        draw.rectangle([FINE * mm for mm in box], fill=(grey, grey, grey))
    for index in range(layout.count):
        left, top, right, bottom = (FINE * mm for mm in layout.cell(index))
        draw.rectangle((left, top, right, bottom), outline=(120, 120, 120), width=2)
        if first + index not in empty:
            x, y, r = (left + right) / 2, (top + bottom) / 2, min(right - left, bottom - top) * 0.3
            draw.ellipse((x - r, y - r, x + r, y + r), fill=colour(first + index))
    return mat


def photo_of(mat: Any, seen: Seen, size: tuple[int, int] = (3000, 4000), seed: int = 0) -> bytes:
    """A JPEG of the mat on a grey bench, as a camera 600 mm above its middle sees it."""
    from qlog.intake.photos.mats.mat_places import CODE, MARGIN

    mat = mat.copy()
    draw = ImageDraw.Draw(mat)
    far = FINE * (MARGIN + CODE + 6)
    for corner in seen.covered:
        x = 0 if corner in (0, 3) else mat.width - far
        y = 0 if corner in (0, 1) else mat.height - far
        draw.rectangle((x, y, x + far, y + far), fill=(90, 70, 50))
    if seen.bent:
        values = np.asarray(mat)
        rows = np.arange(mat.height)
        shift = np.rint(FINE * seen.bent * np.sin(np.pi * rows / mat.height)).astype(int)
        mat = Image.fromarray(np.stack([np.roll(values[y], shift[y], axis=0) for y in rows]))
    view = _view(mat.size, seen, size)
    way = np.linalg.inv(view)
    way = (way / way[2, 2]).ravel()[:8]
    out = mat.transform(
        size, Image.Transform.PERSPECTIVE, tuple(way), Image.Resampling.BICUBIC,
        fillcolor=(128, 122, 115),
    )  # fmt: skip
    linear = (np.asarray(out, np.float32) / 255) ** 2.2
    falls = 1 - seen.slope * np.linspace(0, 1, size[0])[None, :, None]
    linear = linear * seen.light * falls * np.array(seen.tint) * 0.8
    noise = np.random.default_rng(seed).normal(0, 2.0, linear.shape)
    values = np.clip(255 * linear ** (1 / 2.2) + noise, 0, 255).astype(np.uint8)
    made = io.BytesIO()
    Image.fromarray(values).save(made, "JPEG", quality=90)
    return made.getvalue()


def _view(mat: tuple[int, int], seen: Seen, size: tuple[int, int]) -> Any:
    """From pixels of the drawn mat to pixels of the photo: a pinhole over the mat's middle."""
    t, a, z = (math.radians(v) for v in (seen.tilt, seen.axis, seen.turn))
    about = np.array([math.cos(a), math.sin(a), 0.0])
    cross = np.array([[0, 0, about[1]], [0, 0, -about[0]], [-about[1], about[0], 0]])
    turned = np.eye(3) + math.sin(t) * cross + (1 - math.cos(t)) * cross @ cross
    spun = np.array([[math.cos(z), -math.sin(z), 0], [math.sin(z), math.cos(z), 0], [0, 0, 1]])
    way = spun @ turned
    far = 600.0 * FINE
    # The mat fills nine tenths of the picture when seen straight.
    focal = 0.85 * min(size[0] / mat[0], size[1] / mat[1]) * far
    to_middle = np.array([[1, 0, -mat[0] / 2], [0, 1, -mat[1] / 2], [0, 0, 1]])
    plane = np.column_stack([way[:, 0], way[:, 1], np.array([0, 0, far])])
    camera = np.array([[focal, 0, size[0] / 2], [0, focal, size[1] / 2], [0, 0, 1]])
    return camera @ plane @ to_middle
