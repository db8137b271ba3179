"""Renditions: a photo at 320, 960 and 1920 pixels, pixels only, named by content.

The largest is made from the photo, each smaller one from the one before it. A file is written
beside its place, read again, proved to hold pixels only, and then moved in.
"""

from __future__ import annotations

import os
import threading
from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor, as_completed
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from qlog.logbook.photos.pictures import PhotoError, open_picture
from qlog.logbook.photos.pixels import bounded, load
from qlog.record.photos.bare import PrivacyError, assert_bare

if TYPE_CHECKING:
    from PIL.Image import Image as PilImage

__all__ = [
    "SIZES",
    "Outcome",
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


@dataclass(frozen=True, slots=True)
class RenderedFile:
    """One rendition; `format` is "jpeg", "webp" or "avif", sizes are in pixels and bytes."""

    path: Path
    width: int
    height: int
    bytes: int
    format: str


@dataclass(frozen=True, slots=True)
class Rendered:
    """All renditions of one photo, the smallest first; `salvaged` when the file was cut off."""

    sizes: tuple[RenderedFile, ...]
    salvaged: bool = False
    made: int = 0  # how many files were written now, the others being there already


@dataclass(frozen=True, slots=True)
class RenditionJob:
    """A photo to be rendered: where it lies and the SHA-256 of its bytes."""

    source: Path
    sha256: str


@dataclass(frozen=True, slots=True)
class Outcome:
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
    salvage: bool = False,
) -> Rendered:
    """Make the renditions of the photo at `source` in the folder `out`, where not yet made.

    Always JPEG; `formats` may ask for "webp" and "avif" besides. Sizes are bounds of the longest
    side, and a photo smaller than a bound gets none beyond its own size. The file names come
    from `sha256`, the settings and the size. With `salvage` a file that is cut off gives what is
    left of it (not to be used while another thread decodes).

    Raises PhotoError for a photo that cannot be shown, PrivacyError for a written file that
    holds more than pixels, ValueError for an unknown format.
    """
    wanted = ("jpeg", *dict.fromkeys(f for f in formats if f != "jpeg"))
    for format_ in wanted:
        if format_ not in _SUFFIX:
            raise ValueError(f'no picture format "{format_}"; give "webp" or "avif"')
    with open_picture(source) as image:
        longest = max(image.size)
    bounds = [size for i, size in enumerate(SIZES) if i == 0 or SIZES[i - 1] < longest]
    mark = f"{sha256[:24]}-{SETTINGS}{'s' if salvage else ''}"
    plan = {
        (bound, format_): out / f"{mark}-{bound}.{_SUFFIX[format_]}"
        for bound in bounds
        for format_ in wanted
    }
    files = {
        key: found
        for key, path in plan.items()
        if (found := _there(path, key[1], min(key[0], longest)))
    }
    made = len(plan) - len(files)
    if made:
        out.mkdir(parents=True, exist_ok=True)
        picture = load(source, bounds[-1], salvage=salvage)
        for bound in reversed(bounds):
            picture = _smaller(picture, bound)
            for format_ in wanted:
                if (bound, format_) not in files:
                    files[bound, format_] = _write(picture, plan[bound, format_], format_)
    return Rendered(tuple(files[key] for key in plan), salvage, made)


def render_many(
    jobs: Iterable[RenditionJob],
    out: Path,
    *,
    formats: tuple[str, ...] = (),
    workers: int = 2,
    progress: Callable[[int, int], None] | None = None,
) -> tuple[Outcome, ...]:
    """Render photos on `workers` threads; the outcomes are in the order of the jobs.

    A photo that cannot be shown does not stop the others. One that is cut off is tried once
    more when all the others are done, alone, for what is left of it. `progress` is called in
    the calling thread with the number done and the number in all. Raises PrivacyError.
    """
    wanted = tuple(dict.fromkeys(jobs))
    done: dict[RenditionJob, Outcome] = {}

    def one(job: RenditionJob, salvage: bool) -> Outcome:
        try:
            rendered = render(job.source, job.sha256, out, formats=formats, salvage=salvage)
        except PhotoError as error:
            return Outcome(job, None, error)
        return Outcome(job, rendered, None)

    with ThreadPoolExecutor(max_workers=workers, thread_name_prefix="rendition") as pool:
        futures = {pool.submit(one, job, False): job for job in wanted}
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


def _there(path: Path, format_: str, longest: int) -> RenderedFile | None:
    """The rendition that is there already, or None when it is missing or was not finished."""
    try:
        with open_picture(path) as image:
            if max(image.size) != longest:
                return None
            return RenderedFile(path, *image.size, path.stat().st_size, format_)
    except PhotoError:
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
    return RenderedFile(path, *picture.size, size, format_)
