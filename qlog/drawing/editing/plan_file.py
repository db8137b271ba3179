"""A build.toml that is edited: every edit is read back whole before a byte of the file changes."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

from qlog.drawing.build_file.load import FILE_NAME, PlanError, load_text, text_of
from qlog.drawing.build_file.mistakes import Place
from qlog.drawing.build_file.positions import header_lines
from qlog.drawing.plan import Build
from qlog.problem import Problem, ToSay
from qlog.writing import write_whole

#: A value as TOML holds it.
Value = Any


class EditError(Problem):
    """An edit that would leave no plan; nothing was written."""


class PlanFile:
    """The text of a build's plan. Remarks, order and spelling of what is not meant stay.

    `save` writes the file; until then nothing has happened. Raises EditError when the file cannot
    be read as a plan before or after an edit.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.path = folder / FILE_NAME
        raw = self.path.read_bytes()
        self._bom = raw.startswith(b"\xef\xbb\xbf")
        self.text = text_of(self.path)[0]
        self._read = raw
        self._returns = "\r\n" in self.text
        self.text = self.text.replace("\r\n", "\n")
        self.build = self._checked(self.text)

    def put_table(
        self,
        header: str,
        values: Mapping[str, Value],
        *,
        after: Place = (),
        before: Place = (),
        indent: str = "",
    ) -> None:
        """Put a table in; see `put_lines`."""
        self.put_lines(table_text(header, values, indent), after=after, before=before)

    def put_lines(self, block: Sequence[str], *, after: Place = (), before: Place = ()) -> None:
        """Put lines in behind a table, such as ("part", 0, "dim", 2), before one, or at the end.

        Remarks that stand upon a table without a gap stay with it.
        """
        lines = self.text.rstrip("\n").split("\n")
        if before:
            at = self.line(before) - 1
            while at > 0 and lines[at - 1].strip().startswith("#"):
                at -= 1
            lines[at:at] = [*block, ""]
        else:
            at = self.end(after) if after else len(lines)
            lines[at:at] = ["", *block]
        self._take("\n".join(lines) + "\n")

    def line(self, place: Place) -> int:
        """The line of a place, counted from 1."""
        from qlog.drawing.build_file.positions import LineNumbers

        return LineNumbers(self.text).of(place)

    def end(self, place: Place) -> int:
        """The last line of a table's own values, and of the remarks that stand right under them."""
        from qlog.drawing.build_file.positions import table_end

        lines = self.text.split("\n")
        at = table_end(self.text, self.line(place))
        while at < len(lines) and lines[at].strip().startswith("#"):
            at += 1
        return at

    def indent(self, place: Place) -> str:
        """What stands before the header of a table."""
        line = self.text.split("\n")[self.line(place) - 1]
        return line[: len(line) - len(line.lstrip())]

    def change(self, how: Callable[[Any], None], text: str | None = None) -> None:
        """Change values in place: `how` gets the document, a mapping that keeps every remark.

        `text` is the plan's text with lines exchanged already, where that has to come first.
        """
        import tomlkit

        def edit(marked: str) -> str:
            document = tomlkit.parse(marked)
            how(document)
            return tomlkit.dumps(document)

        text = self.text if text is None else text
        if edited_in_order(text, lambda marked: tomlkit.dumps(tomlkit.parse(marked))) != text:
            raise EditError(ToSay("error.cannot_be_changed", path=self.path))
        self._take(edited_in_order(text, edit))

    def save(self) -> Build:
        """Write the file, unless somebody else has changed it meanwhile; the plan as it is now."""
        build = self._checked(self.text)
        text = self.text.replace("\n", "\r\n") if self._returns else self.text
        if self.path.read_bytes() != self._read:
            raise EditError(ToSay("error.changed_another_program", path=self.path))
        write_whole((b"\xef\xbb\xbf" if self._bom else b"") + text.encode("utf-8"), self.path)
        return build if not self._returns else self._checked(text)

    def _take(self, text: str) -> None:
        self.build = self._checked(text)
        self.text = text

    def _checked(self, text: str) -> Build:
        try:
            return load_text(text, self.folder)
        except PlanError as error:
            raise EditError(ToSay("error.plan_file_nothing_written", said=error)) from error


def table_text(header: str, values: Mapping[str, Value], indent: str = "") -> list[str]:
    """A table as lines of TOML."""
    return [f"{indent}{header}", *(f"{indent}{n} = {toml(v)}" for n, v in values.items())]


def toml(value: Value) -> str:
    """A value as it is written in build.toml."""
    import tomlkit

    if isinstance(value, dict):
        inside = ", ".join(f"{name} = {toml(v)}" for name, v in value.items())
        return f"{{ {inside} }}"
    if isinstance(value, list | tuple):
        return f"[{', '.join(toml(v) for v in value)}]"
    if isinstance(value, bool | int):
        return str(value).lower()
    if isinstance(value, str):
        text: str = tomlkit.item(value).as_string()
        return text
    return f"{value:f}"  # a decimal, exactly as it was typed


def edited_in_order(text: str, edit: Callable[[str], str]) -> str:
    """What `edit` makes of a TOML text, its tables in the order of the text.

    A writer that holds tables as lists puts all `[[part.op]]` of a part before its `[[part.dim]]`,
    also where they take turns: every header is marked, and by the marks the tables find back.
    """
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
