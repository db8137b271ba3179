"""Tables of a plan in the order in which they were written, whatever a TOML writer makes of it.

A writer that holds tables as lists puts all `[[part.op]]` of a part before its `[[part.dim]]`, also
where the plan has them by turns. Every header is marked before it is handed over, and by the marks
the tables find back.
"""

from __future__ import annotations

from collections.abc import Callable

from qlog.drawing.build_file.positions import header_lines


def edited_in_order(text: str, edit: Callable[[str], str]) -> str:
    """What `edit` makes of a TOML text, its tables in the order of the text."""
    mark = "# table"
    while mark in text:
        mark += "'"
    lines = text.split("\n")
    for number, line in reversed(list(enumerate(header_lines(text)))):
        lines.insert(line, f"{mark} {number}")
    return _in_order(edit("\n".join(lines)).split("\n"), mark)


def _in_order(lines: list[str], mark: str) -> str:
    marks = [at for at, line in enumerate(lines) if line.startswith(mark)]
    if not marks:
        return "\n".join(lines)
    tables = {}
    for at, following in zip(marks, [*marks[1:], len(lines) + 1], strict=True):
        number = int(lines[at].removeprefix(mark))
        tables[number] = [lines[at - 1], *lines[at + 1 : following - 1]]
    before = lines[: marks[0] - 1]
    return "\n".join([*before, *(line for n in sorted(tables) for line in tables[n])])
