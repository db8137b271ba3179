"""A decimal comma in a comma-separated file: one number cut in two is never two numbers."""

from __future__ import annotations

import re
from collections.abc import Sequence

from qlog.intake.files.table import Bad
from qlog.problem import ToSay


def split_comma() -> tuple[ToSay, ToSay]:
    """What is wrong where a decimal comma cut a number in two, and what would be accepted."""
    return ToSay("error.comma_cuts"), ToSay("error.comma_separate")


def cut_in_two(cell: str, following: str) -> bool:
    """Whether two cells look like one number with a decimal comma: `8` and `012`."""
    return bool(re.fullmatch(r"[+-]?\d+", cell) and re.fullmatch(r"0\d+", following))


def too_many(cells: Sequence[str], wanted: int, *, commas: bool) -> Bad:
    """A line with more cells than its header."""
    what = ToSay("error.cells_under_header", n=len(cells), width=wanted)
    if commas:
        return Bad(",".join(cells), what, split_comma()[1])
    return Bad(" ".join(cells), what, ToSay("error.give_every_cell"))
