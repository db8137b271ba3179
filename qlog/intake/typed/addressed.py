"""A value typed with its piece: `13=25.03`, or `13 25.03` where that can be nothing else."""

from __future__ import annotations

import re

from qlog.drawing.plan import Dimension, Part
from qlog.intake.typed.places import piece_of
from qlog.logbook.part_log import PartLog

#: A blank before the value: it must have a decimal sign, or `12 5` would be piece 12 for 12.5 typed
#: with a blank in place of the point; a fraction (`1 1/2`) is one value.
_BLANK = r"\s+(?=[-+]?[0-9]*[.,][0-9])(?!.*/)"
_NUMBER = r"[a-z0-9-]*[0-9]+"
#: Behind a mark that is no number, a blank tells as well.
_MARK_BLANK = r"\s+(?=[-+.,0-9])"


def piece_and_value(part: Part, text: str) -> tuple[int, str] | None:
    """The piece and the value of a line that names both; None where it names no piece.

    Raises PlaceError for a piece that the part has not.
    """
    marks = sorted(part.marks, key=len, reverse=True)
    words = "|".join(re.escape(mark) for mark in marks if not mark.isdecimal()) or "(?!)"
    for piece, blank in (
        (rf"(?:{re.escape(part.id)}-)?(?:{words})", _MARK_BLANK), (_NUMBER, _BLANK)
    ):  # fmt: skip
        found = re.fullmatch(rf"(?i)({piece})(?:\s*=\s*|{blank})(\S.*)", text.strip())
        if found is not None:
            return piece_of(part, found[1]), found[2].strip()
    return None


def op_of_reading(log: PartLog, piece: int, dimension: Dimension) -> int:
    """The operation that a reading named by piece and dimension alone is for.

    The only one that asks for it; of several the last that the piece has had, else the first.
    """
    ops = [r.op for r in dimension.requirements]
    had = [op for op in ops if (op, piece) in log.done]
    return had[-1] if had else ops[0]
