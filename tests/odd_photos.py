"""Photos for the tests, made here: every oddity that a card or a folder can hold.

The real camera files lie in tests/intake/data (its SOURCES.md names where each comes from).
"""

from __future__ import annotations

import struct
import zlib
from io import BytesIO
from pathlib import Path

from PIL import Image

DATA = Path(__file__).parent / "intake" / "data"

RED, GREEN, BLUE, GREY = (200, 40, 40), (40, 170, 60), (40, 60, 200), (128, 128, 128)


def corners(width: int = 120, height: int = 80) -> Image.Image:
    """Red above left, green above right, blue below left, grey below right: turns show."""
    image = Image.new("RGB", (width, height), GREY)
    image.paste(RED, (0, 0, width // 2, height // 2))
    image.paste(GREEN, (width // 2, 0, width, height // 2))
    image.paste(BLUE, (0, height // 2, width // 2, height))
    return image


def corner_colours(image: Image.Image) -> list[str]:
    """The names of the colours in the corners, row by row."""
    rgb = image.convert("RGB")
    w, h = rgb.size
    named = {"red": RED, "green": GREEN, "blue": BLUE, "grey": GREY}

    def nearest(at: tuple[int, int]) -> str:
        pixel = rgb.getpixel(at)
        assert isinstance(pixel, tuple)
        return min(
            named, key=lambda n: sum((a - b) ** 2 for a, b in zip(named[n], pixel, strict=True))
        )

    x, y = w // 6, h // 6
    return [nearest(p) for p in ((x, y), (w - x, y), (x, h - y), (w - x, h - y))]


def exif(
    *,
    original: str | None = "2025:03:14 19:02:11",
    digitized: str | None = None,
    changed: str | None = None,
    subsec: str | None = None,
    offset: str | None = None,
    orientation: int | None = None,
    make: str = "Testmake",
    model: str = "Testmake One",
    serial: str | None = None,
    position: bool = False,
    gps_day: str | None = None,
    gps_time: tuple[float, float, float] | None = None,
    maker_note: bytes | None = None,
) -> Image.Exif:
    """EXIF as a camera writes it (tags of EXIF 2.32, JEITA CP-3451X)."""
    block = Image.Exif()
    block[0x010F], block[0x0110] = make, model
    if changed is not None:
        block[0x0132] = changed
    if orientation is not None:
        block[0x0112] = orientation
    inner = block.get_ifd(0x8769)
    for tag, value in (
        (0x9003, original),
        (0x9004, digitized),
        (0x9291, subsec),
        (0x9011, offset),
        (0xA431, serial),
        (0x927C, maker_note),
    ):
        if value is not None:
            inner[tag] = value
    gps = block.get_ifd(0x8825)
    if position:
        gps[1], gps[2], gps[3], gps[4] = "N", (47.0, 22.0, 1.5), "E", (8.0, 32.0, 2.5)
    if gps_day is not None:
        gps[29] = gps_day
    if gps_time is not None:
        gps[7] = gps_time
    return block


def jpeg(path: Path, block: Image.Exif | None = None, **options: object) -> Path:
    """A small JPEG with the given EXIF."""
    corners().save(path, "JPEG", quality=90, **({"exif": block} if block else {}), **options)
    return path


def cut(source: Path, path: Path, share: float = 0.6) -> Path:
    """The first part of a file, as an interrupted copy leaves it."""
    data = source.read_bytes()
    path.write_bytes(data[: int(len(data) * share)])
    return path


def png_bomb(path: Path, side: int = 22_400) -> Path:
    """A PNG of half a gigapixel in some sixty kilobytes: one bit a pixel, all alike."""

    def chunk(name: bytes, body: bytes) -> bytes:
        return (
            struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))
        )

    packer = zlib.compressobj(9)
    row = bytes(1 + (side + 7) // 8)
    packed = b"".join(packer.compress(row * 64) for _ in range(side // 64)) + packer.flush()
    header = struct.pack(">IIBBBBB", side, side, 1, 0, 0, 0, 0)
    path.write_bytes(
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", packed) + chunk(b"IEND", b"")
    )
    return path


def display_p3() -> bytes:
    """A Display P3 profile, written from its definition, to have one that is free to ship.

    Primaries of SMPTE EG 432-1 under D65, taken to D50 by Bradford (the rows below), with the
    curve of IEC 61966-2-1; laid out as ICC.1:2010 asks.
    """

    def fixed(*values: float) -> bytes:
        return b"".join(struct.pack(">i", round(value * 65536)) for value in values)

    def xyz(*values: float) -> bytes:
        return b"XYZ \0\0\0\0" + fixed(*values)

    curve = b"para\0\0\0\0\0\3\0\0" + fixed(2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045)
    text = "P3 of the tests".encode("utf-16-be")
    words = b"mluc\0\0\0\0" + struct.pack(">IIHHII", 1, 12, 0x656E, 0x5553, len(text), 28) + text
    tags = {
        b"desc": words,
        b"cprt": words,
        b"wtpt": xyz(0.9642, 1.0, 0.8249),
        b"rXYZ": xyz(0.51512, 0.24120, -0.00105),
        b"gXYZ": xyz(0.29198, 0.69225, 0.04189),
        b"bXYZ": xyz(0.15710, 0.06657, 0.78407),
        b"rTRC": curve,
        b"gTRC": curve,
        b"bTRC": curve,
    }
    table, body = b"", b""
    start = 128 + 4 + 12 * len(tags)
    for name, content in tags.items():
        content += b"\0" * (-len(content) % 4)
        table += name + struct.pack(">II", start + len(body), len(content))
        body += content
    size = start + len(body)
    header = struct.pack(">I4sI4s4s4s", size, b"\0\0\0\0", 0x04300000, b"mntr", b"RGB ", b"XYZ ")
    header += bytes(12) + b"acsp" + bytes(28) + fixed(0.9642, 1.0, 0.8249)
    return header.ljust(128, b"\0") + struct.pack(">I", len(tags)) + table + body


def odd_modes() -> dict[str, bytes]:
    """Pictures that open but are not plain 8-bit colour, as files by name."""
    base = corners()
    grey = base.convert("L")
    made = {
        "grey.jpg": (grey, {}),
        "cmyk.jpg": (base.convert("CMYK"), {}),
        "palette.png": (base.convert("P", palette=Image.Palette.ADAPTIVE), {}),
        "bits.png": (base.convert("1"), {}),
        "alpha.png": (base.convert("RGBA"), {}),
        "grey_alpha.png": (base.convert("LA"), {}),
        "grey16.png": (grey.convert("I").point(lambda v: v * 257).convert("I;16"), {}),
        "float.tif": (grey.convert("F").point(lambda v: v * (1 / 255) + 0), {}),
        "lab.tif": (_lab(base), {}),
        "animated.gif": (base, {"save_all": True, "append_images": [Image.new("RGB", base.size)]}),
        "animated.webp": (base, {"save_all": True, "append_images": [Image.new("RGB", base.size)]}),
        "progressive.jpg": (base, {"progressive": True}),
        "plain.bmp": (base, {}),
        "plain.tif": (base, {"compression": "tiff_lzw"}),
        "plain.avif": (base, {}),
        "plain.webp": (base, {"lossless": True}),
    }
    found = {}
    for name, (image, options) in made.items():
        buffer = BytesIO()
        suffix = name.rpartition(".")[2]
        format_ = {"jpg": "JPEG", "tif": "TIFF"}.get(suffix, suffix.upper())
        image.save(buffer, format_, **options)
        found[name] = buffer.getvalue()
    return found


def _lab(image: Image.Image) -> Image.Image:
    from PIL import ImageCms

    converted = ImageCms.profileToProfile(
        image, ImageCms.createProfile("sRGB"), ImageCms.createProfile("LAB"), outputMode="LAB"
    )
    assert converted is not None
    return converted
