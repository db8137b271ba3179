"""Drawing pictures: copied or rendered into the record, with the size that marks are placed in."""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree import ElementTree

from qlog.drawing.named_files import FileKind, fault
from qlog.drawing.plan import Build
from qlog.logbook.photos.originals import digest
from qlog.logbook.photos.pictures import PhotoError
from qlog.problem import ToSay
from qlog.record.pages.svg_clean import clean
from qlog.record.photos.renditions import render

FOLDER = "drawings"
_LENGTH = re.compile(r"\s*([0-9]*\.?[0-9]+)\s*(px|mm|cm|in|pt)?\s*$")


def plates(build: Build, record: Path) -> dict[str, tuple[str, float, float]]:
    """By part: path in the record, width and height of its drawing picture.

    A picture that is missing, lies outside the build's folder or cannot be shown is left out.
    """
    found = {}
    for part in build.parts:
        if not part.image or fault(build.folder, part.image, FileKind.DRAWING):
            continue
        source = build.folder / part.image
        try:
            found[part.id] = _plate(source, part.id, record)
        except (OSError, PhotoError, ElementTree.ParseError, ValueError):
            continue
    return found


def _plate(source: Path, part: str, record: Path) -> tuple[str, float, float]:
    folder = record / FOLDER
    folder.mkdir(exist_ok=True)
    if source.suffix.lower() == ".svg":
        width, height = svg_size(source)
        target = folder / f"{part}.svg"
        target.write_bytes(clean(source.read_bytes()))
        return f"{FOLDER}/{target.name}", width, height
    largest = render(source, digest(source), folder).sizes[-1]
    keep = folder / f"{part}.jpg"
    largest.path.replace(keep)
    for path in folder.glob(f"{digest(source)[:24]}-*"):
        path.unlink()
    return f"{FOLDER}/{keep.name}", largest.width, largest.height


def svg_size(path: Path) -> tuple[float, float]:
    """Width and height of an SVG picture, by its viewBox or else its size.

    Raises ValueError when it has neither, ParseError when it is no XML.
    """
    root = ElementTree.fromstring(path.read_bytes())
    box = root.get("viewBox", "").replace(",", " ").split()
    if len(box) == 4 and float(box[2]) > 0 and float(box[3]) > 0:
        return float(box[2]), float(box[3])
    sizes = [_LENGTH.match(root.get(name, "")) for name in ("width", "height")]
    if sizes[0] and sizes[1]:
        return float(sizes[0][1]), float(sizes[1][1])
    raise ValueError(ToSay("error.viewbox_size", path=path))
