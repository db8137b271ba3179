"""The whole matching as one integer programme, to hold against the search by chains.

Run by hand:  python -m tests.benchmarks.matching_programme [--items 16] [--parts 5] [--seconds 120]

The questions of `matching_time.py` (seed 1, simple rule) put to HiGHS at once: a piece is in an
item or not, a joint of an item is out or not, and the smallest and the largest overall size are
to lie as near together as they can once as few joints as can be are out. Items are alike: they
are numbered by their size. Stopped after so many seconds on the clock.
"""

from __future__ import annotations

import argparse
import time

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

from qlog.study.fit.joints import clearances
from tests.benchmarks.matching_time import PARTS, instance

Row = tuple[list[tuple[int, float]], float, float]  # column and coefficient, least, most


def rows_of(shape: tuple[int, int], step: str, room: float) -> tuple[list[Row], int, int]:
    """The rows of the programme, how many columns are 0 or 1, and from which on joints are out."""
    live, _, joints, stack = instance(1, shape, step, room, None, False)
    items, parts, pieces = shape[0], list(live), len(next(iter(live.values())))

    def place(part: str, piece: int, item: int) -> int:
        return (parts.index(part) * pieces + piece) * items + item

    marks = len(parts) * pieces * items
    columns = marks + len(joints) * items
    rows: list[Row] = []
    for part in parts:
        for item in range(items):
            rows.append(([(place(part, n, item), 1.0) for n in range(pieces)], 1, 1))
        for n in range(pieces):
            rows.append(([(place(part, n, item), 1.0) for item in range(items)], 0, 1))
    heights: list[list[tuple[int, float]]] = [[] for _ in range(items)]
    for part, (_, sized) in zip(parts, stack.terms, strict=True):
        middle = float(np.median([float(p.value) for p in sized]))
        for item, n in np.ndindex(items, pieces):
            heights[item].append((place(part, n, item), float(sized[n].value) - middle))
    for item, height in enumerate(heights):
        rows.append(([*height, (columns, -1.0)], -np.inf, 0))  # no larger than the largest
        rows.append(([*height, (columns + 1, -1.0)], 0, np.inf))
        if item:
            before = [(column, -size) for column, size in heights[item - 1]]
            rows.append(([*height, *before], 0, np.inf))
    for j, joint in enumerate(joints):
        inner, outer = joint.inside[0].part, joint.outside[0].part
        for line in clearances(joint.inside, joint.outside, joint.wanted):
            fits = [pair.outside.number - 1 for pair in line if not pair.verdict.out]
            for item in range(items):
                held = [(place(inner, line[0].inside.number - 1, item), 1.0)]
                held += [(place(outer, n, item), -1.0) for n in fits]
                rows.append(([*held, (marks + j * items + item, -1.0)], -np.inf, 0))
    return rows, columns, marks


def solve(shape: tuple[int, int], step: str, room: float, seconds: float) -> str:
    """What HiGHS makes of it, in one line."""
    rows, columns, marks = rows_of(shape, step, room)
    entries = [(r, c, value) for r, (row, *_) in enumerate(rows) for c, value in row]
    at, column, value = zip(*entries, strict=True)
    matrix = csr_array((value, (at, column)), shape=(len(rows), columns + 2))
    weights = np.zeros(columns + 2)
    weights[marks:columns], weights[columns:] = 1.0, (1.0, -1.0)
    free = np.r_[np.ones(columns), 0, 0]
    begun, worked = time.perf_counter(), time.process_time()
    found = milp(
        weights,
        constraints=LinearConstraint(matrix, [low for _, low, _ in rows], [h for *_, h in rows]),
        integrality=free,
        bounds=Bounds(np.r_[np.zeros(columns), -9, -9], np.r_[np.ones(columns), 9, 9]),
        options={"time_limit": seconds, "mip_rel_gap": 0},
    )
    took = f"{time.perf_counter() - begun:4.0f} s, {time.process_time() - worked:4.0f} s processor"
    if found.x is None:
        return f"{took}: nothing found"
    out = round(float(found.x[marks:columns].sum()))
    # Of the pieces chosen: before it is proven the two sizes of the programme may lie far off them.
    whole = [row for row, *_ in rows if row[-1][0] == columns]
    sizes = [sum(found.x[c] * size for c, size in row[:-1]) for row in whole]
    spread = max(sizes) - min(sizes)
    return f"{took}: {out} joints out, spread {spread:.6f}{'' if found.status else ', proven'}"


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--items", type=int, default=16)
    parser.add_argument("--parts", type=int, default=len(PARTS), choices=range(3, len(PARTS) + 1))
    parser.add_argument("--seconds", type=float, default=120.0)
    given = parser.parse_args()
    for step, room in (("0.01", 4), ("0.01", 2), ("0.001", 4), ("0.001", 2)):
        said = solve((given.items, given.parts), step, room, given.seconds)
        print(f"{step:6} {room}  {said}", flush=True)
