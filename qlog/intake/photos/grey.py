"""A photo as a small grey picture, for looking at it by machine: codes, likeness, sharpness."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from qlog.logbook.photos.pictures import decoding, open_picture, undecodable

if TYPE_CHECKING:
    from PIL.Image import Image as PilImage


def grey(path: Path, least: int) -> PilImage:
    """The photo in 8-bit grey, as it is stored (not turned), brought down by a whole factor.

    Its longest side is at least `least` pixels and less than twice that, unless the photo is
    smaller. A JPEG is decoded at a half, quarter or eighth, which is several times as fast.
    Raises PhotoError.
    """
    with open_picture(path) as image:
        try:
            with decoding(image):
                if image.format in ("JPEG", "MPO"):
                    width, height = image.size
                    bound = min(1.0, least / max(image.size))
                    image.draft("L", (max(1, int(width * bound)), max(1, int(height * bound))))
                image.load()
                return _eight_bit(image, max(1, max(image.size) // least))
        except Exception as error:  # a decoder meets hostile bytes: any of its errors is bad input
            raise undecodable(path, error) from error


def _eight_bit(image: PilImage, factor: int) -> PilImage:
    if image.mode.startswith("I") or image.mode == "F":
        return _stretched(image, factor)
    if image.mode == "LAB":
        image = image.getchannel(0)
    if image.mode in ("L", "RGB"):
        small = image.reduce(factor) if factor > 1 else image
        return small if small.mode == "L" else small.convert("L")
    flat = image.convert("L")
    return flat.reduce(factor) if factor > 1 else flat


def _stretched(image: PilImage, factor: int) -> PilImage:
    """Grey of more than 8 bit, from its darkest to its lightest."""
    import numpy as np
    from PIL import Image

    size = max(1, image.width // factor), max(1, image.height // factor)
    numbers = np.asarray(image.resize(size, Image.Resampling.NEAREST), dtype=np.float32)
    numbers = np.where(np.isfinite(numbers), numbers, 0)
    span = float(numbers.max() - numbers.min()) or 1.0
    return Image.fromarray(((numbers - numbers.min()) * (255 / span)).astype(np.uint8))
