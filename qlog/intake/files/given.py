"""What is known of a whole file: the part and the operation that all its readings belong to."""

from __future__ import annotations

from dataclasses import dataclass

from qlog.drawing.plan import Part
from qlog.intake.files.cells import Taking
from qlog.intake.files.headings import COLUMN_OF
from qlog.intake.files.table import Bad, FileLine, TableError
from qlog.intake.typed.places import plain
from qlog.problem import ToSay


@dataclass(slots=True)
class Given:
    """Part and operation named by the caller or by lines in front of the header."""

    part: Part | None = None
    op: int | None = None

    def whole_part(self, taking: Taking) -> Part | None:
        """The part of all lines; a build of one part needs none named."""
        if self.part is None and len(taking.build.parts) == 1:
            return taking.build.parts[0]
        return self.part

    def take(self, line: FileLine, taking: Taking) -> bool:
        """Take a `part;cup` or `op;20` line in; False when the line is something else.

        `Part: cup` in one cell is such a line too.
        """
        filled = [cell for cell in line.cells if cell]
        if len(filled) == 1 and ":" in filled[0]:
            filled = [word.strip() for word in filled[0].split(":", 1)]
        first = COLUMN_OF.get(plain(filled[0]))
        if len(filled) != 2 or first not in ("part", "op") or not filled[1]:
            return False
        if COLUMN_OF.get(plain(filled[1])) is not None:
            return False  # a header of two columns
        try:
            if first == "part":
                part = taking.part(filled[1])
                if self.part is not None and self.part is not part:
                    what = ToSay("error.part_asked", part=self.part.id)
                    raise Bad(filled[1], what, ToSay("error.give_file"))
                self.part = part
            elif (whole := self.whole_part(taking)) is None:
                raise Bad(
                    filled[1], ToSay("error.operation_without_part"), ToSay("error.put_part_line")
                )
            else:
                op = taking.op(filled[1], whole)
                if self.op is not None and self.op != op:
                    raise Bad(
                        filled[1], ToSay("error.op_asked", op=self.op), ToSay("error.give_file")
                    )
                self.op = op
        except Bad as bad:
            taking.note_bad(line.number, bad)
        return True


def given(taking: Taking, part: str | None, op: int | None) -> Given:
    """What the caller knows. Raises TableError when the plan has no such part or operation."""
    try:
        whole = None if part is None else taking.part(part)
        if op is not None and whole is not None:
            taking.op(str(op), whole)
    except Bad as bad:
        told = ToSay("error.typed", text=bad.text, what=bad.what, accepted=bad.accepted)
        raise TableError(told) from bad
    return Given(whole, op)
