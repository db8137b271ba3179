"""Thumbnails that stand inside a page: pixels only, as data links."""

from __future__ import annotations

import base64
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from io import BytesIO
from pathlib import Path

from qlog.frozen import frozen
from qlog.logbook.photos.pictures import PhotoError
from qlog.logbook.photos.pixels import load

_LONGEST = 320


@frozen
class Thumbnail:
    """A small JPEG as a data link, with its size in pixels."""

    src: str
    width: int
    height: int


def thumbnails(
    sources: Sequence[Path | None], progress: Callable[[int, int], None] | None = None
) -> list[Thumbnail | None]:
    """A thumbnail of each file, None where there is none to be made.

    A file that is cut off is tried once more, alone, for what is left of it.
    """
    made: list[Thumbnail | None] = []
    with ThreadPoolExecutor(2) as pool:
        for done, one in enumerate(pool.map(_quiet, sources), start=1):
            made.append(one)
            if progress is not None:
                progress(done, len(sources))
    return [
        one or (None if source is None else _quiet(source, salvage=True))
        for one, source in zip(made, sources, strict=True)
    ]


def _quiet(source: Path | None, salvage: bool = False) -> Thumbnail | None:
    if source is None:
        return None
    try:
        picture = load(source, _LONGEST, salvage=salvage)
    except PhotoError:
        return None
    out = BytesIO()
    picture.save(out, "JPEG", quality=78)
    data = base64.b64encode(out.getvalue()).decode("ascii")
    return Thumbnail(f"data:image/jpeg;base64,{data}", picture.width, picture.height)
