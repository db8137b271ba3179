"""Mats as they are printed: codes, patches, places and scale of each sheet."""

from __future__ import annotations

import math
from collections.abc import Callable

from qlog.drawing.plan import Build, Operation, Part
from qlog.frozen import frozen
from qlog.intake.photos.mats.mat_places import CODE, MARGIN, MOST, SCALE, MatLayout
from qlog.intake.photos.slate import Mat, Slate, build_id, make_svg, payload


@frozen
class Scale:
    """The bar to hold a ruler against: where it begins, and how long it is."""

    x: float
    y: float
    length: float


@frozen
class MatSheet:
    """One sheet; every place in millimetres from the upper left: left, top, width, height."""

    words: tuple[str, ...]
    codes: tuple[tuple[float, float, float, str], ...]
    patches: tuple[tuple[float, float, float, float, str], ...]
    cells: tuple[tuple[float, float, float, float, int], ...]
    scale: Scale


def sheets_of(
    build: Build,
    part: Part,
    operation: Operation | None,
    first: int,
    last: int,
    paper: str,
    lines: Callable[[int, int], tuple[str, ...]],
) -> list[MatSheet]:
    """The sheets for these pieces, as even as can be, none with more than MOST places.

    `lines` gives what is printed at the head of a sheet from its first and last piece.
    """
    count = last - first + 1
    number = math.ceil(count / MOST)
    each = math.ceil(count / number)
    op = 0 if operation is None else operation.number
    found = []
    for begin in range(first, last + 1, each):
        end = min(last, begin + each - 1)
        own = build_id(build.title)
        found.append(_sheet(own, part.id, op, begin, end, paper, lines(begin, end)))
    return found


def _sheet(
    own: str, part: str, op: int, first: int, last: int, paper: str, words: tuple[str, ...]
) -> MatSheet:
    layout = MatLayout(paper, last - first + 1)
    width, height = layout.size
    codes = []
    for corner in range(4):
        left, top, _, _ = layout.corner(corner)
        slate = Slate(part, op, build=own, mat=Mat(first, last, paper, corner))
        codes.append((left, top, CODE, make_svg(payload(slate), border=0)))
    return MatSheet(
        words,
        tuple(codes),
        tuple(
            (left, top, right - left, bottom - top, f"rgb({grey},{grey},{grey})")
            for (left, top, right, bottom), grey in layout.patches()
        ),
        tuple(
            (left, top, right - left, bottom - top, first + index)
            for index, (left, top, right, bottom) in enumerate(
                layout.cell(i) for i in range(layout.count)
            )
        ),
        Scale((width - SCALE) / 2, height - MARGIN - 7, SCALE),
    )
