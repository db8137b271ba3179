"""How large the numbers and how long the texts of build.toml may be, by table and key.

The reader refuses what lies outside, and the key reference (`keys`) prints it.
"""

from __future__ import annotations

from decimal import Decimal

#: Whole numbers: the least and the most. "*" stands for any key of a table whose keys are names.
WHOLE: dict[str, tuple[int, int]] = {
    "part.needed": (1, 1000),
    "part.spare": (0, 1000),
    "part.op.number": (1, 9999),
    "part.op.photos": (0, 1000),
    "part.op.photos-each": (0, 100),
    "part.dim.every": (1, 1000),
    "part.dim.until.piece": (1, 2000),
    "part.dim.scatter.df": (1, 9999),
    "item.count": (1, 1000),
    "item.takes.*": (1, 100),
}

#: Other numbers: the least and the most, in the unit of the key.
NUMBER: dict[str, tuple[Decimal, Decimal]] = {
    "material.expansion": (Decimal(-50), Decimal(1000)),
    "instrument.step": (Decimal("1e-9"), Decimal(100)),
    "instrument.error": (Decimal(0), Decimal(100)),
    "instrument.expansion": (Decimal(-50), Decimal(1000)),
    "part.dim.scatter.s": (Decimal("1e-9"), Decimal(100)),
}

#: Decimals behind the point that a number may have.
PLACES = 12

#: Characters of a text: ids are typed and printed in tables, names stand in headings.
TEXT: dict[str, int] = {
    "part.id": 40,
    "part.dim.id": 40,
    "joint.id": 40,
    "stack.id": 40,
    "item.id": 40,
    "material.care": 20_000,
    "instrument.note": 20_000,
    "part.story": 20_000,
    "part.op.story": 20_000,
    "part.dim.note": 20_000,
    "credit.what": 20_000,
    "object.*": 20_000,
    ".dedication": 2000,
    ".ask": 2000,
    ".safety": 2000,
    "chapter.text": 20_000,
    "memory.line": 2000,
    "accepted.why": 2000,
    "finish.care": 20_000,
    "part.again": 20_000,
    "joint.apart": 2000,
}
ANY_TEXT = 300

#: Entries of a list, and tables of one kind.
ENTRIES = 1000

#: Tables within tables, and the size of the whole file in characters.
DEPTH = 8
FILE = 4_000_000


def whole(table: str, key: str) -> tuple[int, int]:
    """The least and the most of a whole number."""
    return WHOLE.get(f"{table}.{key}") or WHOLE.get(f"{table}.*") or (0, 9999)


def number(table: str, key: str) -> tuple[Decimal, Decimal] | None:
    """The least and the most of a number; None where the reader knows better."""
    return NUMBER.get(f"{table}.{key}")


def longest(table: str, key: str) -> int:
    """How many characters a text may have."""
    return TEXT.get(f"{table}.{key}") or TEXT.get(f"{table}.*") or ANY_TEXT


def too_deep(data: object) -> bool:
    """Whether tables or lists lie deeper in one another than any build.toml's do."""
    level = [data]
    for _ in range(DEPTH):
        level = [inner for value in level for inner in _inside(value)]
        if not level:
            return False
    return True


def _inside(value: object) -> list[object]:
    found = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
    return [inner for inner in found if isinstance(inner, (dict, list))]
