"""One table of build.toml read key by key; whatever does not fit is noted, and reading goes on."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal, InvalidOperation
from typing import Any

from qlog.drawing.build_file.mistakes import Notes, Place, one_of


class Entry:
    """A table with its place in the file; it remembers which keys are known."""

    __slots__ = ("_known", "data", "notes", "place")

    def __init__(self, data: dict[str, Any], place: Place, notes: Notes) -> None:
        self.data = data
        self.place = place
        self.notes = notes
        self._known: dict[str, None] = {}

    def at(self, key: str) -> Place:
        """The place of one of the keys."""
        return (*self.place, key)

    def error(self, key: str, what: str, accepted: str) -> None:
        """Note a mistake at a key, or at the table when the key is not written."""
        self.notes.error(self.at(key), what, accepted, self.data.get(key, ""))

    def get(self, key: str) -> Any:
        """The raw value, or None when the key is not written."""
        self._known[key] = None
        return self.data.get(key)

    def text(self, key: str, default: str = "", *, required: bool = False) -> str:
        """A text; a required one must not be empty."""
        value = self.get(key)
        if value is None or value == "":
            if required:
                self.error(key, f"{key} is missing", f'{key} = "..."')
            return default
        if not isinstance(value, str):
            self.error(key, f"{key} is not a text", f'{key} = "{value}", in quotes')
            return default
        return value

    def choice(self, key: str, default: str, known: Iterable[str]) -> str:
        """A text that is one of the known words."""
        value = self.text(key, default)
        names = list(known)
        if value not in names:
            self.error(key, f'{key} = "{value}" is not known', one_of(value, names))
            return default
        return value

    def number(self, key: str, *, least: Decimal | None = None) -> Decimal | None:
        """A number, written plainly or as a text with decimal point or comma."""
        value = self.get(key)
        if value is None:
            return None
        number: Decimal | None = None
        if isinstance(value, (int, Decimal)) and not isinstance(value, bool):
            number = Decimal(value)
        elif isinstance(value, str):
            try:
                number = Decimal(value.strip().replace(",", "."))
            except InvalidOperation:
                number = None
        if number is None or not number.is_finite():
            self.error(key, f"{key} is not a number", f"{key} = 0.01")
            return None
        if least is not None and number < least:
            self.error(key, f"{key} = {value} is below {least}", f"{least} or more")
            return None
        return number

    def whole(self, key: str, default: int = 0, *, least: int = 0, required: bool = False) -> int:
        """A whole number of at least `least`."""
        value = self.get(key)
        if value is None:
            if required:
                self.error(key, f"{key} is missing", f"{key} = {max(least, 1)}")
            return default
        if isinstance(value, str) and value.strip().lstrip("-").isdecimal():
            value = int(value)
        if not isinstance(value, int) or isinstance(value, bool):
            self.error(key, f"{key} is not a whole number", f"{key} = {max(least, 1)}")
            return default
        if value < least:
            self.error(key, f"{key} = {value} is too small", f"{least} or more")
            return default
        return value

    def flag(self, key: str) -> bool:
        """A yes or no, no when it is not written."""
        value = self.get(key)
        if value is None:
            return False
        if not isinstance(value, bool):
            self.error(key, f"{key} is neither true nor false", f"{key} = true, without quotes")
            return False
        return value

    def list(self, key: str) -> list[Any]:
        """A list in square brackets, empty when it is not written."""
        value = self.get(key)
        if value is None:
            return []
        if not isinstance(value, list):
            self.error(key, f"{key} is not a list", f"{key} = [...], in square brackets")
            return []
        return value

    def texts(self, key: str) -> tuple[str, ...]:
        """A list of texts."""
        found = []
        for index, value in enumerate(self.list(key)):
            if isinstance(value, str):
                found.append(value)
            else:
                self.notes.error(
                    (*self.at(key), index),
                    f"{value} in {key} is not a text",
                    f'"{value}", in quotes',
                    value,
                )
        return tuple(found)

    def entry(self, key: str) -> Entry | None:
        """A table within this one."""
        value = self.get(key)
        if value is None:
            return None
        if not isinstance(value, dict):
            where = "inline { ... }" if self.place else f"[{key}]"
            self.error(key, f"{key} is not a table", f"a table: {where}")
            return None
        return Entry(value, self.at(key), self.notes)

    def entries(self, key: str) -> tuple[Entry, ...]:
        """A list of tables: [[key]]."""
        value = self.get(key)
        if value is None:
            return ()
        names = ".".join(str(step) for step in self.at(key) if isinstance(step, str))
        if isinstance(value, dict):
            self.error(key, f"[{names}] has one bracket", f"two brackets: [[{names}]]")
            return (Entry(value, self.at(key), self.notes),)
        if not isinstance(value, list) or not all(isinstance(v, dict) for v in value):
            self.error(key, f"{key} is not a list of tables", f"[[{names}]]")
            return ()
        return tuple(Entry(v, (*self.at(key), i), self.notes) for i, v in enumerate(value))

    def named(self, key: str) -> tuple[tuple[str, Entry], ...]:
        """Tables by name: [key.name]."""
        value = self.get(key)
        if value is None:
            return ()
        if not isinstance(value, dict) or not all(isinstance(v, dict) for v in value.values()):
            self.error(key, f"{key} needs a name of its own", f"[{key}.name]")
            return ()
        return tuple((n, Entry(v, (*self.at(key), n), self.notes)) for n, v in value.items())

    def close(self) -> None:
        """Note every key that nobody asked for, with the nearest known one."""
        for key in self.data:
            if key not in self._known:
                self.notes.error(
                    self.at(key), f'"{key}" is not known here', one_of(key, self._known), key
                )
