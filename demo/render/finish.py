"""From a clean rendering to a file like a phone's: a little vignette, EXIF, JPEG.

Makes, owners, serial numbers and positions are invented; the position lies in the middle of an
ocean, so that it cannot be mistaken for a place and its removal is easy to see.
"""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Any
from zlib import crc32

import numpy as np
from PIL import Image
from PIL.TiffImagePlugin import IFDRational

# EXIF tag numbers (Exif 2.32, CIPA DC-008)
DESCRIPTION, MAKE, MODEL, ORIENTATION, X_RES, Y_RES, UNIT = 270, 271, 272, 274, 282, 283, 296
SOFTWARE, DATE_TIME, ARTIST = 305, 306, 315
EXIF_IFD, GPS_IFD = 0x8769, 0x8825
EXPOSURE, F_NUMBER, ISO = 33434, 33437, 34855
DATE_ORIGINAL, DATE_DIGITIZED = 36867, 36868
OFFSET, OFFSET_ORIGINAL, OFFSET_DIGITIZED = 36880, 36881, 36882
SUBSEC, SUBSEC_ORIGINAL, SUBSEC_DIGITIZED = 37520, 37521, 37522
FOCAL, FOCAL_35, WIDTH, HEIGHT = 37386, 41989, 40962, 40963
OWNER, SERIAL = 0xA430, 0xA431

LONG_SIDE = 1600  # pixels


def like_a_phone(picture: Image.Image, seed: int) -> Image.Image:
    """The faintest grain, so that smooth walls do not band, and darker corners."""
    luck = np.random.default_rng(seed)
    data = np.asarray(picture.convert("RGB"), dtype=np.float32) / 255
    high, wide, _ = data.shape
    y, x = np.mgrid[-1 : 1 : high * 1j, -1 : 1 : wide * 1j]
    data *= (1 - 0.13 * (x * x + y * y) ** 1.2 / 2)[..., None]
    light = data.mean(axis=2, keepdims=True)
    amount = 0.0015 + 0.0015 * (1 - light)
    data += luck.normal(0, 1, (high, wide, 1)) * amount
    data += luck.normal(0, 1, data.shape) * amount * 0.35
    return Image.fromarray((np.clip(data, 0, 1) * 255 + 0.5).astype(np.uint8))


def degrees_of(value: float) -> tuple[IFDRational, IFDRational, IFDRational]:
    whole = int(value)
    minutes = int((value - whole) * 60)
    seconds = round(((value - whole) * 60 - minutes) * 60 * 100)
    return IFDRational(whole, 1), IFDRational(minutes, 1), IFDRational(seconds, 100)


def exif_of(shot: Any, size: tuple[int, int], seed: int) -> Image.Exif:
    taken = datetime.fromisoformat(shot.taken)
    stamp = taken.strftime("%Y:%m:%d %H:%M:%S")
    offset = shot.taken[-6:]
    subsec = f"{taken.microsecond // 1000:03d}"
    luck = np.random.default_rng(seed)
    exif = Image.Exif()
    exif[DESCRIPTION] = "Rendered picture of an invented build"
    exif[MAKE] = "Workshop"
    exif[MODEL] = f"Phone {shot.phone}"
    exif[ORIENTATION] = shot.orientation
    exif[X_RES] = exif[Y_RES] = IFDRational(72, 1)
    exif[UNIT] = 2
    exif[SOFTWARE] = "1.0"
    exif[DATE_TIME] = stamp
    exif[ARTIST] = "Invented Maker"
    inner = exif.get_ifd(EXIF_IFD)
    inner[EXPOSURE] = IFDRational(1, int(luck.choice([40, 50, 60, 100, 120])))
    inner[F_NUMBER] = IFDRational(18, 10)
    inner[ISO] = int(luck.choice([64, 100, 160, 250, 400]))
    inner[DATE_ORIGINAL] = inner[DATE_DIGITIZED] = stamp
    inner[OFFSET] = inner[OFFSET_ORIGINAL] = inner[OFFSET_DIGITIZED] = offset
    inner[SUBSEC] = inner[SUBSEC_ORIGINAL] = inner[SUBSEC_DIGITIZED] = subsec
    inner[FOCAL] = IFDRational(68, 10)
    inner[FOCAL_35] = 26
    inner[WIDTH], inner[HEIGHT] = size
    inner[OWNER] = "Invented Owner"
    inner[SERIAL] = f"INVENTED-{1000 + shot.phone}"
    if shot.gps:
        gps = exif.get_ifd(GPS_IFD)
        gps[0] = b"\x02\x03\x00\x00"
        gps[1], gps[2] = "N", degrees_of(40.0 + float(luck.uniform(0, 0.02)))
        gps[3], gps[4] = "W", degrees_of(35.0 + float(luck.uniform(0, 0.02)))
        gps[5], gps[6] = b"\x00", IFDRational(3, 1)
    return exif


def finish(shot: Any, raw: Path, out: Path, limit: int) -> None:
    """Write the JPEG; the quality comes down from 86 until the file is under `limit` bytes."""
    quality = 86
    seed = crc32(shot.file.encode("utf-8"))
    with Image.open(raw) as opened:
        scale = LONG_SIDE / max(opened.size)
        whole = (round(opened.width * scale), round(opened.height * scale))
        picture = opened.convert("RGB").resize(whole, Image.Resampling.LANCZOS)
        picture = like_a_phone(picture, seed)
    # What the viewer turns, the file stores turned the other way.
    if shot.orientation == 6:
        picture = picture.transpose(Image.Transpose.ROTATE_90)
    elif shot.orientation == 8:
        picture = picture.transpose(Image.Transpose.ROTATE_270)
    elif shot.orientation == 3:
        picture = picture.transpose(Image.Transpose.ROTATE_180)
    exif = exif_of(shot, picture.size, seed)
    while True:
        picture.save(out, "JPEG", quality=quality, exif=exif, optimize=True)
        if out.stat().st_size <= limit or quality <= 40:
            return
        quality -= 4
