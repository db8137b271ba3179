"""Renditions: a photo at 320, 960 and 1920 pixels, pixels only, named by content.

The largest is made from the photo, each smaller one from the one before it. A file is written
beside its place, read again, proved to hold pixels only, and then moved in.
"""

from __future__ import annotations

import hashlib
import os
import threading
from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor, as_completed
from pathlib import Path
from typing import TYPE_CHECKING, Any

from qlog.frozen import frozen
from qlog.logbook.photos.memory import keep_freed_memory
from qlog.logbook.photos.pictures import PhotoError, open_file, open_picture
from qlog.logbook.photos.pixels import bounded, load
from qlog.problem import ToSay
from qlog.record.photos.bare import PrivacyError, assert_bare
from qlog.record.photos.cropped import without_codes

if TYPE_CHECKING:
    from io import RawIOBase

    from PIL.Image import Image as PilImage

__all__ = [
    "SIZES",
    "JobResult",
    "PhotoError",
    "PrivacyError",
    "Rendered",
    "RenderedFile",
    "RenditionJob",
    "render",
    "render_many",
]

#: Bounds of the longest side, in pixels.
SIZES = (320, 960, 1920)

#: Of a picture longer than four times its height, or higher than four times its width, one
#: rendition is made by its shorter side: so many pixels, and no more than that along the other.
_LONG, _SHORTER, _LONGEST = 4, 640, 12_000
#: A picture that shows a code is looked at in this size, in which codes beside the work are read.
_FOR_CODES = 4000

#: Part of every name. Raised whenever the pixels of a rendition would come out otherwise.
SETTINGS = 1

_SUFFIX = {"jpeg": "jpg", "webp": "webp", "avif": "avif"}
_OPTIONS: dict[str, dict[str, Any]] = {
    # Measured on photos of 12 megapixels: `optimize` doubles the time for 2 % fewer bytes.
    "jpeg": {"quality": 82},
    "webp": {"quality": 80, "method": 1},
    # One thread each: the work is already spread over the photos, and the bytes stay the same.
    "avif": {"quality": 65, "speed": 9, "max_threads": 1},
}


@frozen
class RenderedFile:
    """One rendition; `format` is "jpeg", "webp" or "avif", sizes are in pixels and bytes."""

    place: str
    width: int
    height: int
    bytes: int
    format: str

    @property
    def path(self) -> Path:
        """Where it lies."""
        return Path(self.place)

    @property
    def name(self) -> str:
        """Its name there."""
        return self.place.rpartition(os.sep)[2]


@frozen
class Rendered:
    """All renditions of one photo, the smallest first; `salvaged` when the file was cut off."""

    sizes: tuple[RenderedFile, ...]
    salvaged: bool = False
    made: int = 0  # how many files were written now, the others being there already


@frozen
class RenditionJob:
    """A photo to be rendered: where it lies and the SHA-256 of its bytes.

    `size` is its width and height where they are known, `codes` whether a code beside the work is
    to be taken out.
    """

    source: Path
    sha256: str
    size: tuple[int, int] | None = None
    codes: bool = False


@frozen
class JobResult:
    """What became of a job: renditions, or the reason why there are none."""

    job: RenditionJob
    rendered: Rendered | None
    error: PhotoError | None


def render(
    source: Path,
    sha256: str,
    out: Path,
    *,
    formats: tuple[str, ...] = (),
    sizes: tuple[int, ...] = SIZES,
    salvage: bool = False,
    size: tuple[int, int] | None = None,
    codes: bool = False,
) -> Rendered:
    """Make the renditions of the photo at `source` in the folder `out`, where not yet made.

    Always JPEG; `formats` may ask for "webp" and "avif" besides. Sizes are bounds of the longest
    side, and a photo smaller than a bound gets none beyond its own size; a very long one gets one
    by its shorter side. The file names come from `sha256`, the settings and the size. With
    `salvage` a file that is cut off gives what is left of it (not to be used while another thread
    decodes). `size` is the photo's own where it is known, `codes` takes codes beside the work out.

    Raises PhotoError for a photo that cannot be shown or has other bytes than `sha256`,
    PrivacyError for a written file that holds more than pixels, ValueError for an unknown format.
    """
    wanted = _wanted(formats)
    if size is None:
        with open_picture(source) as image:
            size = image.size
    bounds = _bounds(size, sizes)
    plan = _plan(RenditionJob(source, sha256, size, codes), out, bounds, wanted, salvage)
    files = _found(plan, size, codes)
    made = len(plan) - len(files)
    if made:
        out.mkdir(parents=True, exist_ok=True)
        _as_entered(source, sha256)
        if codes:
            picture = without_codes(load(source, max(_FOR_CODES, bounds[-1]), salvage=salvage))
        else:
            picture = load(source, bounds[-1], salvage=salvage)
        for bound in reversed(bounds):
            picture = _smaller(picture, bound)
            for format_ in wanted:
                if (bound, format_) not in files:
                    files[bound, format_] = _write(picture, Path(plan[bound, format_]), format_)
    return Rendered(tuple(files[key] for key in plan), salvage, made)


def _wanted(formats: tuple[str, ...]) -> tuple[str, ...]:
    """JPEG, and the other formats once each. Raises ValueError for an unknown one."""
    wanted = ("jpeg", *dict.fromkeys(f for f in formats if f != "jpeg"))
    for format_ in wanted:
        if format_ not in _SUFFIX:
            raise ValueError(ToSay("error.picture_format_give", format=format_))
    return wanted


def _plan(
    job: RenditionJob, out: Path, bounds: list[int], wanted: tuple[str, ...], salvage: bool
) -> dict[tuple[int, str], str]:
    """The files of a photo by bound and format, the smallest first."""
    mark = f"{job.sha256[:24]}-{SETTINGS}{'s' if salvage else ''}{'c' if job.codes else ''}"
    return {
        (bound, format_): f"{out}{os.sep}{mark}-{bound}.{_SUFFIX[format_]}"
        for bound in bounds
        for format_ in wanted
    }


def _found(
    plan: dict[tuple[int, str], str], size: tuple[int, int], codes: bool
) -> dict[tuple[int, str], RenderedFile]:
    """Those that are made already."""
    longest = max(size)
    return {
        key: found
        for key, path in plan.items()
        if (found := _there(path, key[1], None if codes else min(key[0], longest)))
    }


def _made_before(
    job: RenditionJob, out: Path, wanted: tuple[str, ...], sizes: tuple[int, ...]
) -> Rendered | None:
    """The renditions of a photo of known size where all of them are made already."""
    if job.size is None:
        return None
    plan = _plan(job, out, _bounds(job.size, sizes), wanted, salvage=False)
    files = _found(plan, job.size, job.codes)
    return Rendered(tuple(files.values())) if len(files) == len(plan) else None


def _as_entered(source: Path, sha256: str) -> None:
    """Nothing is shown but what was entered, above all nothing that a planted link leads to."""
    with open_file(source) as file:
        if hashlib.file_digest(file, "sha256").hexdigest() != sha256:
            raise PhotoError(
                source, "changed", ToSay("error.not_as_entered"), ToSay("error.verify_says_more")
            )


def _bounds(size: tuple[int, int], sizes: tuple[int, ...]) -> list[int]:
    """The longest sides of a photo's renditions, the smallest first."""
    longest, shorter = max(size), max(1, min(size))
    bounds = [bound for i, bound in enumerate(sizes) if i == 0 or sizes[i - 1] < longest]
    if longest > _LONG * shorter:
        by_shorter = min(longest, _LONGEST, round(longest * _SHORTER / shorter))
        bounds += [by_shorter] if by_shorter > bounds[-1] else []
    return bounds


def render_many(
    jobs: Iterable[RenditionJob],
    out: Path,
    *,
    formats: tuple[str, ...] = (),
    sizes: tuple[int, ...] = SIZES,
    workers: int = 2,
    progress: Callable[[int, int], None] | None = None,
) -> tuple[JobResult, ...]:
    """Render photos on `workers` threads; the outcomes are in the order of the jobs.

    A photo that cannot be shown does not stop the others. One that is cut off is tried once
    more when all the others are done, alone, for what is left of it. `progress` is called in
    the calling thread with the number done and the number in all. Raises PrivacyError.
    """
    keep_freed_memory()
    wanted = tuple(dict.fromkeys(jobs))
    of = _wanted(formats)
    done = {
        job: JobResult(job, there, None)
        for job in wanted
        if (there := _made_before(job, out, of, sizes)) is not None
    }

    def one(job: RenditionJob, salvage: bool) -> JobResult:
        try:
            rendered = render(
                job.source, job.sha256, out,
                formats=formats, sizes=sizes, salvage=salvage,
                size=job.size, codes=job.codes,
            )  # fmt: skip
        except PhotoError as error:
            return JobResult(job, None, error)
        return JobResult(job, rendered, None)

    with ThreadPoolExecutor(max_workers=workers, thread_name_prefix="rendition") as pool:
        futures = {pool.submit(one, job, False): job for job in wanted if job not in done}
        try:
            for future in as_completed(futures):
                done[futures[future]] = future.result()
                if progress is not None:
                    progress(len(done), len(wanted))
        except BaseException:
            pool.shutdown(wait=False, cancel_futures=True)
            raise
    for job in wanted:
        error = done[job].error
        if error is not None and error.kind == "cut off":
            done[job] = one(job, True)
    return tuple(done[job] for job in wanted)


def _there(path: str, format_: str, longest: int | None) -> RenderedFile | None:
    """The rendition that is there already, or None when it is missing or was not finished.

    `longest` is None where the picture may be smaller than its bound.
    """
    try:
        with open(path, "rb", buffering=0) as file:  # noqa: PTH123 - thousands of them
            own, bytes_ = _own_size(file), file.seek(0, os.SEEK_END)
        if format_ != "jpeg" or own is None:
            with open_picture(Path(path)) as image:
                own = image.size
    except (PhotoError, OSError):
        return None
    if longest is not None and max(own) != longest:
        return None
    return RenderedFile(path, *own, bytes_, format_)


def _own_size(file: RawIOBase) -> tuple[int, int] | None:
    """Width and height of a JPEG written here, from its first bytes (ITU-T T.81, B.2.2).

    None for anything that does not begin and end as one: that is opened like any other picture.
    Raises OSError for a file of less than two bytes.
    """
    head = file.read(1024) or b""
    file.seek(-2, os.SEEK_END)
    end = file.read(2)
    at = 2
    while head[:2] == b"\xff\xd8" and end == b"\xff\xd9" and at + 9 <= len(head):
        if head[at] != 0xFF:
            return None
        if head[at + 1] == 0xC0:
            return (
                int.from_bytes(head[at + 7 : at + 9], "big"),
                int.from_bytes(head[at + 5 : at + 7], "big"),
            )
        at += 2 + int.from_bytes(head[at + 2 : at + 4], "big")
    return None


def _smaller(picture: PilImage, bound: int) -> PilImage:
    """Down to `bound` on the longest side, by a whole factor where there is one."""
    from PIL.Image import Resampling

    longest = max(picture.size)
    if longest <= bound:
        return picture
    width, height = bounded(picture.size, bound)
    factor, rest = divmod(longest, bound)
    if rest == 0 and min(picture.size) >= factor:
        # An average of whole squares costs a tenth of a filter and 0.1 dB. Odd rows or columns
        # at the end would be averaged with nothing: they are left off.
        width, height = picture.width // factor, picture.height // factor
        return picture.reduce(factor, (0, 0, factor * width, factor * height))
    return picture.resize((width, height), Resampling.BICUBIC)


def _write(picture: PilImage, path: Path, format_: str) -> RenderedFile:
    part = path.with_name(f".{path.name}.{os.getpid()}-{threading.get_ident()}.part")
    picture.info = {}
    try:
        picture.save(part, format_.upper(), **_OPTIONS[format_])
        assert_bare(part)
        size = part.stat().st_size
        part.replace(path)
    finally:
        part.unlink(missing_ok=True)
    return RenderedFile(str(path), *picture.size, size, format_)
