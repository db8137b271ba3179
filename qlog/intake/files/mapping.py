"""What the user said about headings: kept in `import.toml` beside build.toml, and used again.

It says how a file is laid out and nothing about the pieces: it is no fact for the logbook, and
stands in a file that can be read, changed and deleted.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from pathlib import Path

from qlog.intake.files.headings import COLUMNS, split_heading
from qlog.intake.typed.places import plain
from qlog.plain_file import plain_text
from qlog.problem import Problem, ToSay

FILE_NAME = "import.toml"
IGNORE = "ignore"
AGAIN = "again"  # a second reading of the dimension that the heading names
DAY_FIRST, MONTH_FIRST = "made day-first", "made month-first"


class MappingError(Problem):
    """A mapping that cannot be used."""


class Headings:
    """Heading -> what to read it as: a column of readings, a dimension, or `ignore`."""

    def __init__(self, said: Mapping[str, str]) -> None:
        self.said = dict(said)
        self._by = {_key(heading): target for heading, target in said.items()}

    def target(self, heading: str) -> str | None:
        """What a heading was said to be; None where nothing was said."""
        return self._by.get(_key(heading))

    def ignored(self, heading: str) -> bool:
        """Whether a column, or a row that begins so, is to be left out."""
        return bool(heading) and self.target(heading) == IGNORE

    def again(self, heading: str) -> bool:
        """Whether a column holds second readings, which hold where they are there."""
        return bool(heading) and self.target(heading) == AGAIN

    def day_first(self, heading: str) -> bool | None:
        """What was said of the order of day and month in a column; None where nothing was."""
        return {DAY_FIRST: True, MONTH_FIRST: False}.get(self.target(heading) or "")

    def renamed(self, heading: str) -> str:
        """The heading to read instead of the one in the file."""
        target = self.target(heading)
        if target is None or target in (IGNORE, AGAIN):
            return heading
        if target in (DAY_FIRST, MONTH_FIRST):
            return "made"
        unit = split_heading(heading)[1]
        return f"{target} ({unit})" if unit and not split_heading(target)[1] else target


def _key(heading: str) -> str:
    return plain(heading) or heading.strip()


def mapped(maps: Iterable[str], ignored: Iterable[str]) -> dict[str, str]:
    """What `--map "Serial=piece"` and `--ignore Operator` say. Raises MappingError."""
    said: dict[str, str] = {}
    for text in maps:
        heading, mark, target = (word.strip() for word in text.rpartition("="))
        if not mark or not heading or not target:
            raise MappingError(ToSay("error.write_heading_column", text=text))
        said[heading] = target
    return said | {heading.strip(): IGNORE for heading in ignored}


def checked(said: Mapping[str, str], dimensions: Iterable[str]) -> None:
    """Refuse a target that is neither a column nor a dimension of the plan. Raises MappingError."""
    known = [*COLUMNS, IGNORE, AGAIN, DAY_FIRST, MONTH_FIRST, *dimensions]
    plains = {plain(name) for name in known}
    for heading, target in said.items():
        if target not in known and plain(split_heading(target)[0]) not in plains:
            from qlog.intake.typed.places import nearest

            hint = nearest(target, dict.fromkeys(known))
            raise MappingError(ToSay("error.column", heading=heading, target=target, hint=hint))


def load(folder: Path) -> dict[str, str]:
    """What was kept with the build; empty when nothing was. Raises MappingError."""
    import tomllib

    path = folder / FILE_NAME
    try:
        said = tomllib.loads(plain_text(path)).get("headings", {})
    except FileNotFoundError:
        return {}
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise MappingError(ToSay("error.cannot_be_read_mend", path=path, error=error)) from error
    if not isinstance(said, dict) or not all(isinstance(v, str) for v in said.values()):
        raise MappingError(ToSay("error.under_headings_write", path=path))
    return said


def keep(folder: Path, said: Mapping[str, str]) -> Path:
    """Write what is to be used again. Raises OSError."""
    from qlog.writing import write_whole

    lines = ["# How headings in files of readings are read; written by `qlog read --csv`.", "",
             "[headings]"]  # fmt: skip
    lines += [
        f"{json.dumps(h, ensure_ascii=False)} = {json.dumps(t, ensure_ascii=False)}"
        for h, t in said.items()
    ]
    path = folder / FILE_NAME
    write_whole(("\n".join(lines) + "\n").encode(), path)
    return path
