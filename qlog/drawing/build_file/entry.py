"""One table of build.toml read key by key; whatever does not fit is noted, and reading goes on."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from decimal import Decimal, InvalidOperation
from typing import Any

from qlog.drawing.build_file import bounds
from qlog.drawing.build_file.mistakes import Notes, Place, one_of
from qlog.problem import ToSay

#: What no text of a plan holds: signs that steer a terminal, and halves of a character.
_STEERING = r"[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff]"


class PlanTable:
    """A table with its place in the file; it remembers which keys are known.

    `table` is its name without the user's own words, as in `bounds`: "part.dim", "material".
    """

    __slots__ = ("_known", "data", "notes", "place", "table")

    def __init__(self, data: dict[str, Any], place: Place, notes: Notes, table: str = "") -> None:
        self.data = data
        self.place = place
        self.notes = notes
        self.table = table
        self._known: dict[str, None] = {}

    def _inner(self, data: dict[str, Any], key: str, *place: str | int) -> PlanTable:
        table = f"{self.table}.{key}" if self.table else key
        return PlanTable(data, (*self.at(key), *place), self.notes, table)

    def at(self, key: str) -> Place:
        """The place of one of the keys."""
        return (*self.place, key)

    def error(self, key: str, what: str, accepted: str) -> None:
        """Note a mistake at a key, or at the table when the key is not written."""
        self.notes.error(self.at(key), what, accepted, _short(self.data.get(key, "")))

    def get(self, key: str) -> Any:
        """The raw value, or None when the key is not written."""
        self._known[key] = None
        return self.data.get(key)

    def text(self, key: str, default: str = "", *, required: bool = False) -> str:
        """A text; a required one must not be empty."""
        value = self.get(key)
        if value is None or value == "":
            if required:
                self.error(key, ToSay("error.key_missing", key=key), f'{key} = "..."')
            return default
        if not isinstance(value, str):
            meant = "..." if isinstance(value, bool) else _short(value)
            what = ToSay("error.not_a_text", key=key)
            self.error(key, what, ToSay("error.key_in_quotes", key=key, short=meant))
            return default
        return self._bounded(key, value, self.at(key))

    def _bounded(self, key: str, value: str, place: Place) -> str:
        """The text; noted when it is too long or carries signs that steer a terminal."""
        most = bounds.longest(self.table, key)
        if len(value) > most:
            what = ToSay("error.characters", key=key, n=len(value))
            self.notes.error(place, what, ToSay("error.at_most", most=most), _short(value))
            return value[:most]
        if not value.isprintable() and re.search(_STEERING, value):
            self.notes.error(
                place,
                ToSay("error.holds_control_character", key=key),
                ToSay("error.letters_digits_signs"),
                re.sub(_STEERING, "?", value),
            )
            return re.sub(_STEERING, "?", value)
        return value

    def choice(self, key: str, default: str, known: Iterable[str]) -> str:
        """A text that is one of the known words."""
        value = self.text(key, default)
        names = list(known)
        if value not in names:
            what = ToSay("error.value_not_known", key=key, short=_short(value))
            self.error(key, what, one_of(value[:80], names))
            return default
        return value

    def number(self, key: str) -> Decimal | None:
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
            self.error(key, ToSay("error.not_a_number", key=key), f"{key} = 0.01")
            return None
        bound = bounds.number(self.table, key)
        if bound is not None and number < bound[0]:
            what = "error.number_below_0" if number < 0 <= bound[0] else "error.number_too_small"
            said = ToSay(what, key=key, short=_short(value))
            self.error(key, said, ToSay("error.or_more", least=_plain(bound[0])))
            return None
        if bound is not None and number > bound[1]:
            what = ToSay("error.entry_too_large", key=key, short=_short(value))
            self.error(key, what, ToSay("error.or_less", bound=str(bound[1])))
            return None
        exponent = number.as_tuple().exponent
        if abs(number) >= 10**9 or (isinstance(exponent, int) and exponent < -bounds.PLACES):
            what = ToSay("error.more_digits_than", key=key, short=_short(value))
            self.error(key, what, ToSay("error.before_behind_point", places=bounds.PLACES))
            return None
        return Decimal(format(number, "f"))

    def whole(self, key: str, default: int = 0, *, required: bool = False) -> int:
        """A whole number between the bounds of its key."""
        value = self.get(key)
        least, most = bounds.whole(self.table, key)
        if value is None:
            if required:
                self.error(key, ToSay("error.key_missing", key=key), f"{key} = {max(least, 1)}")
            return default
        if isinstance(value, str) and re.fullmatch(r" *-?[0-9]{1,20} *", value):
            value = int(value)
        if not isinstance(value, int) or isinstance(value, bool):
            self.error(key, ToSay("error.not_a_whole_number", key=key), f"{key} = {max(least, 1)}")
            return default
        if value < least:
            what = ToSay("error.number_too_small", key=key, short=_short(value))
            self.error(key, what, ToSay("error.or_more", least=least))
            return default
        if value > most:
            what = ToSay("error.entry_too_large", key=key, short=_short(value))
            self.error(key, what, ToSay("error.at_most", most=most))
            return default
        return value

    def flag(self, key: str) -> bool:
        """A yes or no, no when it is not written."""
        value = self.get(key)
        if value is None:
            return False
        if not isinstance(value, bool):
            what = ToSay("error.neither_true_nor", key=key)
            self.error(key, what, ToSay("error.true_without_quotes", key=key))
            return False
        return value

    def list(self, key: str) -> list[Any]:
        """A list in square brackets, empty when it is not written."""
        value = self.get(key)
        if value is None:
            return []
        if not isinstance(value, list):
            self.error(
                key, ToSay("error.not_a_list", key=key), ToSay("error.square_brackets", key=key)
            )
            return []
        return value[: self._few(key, value)]

    def _few(self, key: str, value: Sequence[Any]) -> int:
        """How many entries are read; more than any build has are a mistake."""
        if len(value) > bounds.ENTRIES:
            what = ToSay("error.entries", key=key, n=len(value))
            self.notes.error(self.at(key), what, ToSay("error.at_most", most=bounds.ENTRIES))
        return bounds.ENTRIES

    def texts(self, key: str) -> tuple[str, ...]:
        """A list of texts."""
        found = []
        for index, value in enumerate(self.list(key)):
            place = (*self.at(key), index)
            if isinstance(value, str):
                found.append(self._bounded(key, value, place))
            else:
                said = _short(value)
                what = ToSay("error.entry_not_a_text", said=said, key=key)
                self.notes.error(place, what, ToSay("error.entry_in_quotes", said=said), said)
        return tuple(found)

    def entry(self, key: str) -> PlanTable | None:
        """A table within this one."""
        value = self.get(key)
        if value is None:
            return None
        if not isinstance(value, dict):
            where = "inline { ... }" if self.place else f"[{key}]"
            self.error(
                key, ToSay("error.not_a_table", key=key), ToSay("error.entry_table", where=where)
            )
            return None
        return self._inner(value, key)

    def entries(self, key: str) -> tuple[PlanTable, ...]:
        """A list of tables: [[key]]."""
        value = self.get(key)
        if value is None:
            return ()
        names = ".".join(str(step) for step in self.at(key) if isinstance(step, str))
        if isinstance(value, dict):
            what = ToSay("error.one_bracket", names=names)
            self.error(key, what, ToSay("error.two_brackets", names=names))
            return (self._inner(value, key),)
        if not isinstance(value, list) or not all(isinstance(v, dict) for v in value):
            self.error(key, ToSay("error.not_a_list_of_tables", key=key), f"[[{names}]]")
            return ()
        few = value[: self._few(key, value)]
        return tuple(self._inner(v, key, i) for i, v in enumerate(few))

    def named(self, key: str) -> tuple[tuple[str, PlanTable], ...]:
        """Tables by name: [key.name]."""
        value = self.get(key)
        if value is None:
            return ()
        if not isinstance(value, dict) or not all(isinstance(v, dict) for v in value.values()):
            self.error(key, ToSay("error.needs_name_own", key=key), f"[{key}.name]")
            return ()
        self._few(key, tuple(value))
        return tuple((n, self._inner(v, key, n)) for n, v in value.items())

    def close(self) -> None:
        """Note every key that nobody asked for, with the nearest known one."""
        for key in self.data:
            if key not in self._known:
                what = ToSay("error.key_not_known", key=key)
                self.notes.error(self.at(key), what, one_of(key, self._known), key)


def _short(value: object) -> str:
    """A value for a message: what is longer than a line is cut."""
    if isinstance(value, int) and not isinstance(value, bool) and abs(value) > 10**30:
        return ToSay("error.long_number")
    try:
        text = str(value)
    except RecursionError:
        return "..."
    return text if len(text) <= 80 else f"{text[:60]} ..."


def _plain(value: Decimal) -> str:
    """A bound without an exponent."""
    return f"{value:f}"
