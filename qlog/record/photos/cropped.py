"""A photo without the small code that lay beside the work."""

from __future__ import annotations

from typing import TYPE_CHECKING

from qlog.logbook.photos.codes import codes_in

if TYPE_CHECKING:
    from PIL.Image import Image as PilImage

#: Around a code lies its paper, with words: so much of its side is taken off with it.
_PAPER = 0.35
#: What has to be left of a picture for it to be cut; else the code is painted over.
_LEAST = 0.55

Box = tuple[int, int, int, int]


def without_codes(picture: PilImage) -> PilImage:
    """The largest part of the picture without a code; painted over where too little is left.

    A picture in which no code is found, at full size or at half of it, stays as it is.
    """
    grey = picture.convert("L")
    found = [_box(code.corners, picture, 1) for code in codes_in(grey)]
    if not found and min(grey.size) > 1:
        found = [_box(code.corners, picture, 2) for code in codes_in(grey.reduce(2))]
    for box in found:
        picture = _painted(picture, box)
    left = _largest(picture.size, found)
    area = (left[2] - left[0]) * (left[3] - left[1])
    whole = picture.width * picture.height
    return picture.crop(left) if found and area >= _LEAST * whole else picture


def _box(corners: tuple[tuple[float, float], ...], picture: PilImage, scale: int) -> Box:
    xs, ys = [scale * x for x, _ in corners], [scale * y for _, y in corners]
    more = _PAPER * max(max(xs) - min(xs), max(ys) - min(ys))
    return (
        max(0, round(min(xs) - more)), max(0, round(min(ys) - more)),
        min(picture.width, round(max(xs) + more)), min(picture.height, round(max(ys) + more)),
    )  # fmt: skip


def _largest(size: tuple[int, int], boxes: list[Box]) -> Box:
    """What is left when each code is cut off by the edge that takes the least."""
    left, top, right, bottom = 0, 0, *size
    for box in boxes:
        sides = [
            (left, top, min(right, box[0]), bottom), (max(left, box[2]), top, right, bottom),
            (left, top, right, min(bottom, box[1])), (left, max(top, box[3]), right, bottom),
        ]  # fmt: skip
        left, top, right, bottom = max(
            sides, key=lambda s: max(0, s[2] - s[0]) * max(0, s[3] - s[1])
        )
    return left, top, right, bottom


def _painted(picture: PilImage, box: Box) -> PilImage:
    """The picture with a box of the colour that lies around it."""
    from PIL import ImageStat

    wide = max(2, (box[2] - box[0]) // 8)
    around = picture.crop(
        (
            max(0, box[0] - wide), max(0, box[1] - wide),
            min(picture.width, box[2] + wide), min(picture.height, box[3] + wide),
        )
    )  # fmt: skip
    colour = tuple(int(value) for value in ImageStat.Stat(around).median)
    painted = picture.copy()
    painted.paste(colour if len(colour) > 1 else colour[0], box)
    return painted
