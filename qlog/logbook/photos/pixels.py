"""From a photo file to upright 8-bit sRGB pixels of a bounded size.

The order makes it fast: a JPEG is decoded at a half, quarter or eighth, then brought to size,
and only then turned and colour-managed.
"""

from __future__ import annotations

from contextlib import contextmanager
from functools import lru_cache
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any

from qlog.logbook.photos.pictures import (
    PhotoError,
    decoding,
    is_cut_off,
    open_file,
    picture_in,
    quiet,
    undecodable,
)
from qlog.problem import ToSay

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from PIL.Image import Image as PilImage
    from PIL.Image import Transpose
    from PIL.ImageCms import ImageCmsTransform

#: Rows times width that are brought to 8 bit at once.
_BAND_PIXELS = 4_000_000


def load(path: Path, longest: int, *, salvage: bool = False) -> PilImage:
    """The photo upright, in sRGB or grey, 8 bit, `longest` pixels on its longest side at most.

    Never enlarged; the first frame of several; transparent parts on white. With `salvage` a
    file that is cut off gives what is left of it: this sets a switch of the decoder for the
    whole process, so it must not run beside another decoding thread. The picture carries no
    metadata. Raises PhotoError.
    """
    with open_file(path) as handle:
        if is_cut_off(handle) and not salvage:
            raise _cut_off(path)
        with picture_in(handle, path) as image:
            icc = image.info.get("icc_profile")
            try:
                with decoding(image), _salvaging(salvage):
                    if image.format in ("JPEG", "MPO"):
                        image.draft(None, bounded(image.size, longest))
                    image.load()
                    small = _shrunk(image, longest)
                    turn = _turn(image)
            except Exception as error:  # a decoder meets hostile bytes: any error is bad input
                if "truncated" in str(error):
                    raise _cut_off(path) from error
                raise undecodable(path, error) from error
    if turn is not None:
        small = small.transpose(turn)
    small = _to_srgb(small, icc)
    small.info = {}
    return small


def bounded(size: tuple[int, int], longest: int) -> tuple[int, int]:
    """`size` brought down in proportion to `longest` on its longest side; never enlarged."""
    width, height = size
    if max(size) <= longest:
        return size
    if width >= height:
        return longest, max(1, round(height * longest / width))
    return max(1, round(width * longest / height)), longest


def _cut_off(path: Path) -> PhotoError:
    return PhotoError(path, "cut off", ToSay("error.cut_off"), ToSay("error.copy_from_camera"))


@contextmanager
def _salvaging(on: bool) -> Iterator[None]:
    from PIL import ImageFile

    if not on:
        yield
        return
    ImageFile.LOAD_TRUNCATED_IMAGES = True
    try:
        yield
    finally:
        ImageFile.LOAD_TRUNCATED_IMAGES = False


def _turn(image: PilImage) -> Transpose | None:
    """What makes the picture upright, by EXIF tag 0x0112; values out of range mean nothing.

    HEIF and TIFF decoders turn the pixels themselves and clear the tag.
    """
    from PIL.Image import Transpose

    try:
        with quiet():
            value = image.getexif().get(0x0112)
    except Exception:  # EXIF that makes no sense asks for no turn
        return None
    return {
        2: Transpose.FLIP_LEFT_RIGHT,
        3: Transpose.ROTATE_180,
        4: Transpose.FLIP_TOP_BOTTOM,
        5: Transpose.TRANSPOSE,
        6: Transpose.ROTATE_270,
        7: Transpose.TRANSVERSE,
        8: Transpose.ROTATE_90,
    }.get(value if isinstance(value, int) else 0)


def _shrunk(image: PilImage, longest: int) -> PilImage:
    """At most `longest` on the longest side, in mode L, RGB or CMYK.

    A whole-number box average (by the JPEG decoder itself where there is one) comes first, then
    one step to the exact size. Within a quarter of the exact size a bilinear step is as good as
    a bicubic one (0.1 dB) and takes two thirds of the time.
    """
    from PIL.Image import Resampling

    factor = max(1, max(image.size) // longest)
    if image.mode in ("L", "RGB", "CMYK") and "transparency" not in image.info:
        reduced = image.reduce(factor) if factor > 1 else image
    else:
        reduced = _by_bands(image, factor)
    size = bounded(image.size, longest)
    if reduced.size == size:
        # A plain picture: the opened file itself would bring its other frames when saved.
        return image.copy() if reduced is image else reduced
    near = max(reduced.size) <= 1.25 * max(size)
    return reduced.resize(size, Resampling.BILINEAR if near else Resampling.BICUBIC)


def _by_bands(image: PilImage, factor: int) -> PilImage:
    """Brought to 8 bit and averaged `factor` by `factor` in bands: no full-size copy is made."""
    from PIL import Image

    width, height = image.size
    to_eight_bit = _eight_bit(image)
    rows = factor * max(1, _BAND_PIXELS // (width * factor))
    target = None
    for top in range(0, height, rows):
        band = to_eight_bit(image.crop((0, top, width, min(height, top + rows))))
        if factor > 1:
            band = band.reduce(factor)
        if target is None:
            target = Image.new(band.mode, (-(-width // factor), -(-height // factor)))
        target.paste(band, (0, top // factor))
    assert target is not None  # a picture has at least one row
    return target


def _eight_bit(image: PilImage) -> Callable[[PilImage], PilImage]:
    """How a band of this picture becomes L, RGB or CMYK of 8 bit."""
    if image.mode == "F" or image.mode.startswith("I"):
        return _scaled(image)
    if image.mode == "LAB":
        return _from_lab
    if image.mode in ("P", "PA", "LA", "La", "RGBA", "RGBa") or "transparency" in image.info:
        return _on_white
    if image.mode == "1":
        return lambda band: band.convert("L")
    return lambda band: band.convert("RGB")


def _on_white(band: PilImage) -> PilImage:
    from PIL import Image

    with_alpha = band.convert("RGBA")
    white = Image.new("RGBA", with_alpha.size, (255, 255, 255, 255))
    return Image.alpha_composite(white, with_alpha).convert("RGB")


def _from_lab(band: PilImage) -> PilImage:
    from PIL import ImageCms

    converted = ImageCms.applyTransform(band, _lab_transform())
    assert converted is not None  # only an in-place conversion returns None
    return converted


def _scaled(image: PilImage) -> Callable[[PilImage], PilImage]:
    """Grey of more than 8 bit to 8 bit, linearly.

    16 bit from the full range of its numbers (12 bit when none is larger); 32 bit integers that
    fit 16 bit likewise; other integers and floats from their own smallest to largest, except
    floats within 0..1, which are taken from that range.
    """
    import numpy as np
    from PIL import Image

    def values(part: PilImage) -> Any:
        numbers = np.asarray(part, dtype=np.float32)
        return np.where(np.isfinite(numbers), numbers, 0)

    width, height = image.size
    rows = max(1, _BAND_PIXELS // width)
    low, high = 0.0, 0.0
    for top in range(0, height, rows):
        numbers = values(image.crop((0, top, width, min(height, top + rows))))
        low, high = min(low, float(numbers.min())), max(high, float(numbers.max()))
    if image.mode == "F" and low >= 0 and high <= 1:
        high = 1.0
    elif image.mode != "F" and low >= 0 and high <= 0xFFFF:
        high = float(0xFFF if high <= 0xFFF else 0xFFFF)
    span = (high - low) or 1.0

    def to_eight_bit(band: PilImage) -> PilImage:
        grey = (values(band) - low) * (255 / span)
        return Image.fromarray(np.clip(np.rint(grey), 0, 255).astype(np.uint8))

    return to_eight_bit


def _to_srgb(image: PilImage, icc: bytes | None) -> PilImage:
    """The picture with its embedded profile carried out; without one it is taken as sRGB."""
    from PIL import ImageCms

    transform = _transform(icc, image.mode) if icc else None
    if transform is not None:
        converted = ImageCms.applyTransform(image, transform)
        assert converted is not None  # only an in-place conversion returns None
        return converted
    return image if image.mode in ("L", "RGB") else image.convert("RGB")


@lru_cache(maxsize=32)
def _transform(icc: bytes, mode: str) -> ImageCmsTransform | None:
    """From a profile to sRGB; None when that changes nothing, or the profile makes no sense."""
    from PIL import Image, ImageCms

    try:
        transform = ImageCms.buildTransform(
            ImageCms.ImageCmsProfile(BytesIO(icc)),
            ImageCms.createProfile("sRGB"),
            mode,
            "RGB",
            ImageCms.Intent.RELATIVE_COLORIMETRIC,
        )
    except (ImageCms.PyCMSError, OSError):
        return None
    if mode != "RGB":
        return transform
    # Most profiles are sRGB under one name or another: asked of the numbers, not of the name.
    steps = range(0, 256, 51)
    probe = Image.new("RGB", (216, 1))
    probe.putdata([(r, g, b) for r in steps for g in steps for b in steps])
    changed = ImageCms.applyTransform(probe, transform)
    assert changed is not None  # only an in-place conversion returns None
    pairs = zip(probe.tobytes(), changed.tobytes(), strict=True)
    return transform if any(abs(a - b) > 1 for a, b in pairs) else None


@lru_cache(maxsize=1)
def _lab_transform() -> ImageCmsTransform:
    from PIL import ImageCms

    return ImageCms.buildTransform(
        ImageCms.createProfile("LAB"), ImageCms.createProfile("sRGB"), "LAB", "RGB"
    )
