"""What a photo looks like to a machine: a hash of the view, and how sharp it is.

Likeness is a perceptual hash: the picture is brought to 32 by 32 grey, its two-dimensional cosine
transform taken, and of the 8 by 8 lowest frequencies each gives one bit, whether it lies above
their median. The transform keeps what a new exposure, a new size or a new compression leaves
alone. A turn of the camera changes the hash. `qlog.study.alike` puts hashes into groups.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from qlog.frozen import frozen
from qlog.logbook.photos.pictures import decoding, open_picture, undecodable

if TYPE_CHECKING:
    from PIL.Image import Image as PilImage

_SIDE, _LOW = 32, 8


@frozen
class Look:
    """What a photo looks like, to a machine: 64 bits of likeness, and sharpness.

    `sharpness` is the variance of the Laplacian of the grey picture over the variance of the
    grey picture itself, without unit: comparable between photos of the same view only.
    """

    hash: int
    sharpness: float


def look_at(picture: PilImage) -> Look:
    """Look at a grey picture of about 640 to 1280 pixels on its longest side."""
    return Look(_hash(picture), _sharpness(picture))


@cache
def _cosines() -> Any:
    """The rows of the discrete cosine transform (type II) for the lowest frequencies."""
    import numpy as np

    frequency = np.arange(_LOW)[:, None]
    place = np.arange(_SIDE)[None, :]
    return np.cos(np.pi * frequency * (2 * place + 1) / (2 * _SIDE))


def _hash(picture: PilImage) -> int:
    import numpy as np
    from PIL.Image import Resampling

    small = picture.resize((_SIDE, _SIDE), Resampling.BILINEAR)
    values = np.asarray(small, dtype=np.float64)
    low = (_cosines() @ (values - values.mean()) @ _cosines().T).ravel()
    # The first value is the mean brightness, taken off above: its bit says nothing.
    # Rounded, so that a plain picture is not told apart by the last digit of a float.
    bits = np.round(low, 6) > np.median(np.round(low[1:], 6))
    bits[0] = False
    return int.from_bytes(np.packbits(bits).tobytes(), "big")


def _sharpness(picture: PilImage) -> float:
    import numpy as np

    values = np.asarray(picture, dtype=np.float32)
    if min(values.shape) < 3 or (spread := float(values.var())) == 0:
        return 0.0
    laplacian = (
        values[:-2, 1:-1]
        + values[2:, 1:-1]
        + values[1:-1, :-2]
        + values[1:-1, 2:]
        - 4 * values[1:-1, 1:-1]
    )
    return float(laplacian.var()) / spread


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
