"""How a stored picture is opened: by its content, within a limit of size, with clear words.

Everything that looks into a photo goes through `open_picture`, so that a bomb, a cut-off file
or a text that calls itself a JPEG ends in a `PhotoError` and never in a crash.
"""

from __future__ import annotations

import mmap
import os
import stat
import sys
import threading
import warnings
from contextlib import contextmanager, nullcontext
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, BinaryIO

from qlog.problem import ToSay

if TYPE_CHECKING:
    from collections.abc import Iterator
    from io import BufferedReader

    from PIL.Image import Image as PilImage

#: Pixels that a picture may have: twice the size at which Pillow begins to warn.
PIXEL_LIMIT = 178_956_970

#: The same where decoding takes more memory a pixel; each keeps it under 1 GiB (measured:
#: 6.1 bytes a pixel for progressive JPEG without colour subsampling, 7.0 for HEIF, 9.2 for AVIF).
_TIGHTER_LIMITS = {"progressive JPEG": 150_000_000, "HEIF": 130_000_000, "AVIF": 100_000_000}

#: A plain JPEG is decoded at an eighth or a quarter, so that its size costs little memory: the
#: largest sensors of phones have 200 megapixels.
_PLAIN_JPEG_LIMIT = 260_000_000

#: Scans that a progressive JPEG may have: encoders make about ten, each costs a pass over all of
#: the picture, and thousands of empty ones fit into a small file.
_SCANS = 200

#: A picture with more pixels than this is decoded alone, not beside another.
_ALONE_PIXELS = 40_000_000

_HEIF_BRANDS = {b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"hevm", b"hevs"}
_AVIF_BRANDS = {b"avif", b"avis"}
#: Sizes of the headers that a BMP may have, from OS/2 to version 5; a text has other bytes there.
_BMP_HEADERS = {12, 16, 40, 52, 56, 64, 108, 124}
_GENERIC_BRANDS = {b"mif1", b"msf1", b"mif2", b"miaf"}

_STDERR = 2  # of POSIX and of the C libraries of Windows alike
_quiet = threading.Lock()
_alone = threading.Lock()


class PhotoError(Exception):
    """A photo that cannot be taken in or shown; the text says what, where and what to do.

    `kind` is one of "missing", "not a file", "unreadable", "empty", "cut off", "not a picture",
    "too large", "damaged" and "changed".
    """

    def __init__(self, path: Path, kind: str, what: str, do: str) -> None:
        super().__init__(ToSay("error.photo", path=printable(path), what=what, do=do))
        self.path = path
        self.kind = kind
        self.what = what
        self.do = do


def printable(path: Path | str) -> str:
    """The name on one line: line ends, control characters and undecodable bytes are escaped."""
    return "".join(
        c if c.isprintable() else c.encode("unicode_escape").decode("ascii") for c in str(path)
    )


@cache
def _pillow() -> Any:
    """Pillow's Image module, loaded on first use.

    Its own guard only warns between half of our limit and the limit; ours, on the header and
    before a pixel is read, stands in its place.
    """
    from PIL import Image

    Image.MAX_IMAGE_PIXELS = None
    return Image


@cache
def _register_heif() -> None:
    """Teach Pillow HEIC, once, and only in a run that meets such a file."""
    import pi_heif

    pi_heif.register_heif_opener(thumbnails=False)


def sniff(head: bytes) -> str:
    """The format that the first 64 bytes of a file announce, or "" when none is known."""
    if head.startswith(b"\xff\xd8\xff"):
        return "JPEG"
    if head.startswith(b"\x89PNG\r\n\x1a\n"):
        return "PNG"
    if head.startswith((b"II*\0", b"MM\0*", b"II+\0", b"MM\0+")):
        return "TIFF"
    if head.startswith(b"RIFF") and head[8:12] == b"WEBP":
        return "WEBP"
    if head.startswith((b"GIF87a", b"GIF89a")):
        return "GIF"
    if head.startswith(b"BM") and int.from_bytes(head[14:18], "little") in _BMP_HEADERS:
        return "BMP"
    if head[4:8] == b"ftyp":
        size = min(max(int.from_bytes(head[:4], "big"), 16), len(head))
        brands = [head[8:12], *(head[i : i + 4] for i in range(16, size - 3, 4))]
        if brands[0] in _AVIF_BRANDS or (
            brands[0] in _GENERIC_BRANDS and _AVIF_BRANDS.intersection(brands)
        ):
            return "AVIF"
        if brands[0] in _HEIF_BRANDS or (
            brands[0] in _GENERIC_BRANDS and _HEIF_BRANDS.intersection(brands)
        ):
            return "HEIF"
    return ""


@contextmanager
def open_file(path: Path) -> Iterator[BufferedReader]:
    """The file for reading, once it is known to be a plain file with something in it.

    Raises PhotoError for a missing or unreadable file, for a folder, pipe or device, and for
    a file of zero bytes.
    """
    try:
        # A pipe would block on opening, so its kind is asked first.
        status = path.stat()
        if not stat.S_ISREG(status.st_mode):
            raise PhotoError(
                path, "not a file", ToSay("error.plain_file"), ToSay("error.give_photo_itself")
            )
        if status.st_size == 0:
            raise PhotoError(
                path, "empty", ToSay("error.empty_zero_bytes"), ToSay("error.copy_from_camera")
            )
        handle = path.open("rb")
    except (FileNotFoundError, NotADirectoryError):
        raise PhotoError(
            path, "missing", ToSay("error.is_not_there"), ToSay("error.check_name")
        ) from None
    except PermissionError:
        raise PhotoError(
            path, "unreadable", ToSay("error.may_be_read"), ToSay("error.give_yourself_permission")
        ) from None
    except (OSError, ValueError) as error:
        raise PhotoError(
            path,
            "unreadable",
            ToSay("error.pictures_cannot_be_read", reason=error),
            ToSay("error.check_card_disk"),
        ) from None
    with handle:
        yield handle


@contextmanager
def open_picture(path: Path) -> Iterator[PilImage]:
    """The picture with only its header read; the first frame of several.

    Raises PhotoError as `open_file` does, and for a file that is no picture, that is damaged
    in its header, or that has more than PIXEL_LIMIT pixels.
    """
    with open_file(path) as handle, picture_in(handle, path) as image:
        yield image


@contextmanager
def picture_in(handle: BinaryIO, path: Path) -> Iterator[PilImage]:
    """As `open_picture`, on a file already open; `path` is for the words of an error."""
    pillow = _pillow()
    handle.seek(0)
    found = sniff(handle.read(64))
    handle.seek(0)
    if not found:
        raise PhotoError(
            path, "not a picture", ToSay("error.picture_kind_known"), ToSay("error.leave_out")
        )
    if found == "HEIF":
        _register_heif()
    if found == "TIFF":
        _silence()
        if _is_big_endian_big_tiff(handle):
            what = ToSay("error.bigtiff_high_byte")
            raise PhotoError(path, "not a picture", what, ToSay("error.save_anew_plain"))
    try:
        with quiet():
            # Only the decoder of the kind announced is tried: some formats start interpreters.
            image = pillow.open(handle, formats=(found,))
    except Exception as error:  # a decoder meets hostile bytes: any of its errors is bad input
        raise PhotoError(
            path,
            "damaged",
            ToSay("error.begins_like_but", found=found, error=_first_line(error)),
            ToSay("error.copy_from_camera"),
        ) from error
    with image:
        pixels = image.width * image.height
        kind = "progressive JPEG" if image.info.get("progressive") else image.format or found
        limit = _TIGHTER_LIMITS.get(kind, PIXEL_LIMIT)
        if kind in ("JPEG", "MPO"):
            limit = _PLAIN_JPEG_LIMIT
        if kind == "progressive JPEG" and (scans := _scans(handle)) > _SCANS:
            what = ToSay("error.jpeg_scans_more", scans=scans, most=_SCANS)
            raise PhotoError(path, "too large", what, ToSay("error.save_anew_plain_jpeg"))
        if pixels > limit:
            raise PhotoError(
                path,
                "too large",
                ToSay(
                    "error.too_many_pixels_as" if limit < PIXEL_LIMIT else "error.too_many_pixels",
                    pixels=round(pixels / 1e6),
                    limit=round(limit / 1e6),
                    **({"kind": kind} if limit < PIXEL_LIMIT else {}),
                ),
                ToSay("error.save_smaller"),
            )
        yield image


def _is_big_endian_big_tiff(handle: BinaryIO) -> bool:
    begins = handle.read(4) == b"MM\0+"
    handle.seek(0)
    return begins


@cache
def _silence() -> None:
    """Let nothing that the TIFF library prints itself reach the screen.

    It writes to the error output behind Python's back. That is led nowhere from here on, and what
    this program says goes to a copy of it. Nothing is done where something else, a test or a
    program around this one, has taken the error output over already.
    """
    said = sys.stderr
    try:
        if said is not sys.__stderr__ or said is None or said.fileno() != _STDERR:
            return
        encoding, errors = said.encoding, said.errors
        said.flush()
        own = os.dup(_STDERR)
        nowhere = os.open(os.devnull, os.O_WRONLY)
    except (OSError, ValueError):
        return  # there is no such output, and so nothing to be seen on it
    os.dup2(nowhere, _STDERR)
    os.close(nowhere)
    sys.stderr = os.fdopen(own, "w", buffering=1, encoding=encoding, errors=errors, closefd=False)


def _scans(handle: BinaryIO) -> int:
    """How many scans a JPEG file has: its markers SOS (ITU-T T.81, B.1.1.3)."""
    at = handle.tell()
    handle.seek(0)
    count = handle.read().count(b"\xff\xda")
    handle.seek(at)
    return count


@contextmanager
def decoding(image: PilImage) -> Iterator[None]:
    """Within, the pixels of `image` may be decoded: two very large pictures wait for each other.

    To be entered before a JPEG is asked for a draft, which changes its size. A plain JPEG then
    needs little memory, however large it is, and waits for nobody.
    """
    draft = image.format in ("JPEG", "MPO") and not image.info.get("progressive")
    heavy = not draft and image.width * image.height > _ALONE_PIXELS
    with _alone if heavy else nullcontext():
        yield


@contextmanager
def quiet() -> Iterator[None]:
    """Without the decoders' warnings of what they repair; what matters is whether they can.

    For headers only: one thread at a time may be in here, or two would restore each other's
    list of filters.
    """
    with _quiet, warnings.catch_warnings():
        warnings.simplefilter("ignore")
        yield


def is_cut_off(handle: BinaryIO) -> bool:
    """Whether the file ends before its own structure says so, without decoding any pixel.

    A JPEG must hold an end marker behind its pixel data; PNG, WebP,
    HEIF and AVIF state the length of their blocks. TIFF, GIF and BMP are not looked into: their
    decoders notice.
    """
    with mmap.mmap(handle.fileno(), 0, access=mmap.ACCESS_READ) as data:
        kind = sniff(data[:64])
        if kind == "JPEG":
            return _jpeg_cut(data)
        if kind == "PNG":
            return _png_cut(data)
        if kind == "WEBP":
            return len(data) < int.from_bytes(data[4:8], "little") + 8
        if kind in ("HEIF", "AVIF"):
            return _boxes_cut(data)
    return False


def _jpeg_cut(data: mmap.mmap) -> bool:
    at = 2
    while at + 4 <= len(data):
        if data[at] != 0xFF:
            return False  # garbage between segments: no length can be trusted, let it be decoded
        marker = data[at + 1]
        if marker == 0xFF:  # fill byte
            at += 1
            continue
        if marker == 0xDA:
            # Behind the start of scan an end marker cannot be anything else (ITU-T T.81, B.1.1.2).
            return data.rfind(b"\xff\xd9", at) < 0
        at += 2 + int.from_bytes(data[at + 2 : at + 4], "big")
    return True


def _png_cut(data: mmap.mmap) -> bool:
    at = 8
    while at + 12 <= len(data):
        if data[at + 4 : at + 8] == b"IEND":
            return False
        at += 12 + int.from_bytes(data[at : at + 4], "big")
    return True


def _boxes_cut(data: mmap.mmap) -> bool:
    at = 0
    while at + 8 <= len(data):
        size = int.from_bytes(data[at : at + 4], "big")
        if size == 1:
            size = int.from_bytes(data[at + 8 : at + 16], "big")
        if size == 0:  # reaches to the end of the file
            return False
        if size < 8:
            return False  # no structure left to follow
        at += size
    return at > len(data)


def _first_line(error: BaseException) -> str:
    if type(error).__name__ == "UnidentifiedImageError":
        return ToSay("error.no_decoder")
    return printable((str(error).splitlines() or [type(error).__name__])[0])[:120]


def undecodable(path: Path, error: Exception) -> PhotoError:
    """What to raise where a decoder gave up on a picture."""
    return PhotoError(
        path,
        "damaged",
        ToSay("error.cannot_be_decoded", name=type(error).__name__),
        ToSay("error.copy_from_camera"),
    )
