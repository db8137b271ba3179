"""What the names of a photo's file and folders say about its place.

A proposal only: names are made by people and by cameras, and a camera's counter looks like a
number of anything.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import PurePath

from qlog.frozen import frozen

#: The number that a file manager puts behind the name of a copy.
_COPY = re.compile(r"\s*\(\d+\)$")


@frozen
class NamedPlace:
    """The place that a name spells: part and op, and the piece if it is named too.

    `op` is 0 where the name tells part and piece and no operation.
    """

    part: str
    op: int
    piece: int | None


@dataclass(frozen=True, slots=True)
class Route:
    """What a part's names are checked against: its op numbers and how many pieces there are.

    `names` are words that stand in the name of one of its operations alone, with its number.
    """

    ops: frozenset[int]
    pieces: int
    names: Mapping[str, int] = field(default_factory=dict)
    marks: Mapping[str, int] = field(default_factory=dict)  # folded, to the piece's number

    @property
    def by_number(self) -> bool:
        """Whether a bare number may be a piece's: not where marks are numbers."""
        return not any(mark.isdecimal() for mark in self.marks)


def operation_words(names: Mapping[int, str]) -> dict[str, int]:
    """Word -> op, for words of three letters and more that one operation's name has alone."""
    found: dict[str, set[int]] = {}
    for op, name in names.items():
        for word in re.findall(r"[^\W\d_]{3,}", _fold(name)):
            found.setdefault(word, set()).add(op)
    return {word: ops.pop() for word, ops in found.items() if len(ops) == 1}


def counter(name: str) -> int | None:
    """The number that a camera gave: three to five digits alone in the name, no date or time."""
    numbers = re.findall(r"\d+", _COPY.sub("", PurePath(name).stem))
    return int(numbers[0]) % 10_000 if len(numbers) == 1 and 3 <= len(numbers[0]) <= 5 else None


def place_by_name(path: PurePath, routes: Mapping[str, Route]) -> NamedPlace | None:
    """The place that folders and file name spell, such as `foot/20/IMG_1.jpg`, `foot-3-op20.jpg`.

    The nearest name with a part in it says the part, as a word of its own. Op and piece stand in
    that name or below it: spelled (`op20`, `piece 3`), as bare numbers right behind the part
    (`foot-3-20`), or as a folder that begins with the number. They must be on the part's route.
    A folder `foot/10` is op 10 where there is one: folders are made for the work of an evening.
    In other names numbers that could be either are taken for neither, a number behind any other
    word is a camera's counter, and a date is no number of anything. A word of one operation's name
    says the operation (`cup-3 flats.jpg`). Returns None unless one part and one op come out, or in
    the file's own name a part and its piece.
    """
    read = _reader(tuple(sorted(routes, key=lambda id: (-len(id), id))))
    names = (*path.parts[:-1], _COPY.sub("", path.stem))
    levels = [_tokens(read, _unmarked(name, routes)) for name in names]
    named = [{text for kind, text in level if kind == "part"} for level in levels]
    nearest = next((parts for parts in reversed(named) if parts), set())
    if len(nearest) != 1:
        return None
    # The outermost of the names that speak of this part and, further in, of no other one.
    top = max((i + 1 for i, parts in enumerate(named) if parts - nearest), default=0)
    top += next(i for i, parts in enumerate(named[top:]) if parts)
    (folded,) = nearest
    part = next(id for id in routes if _fold(id) == folded)
    if not routes[part].by_number:
        levels = [[_no_piece(token, routes[part]) for token in level] for level in levels]
    spelled = [token for level in levels[top:] for token in level]
    ops = {int(text) for kind, text in spelled if kind == "op"}
    ops = ops or _by_word(routes[part], levels[-1])
    pieces = {int(text) for kind, text in spelled if kind == "piece"}
    if len(ops) > 1 or len(pieces) > 1:
        return None
    bare: list[int] = []
    folders: list[int] = []
    for level in levels[top:-1]:
        bare += _numbers_behind_part(level)
        # A folder such as "20" or "20 boring"; with more numbers in it, it is about something else.
        kinds = [kind for kind, _ in level]
        if kinds[:1] == ["number"] and set(kinds[1:]) <= {"word"}:
            folders.append(int(level[0][1]))
    bare += folders
    bare += _numbers_behind_part(levels[-1])
    if bare == folders and len(folders) == 1 and not pieces:
        ops = ops or {n for n in folders if n in routes[part].ops}
        bare = [n for n in folders if n not in ops]
    found = _on_route(part, routes[part], ops, pieces, bare)
    return found or _piece_alone(part, routes[part], ops, pieces, levels[-1])


def _unmarked(name: str, routes: Mapping[str, Route]) -> str:
    """A name with the mark of a piece, right behind its part, in place of its number spelled."""
    folded = _fold(name)
    for id, route in routes.items():
        for mark in sorted(route.marks, key=len, reverse=True):
            behind = rf"(?<![^\W_])({re.escape(_fold(id))}[\s_.-]+)(?:piece\s*)?{re.escape(mark)}"
            folded = re.sub(rf"{behind}(?![^\W_])", rf"\1 piece {route.marks[mark]} ", folded)
    return folded


def _no_piece(token: tuple[str, str], route: Route) -> tuple[str, str]:
    """A bare number that is no operation is nothing where marks are numbers."""
    kind, text = token
    return ("word", text) if kind == "number" and int(text) not in route.ops else token


def _by_word(route: Route, level: list[tuple[str, str]]) -> set[int]:
    """The operation of which a word behind the part speaks: `cup-3 flats`."""
    words = [text for kind, text in level if kind == "word"]
    return {op for word in words for name, op in route.names.items() if word == name}


def _piece_alone(
    part: str, route: Route, ops: set[int], pieces: set[int], level: list[tuple[str, str]]
) -> NamedPlace | None:
    """Part and piece of a file's name that tells no operation: `cup-3 in the chuck.jpg`."""
    kinds = [kind for kind, _ in level]
    if ops or kinds.count("part") != 1 or "date" in kinds:
        return None
    if pieces:
        spelled = kinds.count("piece") == 1 and "number" not in kinds and max(pieces)
        known = spelled and spelled <= route.pieces
        return NamedPlace(part, _only(route), spelled) if known else None
    if kinds.count("number") != 1:
        return None
    at = kinds.index("part") + 1
    if kinds[at : at + 1] != ["number"]:
        return None
    number = int(level[at][1])
    # A number that is an op of the part as well could be either.
    if number in route.ops or not 1 <= number <= route.pieces:
        return None
    return NamedPlace(part, _only(route), number)


def _only(route: Route) -> int:
    """The operation of a route that has one; else 0."""
    return next(iter(route.ops)) if len(route.ops) == 1 else 0


def _numbers_behind_part(level: list[tuple[str, str]]) -> list[int]:
    """Bare numbers between the part and the next word; an op or piece spelled out is no end."""
    found: list[int] = []
    behind = False
    for kind, text in level:
        if kind == "number" and behind:
            found.append(int(text))
        elif kind == "part":
            behind = True
        elif kind in ("word", "date"):
            behind = False
    return found


def _on_route(
    part: str, route: Route, ops: set[int], pieces: set[int], bare: list[int]
) -> NamedPlace | None:
    """The one reading of the numbers that is on the route; None when none is, or two are."""
    known = range(1, route.pieces + 1)
    readings = set()
    for op in ops or {n for n in bare if n in route.ops}:
        rest = list(bare)
        if not ops:
            rest.remove(op)
        candidates: set[int] | set[None] = pieces or {n for n in rest if n in known} or {None}
        readings |= {NamedPlace(part, op, piece) for piece in candidates}
    if not ops and not pieces and len(bare) == 1 and bare[0] in known:
        return None  # op or piece: the number could be either
    readings = {r for r in readings if r.op in route.ops and (r.piece is None or r.piece in known)}
    return readings.pop() if len(readings) == 1 else None


def _fold(text: str) -> str:
    """Compatible and caseless, so that names come out alike from every file system."""
    return unicodedata.normalize("NFKC", text).casefold()


@lru_cache(maxsize=8)
def _reader(ids: tuple[str, ...]) -> re.Pattern[str]:
    parts = "|".join(re.escape(_fold(id)) for id in ids) or r"(?!)"
    return re.compile(
        rf"(?P<part>(?<![^\W_])(?:{parts})(?![^\W\d_]))"
        r"|(?<![^\W\d_])op[ _.-]?0*(?P<op>\d{1,4})(?!\d)"
        r"|(?<![^\W\d_])(?:piece|pc)[ _.-]?0*(?P<piece>\d{1,3})(?!\d)"
        r"|(?P<date>(?<!\d)(?:19|20)\d\d[-_. ]?(?:0[1-9]|1[0-2])[-_. ]?"
        r"(?:0[1-9]|[12]\d|3[01])(?!\d)"
        r"|(?<!\d)\d{1,2}\.\d{1,2}\.(?:19|20)\d\d(?!\d))"
        r"|0*(?P<number>\d{1,9})(?!\d)|(?P<word>[^\W_]+)"
    )


def _tokens(read: re.Pattern[str], name: str) -> list[tuple[str, str]]:
    return [
        (match.lastgroup or "", match[match.lastgroup or 0]) for match in read.finditer(_fold(name))
    ]
