"""Lines of build.toml: where a value stands, and where the file is not TOML at all.

Only asked when there is a mistake to report (or lines are wanted), so the grammar is loaded here.
"""

from __future__ import annotations

import tomllib
from functools import cache
from typing import TYPE_CHECKING

from qlog.drawing.build_file.mistakes import Place

if TYPE_CHECKING:
    from tree_sitter import Node, Parser


class LineNumbers:
    """The line of every key and list entry of one text, counted from 1."""

    def __init__(self, source: str) -> None:
        self._at: dict[Place, int] = {}
        self._count: dict[Place, int] = {}
        top: Place = ()
        for node in _root(source).children:
            if node.type == "pair":
                self._pair(top if node.parent is None else (), node)
            elif node.type in ("table", "table_array_element"):
                self._table(node)

    def of(self, place: Place) -> int:
        """The line of a place, or of the nearest table around it when it is not written."""
        while place:
            if place in self._at:
                return self._at[place]
            place = place[:-1]
        return 1

    def _table(self, node: Node) -> None:
        keys = next((_keys(c) for c in node.children if c.type in _KEYS), ())
        place: Place = ()
        for depth, key in enumerate(keys):
            place = (*place, key)
            last = depth == len(keys) - 1
            if last and node.type == "table_array_element":
                self._note(place, node)
                index = self._count[place] = self._count.get(place, -1) + 1
                for deeper in [p for p in self._count if p[: len(place)] == place and p != place]:
                    del self._count[deeper]
                place = (*place, index)
            elif place in self._count:
                place = (*place, self._count[place])
            self._note(place, node)
        for child in node.children:
            if child.type == "pair":
                self._pair(place, child)

    def _pair(self, place: Place, node: Node) -> None:
        key = next((c for c in node.children if c.type in _KEYS), None)
        if key is None:
            return
        for name in _keys(key):
            place = (*place, name)
            self._note(place, node)
        self._value(place, node.children[-1])

    def _value(self, place: Place, node: Node) -> None:
        if node.type == "inline_table":
            for child in node.children:
                if child.type == "pair":
                    self._pair(place, child)
        elif node.type == "array":
            entries = [c for c in node.children if c.is_named and c.type != "comment"]
            for index, child in enumerate(entries):
                self._note((*place, index), child)
                self._value((*place, index), child)

    def _note(self, place: Place, node: Node) -> None:
        self._at.setdefault(place, node.start_point[0] + 1)


_KEYS = ("bare_key", "quoted_key", "dotted_key")


def _keys(node: Node) -> tuple[str, ...]:
    if node.type == "dotted_key":
        return tuple(k for child in node.children if child.type in _KEYS for k in _keys(child))
    text = (node.text or b"").decode()
    return (text[1:-1] if text[:1] in "\"'" else text,)


def header_lines(source: str) -> list[int]:
    """The lines of all headers of tables, counted from 1."""
    tables = ("table", "table_array_element")
    return [n.start_point[0] + 1 for n in _root(source).children if n.type in tables]


def table_end(source: str, header: int) -> int:
    """The last line of a table's own keys and values; `header` is the line of its header."""
    for node in _root(source).children:
        if node.type in ("table", "table_array_element") and node.start_point[0] + 1 == header:
            inside = [c for c in node.children if c.type != "comment" and c.is_named]
            return max(int(c.end_point[0]) + (c.end_point[1] > 0) for c in inside)
    return header


def broken_lines(source: str, known: int) -> tuple[int, ...]:
    """Lines that are not TOML: `known` (from the TOML reader) and every other that stands out.

    A line is taken as broken where the grammar cannot place it and it does not read by itself.
    """
    lines = source.split("\n")
    found = {known}
    for node in _errors(_root(source)):
        start = node.start_point[0] + 1
        suspects = {start} | {
            child.start_point[0] + 1 for child in node.children if child.type in _KEYS
        }
        found |= {line for line in suspects if not reads(lines[line - 1])}
    return tuple(sorted(found))


def _errors(node: Node) -> list[Node]:
    if node.is_error or node.is_missing:
        return [node]
    return [error for child in node.children if child.has_error for error in _errors(child)]


def reads(line: str) -> bool:
    """Whether a line is TOML by itself."""
    try:
        tomllib.loads(line)
    except (ValueError, RecursionError):
        return False
    return True


@cache
def _parser() -> Parser:
    import tree_sitter_toml
    from tree_sitter import Language, Parser

    return Parser(Language(tree_sitter_toml.language()))


def _root(source: str) -> Node:
    return _parser().parse(source.encode()).root_node
