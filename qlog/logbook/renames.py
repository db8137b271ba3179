"""Entries under the names of now: what was renamed since, and pieces that were made anew.

What was logged stays as it is in the file; it is looked at under the names that it has by now.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, TypeVar

from qlog.frozen import replace
from qlog.logbook.facts import (
    Assembly,
    Disposition,
    Done,
    Entry,
    Fact,
    Gap,
    Note,
    Reading,
    Remade,
    Renamed,
    Shipment,
)

F = TypeVar("F", bound=Fact)

#: Entry, what ("piece" for one made anew), whose, old name, new name.
Row = tuple[int, str, str | None, Any, Any]

#: The field that a kind of name stands in.
_FIELD = {"part": "part", "op": "op", "dim": "dimension", "instrument": "instrument"}

#: The facts that belong to one making of a piece. A photo stays with the number.
_OF_PIECES = (Reading, Gap, Done, Disposition, Note, Shipment, Assembly)

#: Earlier makings of a piece are numbered below zero: the k-th of piece 3 is -(k * _STEP + 3).
_STEP = 100_000


def making(piece: int) -> tuple[int, int]:
    """The number of a piece and which making it is: 0 for the one that has the number now."""
    return (piece, 0) if piece >= 0 else (-piece % _STEP, -piece // _STEP)


class Renames:
    """All that holds, oldest first; each applies to the entries before it."""

    def __init__(self, rows: tuple[Row, ...]) -> None:
        self._rows = rows
        self._known: dict[tuple[Any, ...], dict[str, Any]] = {}

    def once(self, kind: type[Fact], field: str, value: object) -> list[object] | None:
        """What a field may have said where it says `value` by now; None for anything."""
        if kind in (Renamed, Remade):
            return [value]
        if field in ("op", "dimension", "instrument"):
            changed = any(_FIELD.get(what) == field for _, what, *_ in self._rows)
            return None if changed else [value]
        if field == "part":
            found = [value]
            for _, what, _, old, new in reversed(self._rows):
                if what == "part" and new in found:
                    found.append(old)
            return list(dict.fromkeys(found))
        if field == "piece" and isinstance(value, int):
            return [making(value)[0]]
        return [value]

    def now(self, entries: Iterable[Entry[F]], where: Mapping[str, object]) -> list[Entry[F]]:
        """The entries under the names of now, those left out that `where` does not mean."""
        named = (self._named(entry) for entry in entries)
        return [e for e in named if all(getattr(e.fact, n) == v for n, v in where.items())]

    def _named(self, entry: Entry[F]) -> Entry[F]:
        fact: Any = entry.fact
        if isinstance(fact, Renamed | Remade):
            return entry
        later = sum(row[0] > entry.id for row in self._rows)
        if not later:
            return entry
        fields = ("part", "op", "dimension", "instrument", "piece")
        said = tuple(getattr(fact, name, None) for name in fields)
        key = (type(fact), later, *said)
        changed = self._known.get(key)
        if changed is None:
            changed = self._known[key] = self._changed(fact, later)
        return replace(entry, fact=replace(fact, **changed)) if changed else entry

    def _changed(self, fact: Any, later: int) -> dict[str, Any]:
        """The fields that are called otherwise by now, with what they are called."""
        columns = fact.columns()
        said: dict[str, Any] = {n: getattr(fact, n) for n in columns}
        makings = 0
        for _, what, whose, old, new in self._rows[len(self._rows) - later :]:
            part = said.get("part")
            if what == "piece":
                makings += part == whose and said.get("piece") == old
                continue
            field = _FIELD[what]
            if field not in said or said[field] is None:
                continue
            if whose is not None and part != whose:
                continue
            if str(said[field]) == old:
                said[field] = int(new) if field == "op" else new
        if makings and isinstance(fact, _OF_PIECES):
            said["piece"] = -(makings * _STEP + said["piece"])
        return {n: v for n, v in said.items() if v != getattr(fact, n)}
