"""Photos as a bench camera takes them, made by Pillow: views, cards and clocks with their EXIF."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

import numpy as np
from PIL import Image, ImageFilter

from qlog.intake.photos import slate
from tests.odd_photos import exif


@lru_cache(maxsize=64)
def view(seed: int, size: tuple[int, int] = (640, 480)) -> Image.Image:
    """A view of its own for every number; two numbers are never alike."""
    rng = np.random.default_rng(seed)
    base = Image.fromarray(rng.integers(0, 255, (6, 8, 3), dtype=np.uint8))
    fine = rng.normal(0, 6, (size[1], size[0], 1))
    big = np.asarray(base.resize(size, Image.Resampling.BICUBIC), dtype=float) + fine
    return Image.fromarray(np.clip(big, 0, 255).astype(np.uint8))


def code(text: str, side: int = 240) -> Image.Image:
    """A code as a printed card or a screen shows it."""
    rows = [list(row) for row in slate._code(text).matrix_iter(border=4)]
    image = Image.new("L", (len(rows), len(rows)), 255)
    for y, row in enumerate(rows):
        for x, dark in enumerate(row):
            if dark:
                image.putpixel((x, y), 0)
    return image.resize((side, side), Image.Resampling.NEAREST).convert("RGB")


def photo(
    path: Path,
    when: str | None,
    seed: int,
    *,
    shows: str = "",
    blur: float = 0,
    camera: str = "Phone 1",
    offset: str | None = "+01:00",
    bench: int | None = None,
    **more: object,
) -> Path:
    """A JPEG taken at `when` ("10:05", on 14 February 2026, or a whole EXIF date).

    Photos of one `bench` are near to one another and not the same, as those of one setup are.
    """
    image = view(seed)
    if bench is not None:
        image = Image.blend(view(bench), image, 0.25)
    if shows:
        image = image.copy()
        image.paste(code(shows), (200, 120))
    if blur:
        image = image.filter(ImageFilter.GaussianBlur(blur))
    if when is not None and len(when) < 9:
        when = f"2026:02:14 {when}" + (":00" if len(when) == 5 else "")
    path.parent.mkdir(parents=True, exist_ok=True)
    block = exif(original=when, offset=offset, make="Workshop", model=camera, **more)  # type: ignore[arg-type]
    image.save(path, "JPEG", quality=88, exif=block)
    return path


def card(part: str, op: int, piece: int | None = None) -> str:
    """The text of a slate card."""
    return slate.payload(slate.Slate(part, op, piece))
