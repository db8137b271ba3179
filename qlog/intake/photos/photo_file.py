"""What a photo file says about itself: sum, size, camera, times. No pixel is decoded.

`read` never fails in any other way than with a `PhotoError`, whatever the file holds.
"""

from __future__ import annotations

import hashlib
import re
from datetime import UTC, datetime
from enum import Enum
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any, BinaryIO

from qlog.frozen import frozen
from qlog.intake.photos.files import RAW_SUFFIX
from qlog.logbook.photos.pictures import (
    PhotoError,
    is_cut_off,
    open_file,
    picture_in,
    printable,
    sniff,
)
from qlog.problem import ToSay

if TYPE_CHECKING:
    from collections.abc import Mapping

    from PIL.Image import Image as PilImage

__all__ = ["PhotoError", "PhotoFacts", "printable", "read"]

#: EXIF larger than this is cut: the tags wanted here stand at its front.
_EXIF_BYTES = 1 << 20

#: A clock that says less was never set: 0000, 1970 and 1980 are the zeros of cameras and cards.
_FIRST_YEAR = 1990

_DATE = re.compile(
    r"(\d{4})[:/.-](\d{1,2})[:/.-](\d{1,2})[ T](\d{1,2}):(\d{1,2})(?::(\d{1,2}))?(?:\.\d*)?Z?"
)
_DAY = re.compile(r"(\d{4})[:/.-](\d{1,2})[:/.-](\d{1,2})")
_OFFSET = re.compile(r"([+-])(\d{2}):?(\d{2})")

#: Suffixes that a format goes by; another one is worth a word.
_SUFFIXES = {
    "JPEG": {".jpg", ".jpeg", ".jpe", ".jfif", ".mpo"},
    "PNG": {".png"},
    "TIFF": {".tif", ".tiff"},
    "WEBP": {".webp"},
    "AVIF": {".avif"},
    "HEIF": {".heic", ".heif", ".hif"},
    "GIF": {".gif"},
    "BMP": {".bmp", ".dib"},
}


class Oddity(Enum):
    """What is odd about a photo file that is taken in all the same."""

    CALLED = "called"  # another format than its suffix says
    NO_SUFFIX = "no_suffix"
    EXIF = "exif"  # its EXIF makes no sense
    CUT_OFF = "cut_off"
    AS_IT_IS = "as_it_is"  # damaged, and salvaged
    NAME = "name"  # kept under another name
    MAT = "mat"  # a mat with nothing on it
    MAT_CUT = "mat_cut"  # a mat, cut into pictures of pieces
    MAT_EMPTY = "mat_empty"  # places of a mat with nothing on them
    MAT_STRANGE = "mat_strange"  # of another build, or two of them
    MAT_WHOLE = "mat_whole"  # a mat that could not be cut, for one of the following
    MAT_TOO_LONG = "mat_too_long"  # places for more pieces than the plan
    MAT_TWICE = "mat_twice"  # a corner is there twice
    MAT_CORNERS = "mat_corners"  # fewer than three corners can be read
    MAT_NOT_FLAT = "mat_not_flat"
    MAT_SMALL = "mat_small"


@frozen
class Remark:
    """An oddity with what it is about: the format found, the suffix or the kind of error."""

    oddity: Oddity
    found: str = ""
    detail: str = ""


@frozen
class PhotoFacts:
    """One photo file as it lies there; times as the file writes them, nothing worked out.

    `width` and `height` are those of the decoded pixels: see `upright_size`. `orientation` is
    the turn still to be made, 1..8 of the EXIF tag (1 when absent or out of range).
    `taken` is local ISO time without offset ("2025-03-14T19:02:11") from the field that
    `taken_source` names: "original", "digitized" or "datetime"; "gps" when only the satellites'
    time is there and "file" when only the file's own date is, both UTC with offset "+00:00";
    "" with `taken` None when there is none. `subsec` are the digits behind the decimal point.
    `camera_key` tells cameras apart, by a hash over make, model and serial number: it is
    private, since a serial number can be guessed back from it.
    """

    sha256: str
    bytes: int
    format: str
    width: int
    height: int
    orientation: int
    camera: str
    camera_key: str
    taken: str | None
    subsec: str
    offset: str | None
    taken_source: str
    gps_utc: str | None
    has_location: bool
    frames: int
    cut_off: bool
    remarks: tuple[Remark, ...] = ()


def read(path: Path, *, salvage: bool = False) -> PhotoFacts:
    """Read what the file at `path` says about itself.

    Raises PhotoError: missing, unreadable, empty, cut off (unless `salvage`), no picture,
    damaged, or too large.
    """
    if RAW_SUFFIX.fullmatch(path.suffix):
        raise PhotoError(
            path, "not a picture", ToSay("error.camera_raw_data"), ToSay("error.take_jpeg_made")
        )
    with open_file(path) as handle:
        sha256 = hashlib.file_digest(handle, "sha256").hexdigest()
        handle.seek(0)
        kind = sniff(handle.read(64))
        cut = is_cut_off(handle)
        if cut and not salvage:
            raise PhotoError(
                path, "cut off", ToSay("error.cut_off"), ToSay("error.copy_from_camera")
            )
        status = path.stat()
        remarks: list[Remark] = []
        suffix = path.suffix.lower()
        if kind and suffix not in _SUFFIXES[kind]:
            oddity = Oddity.CALLED if suffix else Oddity.NO_SUFFIX
            remarks.append(Remark(oddity, kind, printable(suffix)))
        with picture_in(handle, path) as image:
            try:
                tags = _tags(handle, image)
            except Exception as error:  # the tag reader meets hostile bytes; the photo is fine
                tags = {}
                remarks.append(Remark(Oddity.EXIF, detail=type(error).__name__))
            format_, width, height = image.format or kind, image.width, image.height
            frames = int(getattr(image, "n_frames", 1)) if format_ in ("MPO", "HEIF") else 1
    words = _Tags(tags)
    taken, subsec, offset, source = words.taken()
    gps_utc = words.gps_utc()
    if taken is None and gps_utc is not None:
        taken, offset, source = gps_utc.rstrip("Z"), "+00:00", "gps"
    if taken is None:
        taken, offset, source = _file_time(status.st_mtime_ns)
    return PhotoFacts(
        sha256=sha256,
        bytes=status.st_size,
        format="JPEG" if format_ == "MPO" else format_,
        width=width,
        height=height,
        # These two are turned by their decoders; their EXIF may still ask for the same turn.
        orientation=1 if format_ in ("HEIF", "TIFF") else words.orientation(),
        camera=words.camera(),
        camera_key=words.camera_key(),
        taken=taken,
        subsec=subsec,
        offset=offset,
        taken_source=source,
        gps_utc=gps_utc,
        has_location=words.has("GPS GPSLatitude") and words.has("GPS GPSLongitude"),
        frames=frames,
        cut_off=cut,
        remarks=tuple(remarks),
    )


@cache
def _exif_reader() -> Any:
    import logging

    import exifread

    # It reports every odd tag of a camera on standard error; odd tags are a normal case here.
    logging.getLogger("exifread").setLevel(logging.CRITICAL)
    return exifread.process_file


def _tags(handle: BinaryIO, image: PilImage) -> Mapping[str, Any]:
    """The EXIF tags, without maker notes: those take sixty times as long and say nothing here."""
    source: BinaryIO
    if image.format == "TIFF":
        source = handle
    else:
        raw = image.info.get("exif") or _exif_in_text(image)
        if not raw and image.format == "PNG":
            source = handle  # the block may stand behind the pixels, where Pillow has not been
        elif not raw:
            return {}
        else:
            source = BytesIO(bytes(raw[:_EXIF_BYTES]).removeprefix(b"Exif\0\0"))
    tags: Mapping[str, Any] = _exif_reader()(source, details=False, extract_thumbnail=False)
    return tags


def _exif_in_text(image: PilImage) -> bytes:
    """EXIF that older programs wrote into a PNG as text: a name, a length, hexadecimal lines."""
    for key in ("Raw profile type exif", "Raw profile type APP1"):
        text = image.info.get(key) if image.format == "PNG" else None
        if isinstance(text, str):
            lines = text.strip().split("\n")[2:]
            try:
                return bytes.fromhex("".join(lines)[: 2 * _EXIF_BYTES])
            except ValueError:  # no hexadecimal: some other text under that name
                continue
    return b""


def _file_time(modified_ns: int) -> tuple[str | None, str | None, str]:
    try:
        when = datetime.fromtimestamp(modified_ns // 1_000_000_000, UTC)
    except (OverflowError, OSError, ValueError):
        return None, None, ""
    if when.year < _FIRST_YEAR:
        return None, None, ""
    return when.replace(tzinfo=None).isoformat(), "+00:00", "file"


class _Tags:
    """The tags of one file, each read with the care that files from the wild ask for."""

    def __init__(self, tags: Mapping[str, Any]) -> None:
        self.tags = tags

    def has(self, name: str) -> bool:
        return bool(getattr(self.tags.get(name), "values", None))

    def text(self, name: str) -> str:
        """The tag as text: no control characters, blanks squeezed, at most 80 characters."""
        values = getattr(self.tags.get(name), "values", "")
        if isinstance(values, (bytes, bytearray)):
            values = bytes(values).decode("latin-1")
        if not isinstance(values, str):
            return ""
        shown = "".join(c if c.isprintable() else " " for c in values)
        return " ".join(shown.split())[:80]

    def number(self, name: str) -> int:
        values = getattr(self.tags.get(name), "values", None)
        if isinstance(values, list) and len(values) == 1 and isinstance(values[0], int):
            return values[0]
        return 0

    def orientation(self) -> int:
        value = self.number("Image Orientation")
        return value if 1 <= value <= 8 else 1

    def camera(self) -> str:
        make, model = self.text("Image Make"), self.text("Image Model")
        if not make or not model:
            return model or make
        if model.lower().startswith(make.split()[0].lower()):
            return model
        return f"{make} {model}"[:80]

    def camera_key(self) -> str:
        said = (
            self.text("Image Make"),
            self.text("Image Model"),
            self.text("EXIF BodySerialNumber"),
        )
        if not any(said):
            return ""
        return hashlib.sha256("\n".join(said).encode("utf-8", "replace")).hexdigest()[:16]

    def taken(self) -> tuple[str | None, str, str | None, str]:
        """Time, fraction and offset, all three of one field, and which field it is."""
        for name, sub, off, source in (
            ("EXIF DateTimeOriginal", "SubSecTimeOriginal", "OffsetTimeOriginal", "original"),
            ("EXIF DateTimeDigitized", "SubSecTimeDigitized", "OffsetTimeDigitized", "digitized"),
            ("Image DateTime", "SubSecTime", "OffsetTime", "datetime"),
        ):
            when = _date(self.text(name))
            if when is not None:
                digits = self.text(f"EXIF {sub}")
                fraction = digits if digits.isascii() and digits.isdigit() else ""
                return when.isoformat(), fraction[:6], _offset(self.text(f"EXIF {off}")), source
        return None, "", None, ""

    def gps_utc(self) -> str | None:
        """The satellites' time, "2025-03-14T18:02:09Z"."""
        day = self.text("GPS GPSDate")
        values = getattr(self.tags.get("GPS GPSTimeStamp"), "values", None)
        if _DAY.fullmatch(day) is None or not isinstance(values, list) or len(values) != 3:
            return None
        try:
            hour, minute, second = (int(float(value)) for value in values)
        except (ValueError, TypeError, ZeroDivisionError, OverflowError):
            return None
        when = _date(f"{day} {hour}:{minute}:{second}")
        return None if when is None else f"{when.isoformat()}Z"


def _date(text: str) -> datetime | None:
    match = _DATE.fullmatch(text)
    if match is None:
        return None
    year, month, day, hour, minute = (int(part) for part in match.groups()[:5])
    try:
        when = datetime(year, month, day, hour, minute, int(match[6] or 0))  # noqa: DTZ001
    except ValueError:
        return None
    return when if when.year >= _FIRST_YEAR else None


def _offset(text: str) -> str | None:
    if text == "Z":
        return "+00:00"
    match = _OFFSET.fullmatch(text)
    if match is None or int(match[2]) > 14 or int(match[3]) > 59:
        return None
    return f"{match[1]}{match[2]}:{match[3]}"
