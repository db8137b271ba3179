"""A decimal comma in a comma-separated file: one number cut in two is never two numbers."""

from __future__ import annotations

import re
from collections.abc import Sequence

from qlog.intake.files.table import Bad
from qlog.problem import ToSay

SPLIT_COMMA = (
    "a decimal comma in a comma-separated file cuts the number in two",
    'separate with ;, or put the number in quotes ("8,01"), and leave no cell out',
)


def cut_in_two(cell: str, following: str) -> bool:
    """Whether two cells look like one number with a decimal comma: `8` and `012`."""
    return bool(re.fullmatch(r"[+-]?\d+", cell) and re.fullmatch(r"0\d+", following))


def too_many(cells: Sequence[str], wanted: int, *, commas: bool) -> Bad:
    """A line with more cells than its header."""
    what = f"{len(cells)} cells under a header of {wanted}"
    if commas:
        return Bad(",".join(cells), what, SPLIT_COMMA[1])
    return Bad(
        " ".join(cells),
        what,
        ToSay("error.give_every_cell"),
    )
