"""Small words: counts, runs of piece numbers and the order of names, as a person has them."""

from __future__ import annotations

import re
from collections.abc import Iterable


def count(number: int, one: str, many: str) -> str:
    """`1 piece`, `3 pieces`."""
    return f"{number} {one if number == 1 else many}"


def runs(numbers: Iterable[int]) -> str:
    """Numbers with runs drawn together: `1-3, 5`."""
    parts: list[str] = []
    start = last = None
    for number in sorted(set(numbers)):
        if last is not None and number == last + 1:
            last = number
            continue
        if start is not None and last is not None:
            parts.append(_run(start, last))
        start = last = number
    if start is not None and last is not None:
        parts.append(_run(start, last))
    return ", ".join(parts)


def _run(start: int, last: int) -> str:
    if start == last:
        return str(start)
    return f"{start}, {last}" if last == start + 1 else f"{start}-{last}"


def pieces(part: str, numbers: Iterable[int]) -> str:
    """`foot-3`, or `foot 1-3, 5`."""
    listed = sorted(set(numbers))
    return f"{part}-{listed[0]}" if len(listed) == 1 else f"{part} {runs(listed)}"


def natural(name: str) -> tuple[object, ...]:
    """A key that sorts names as people do: IMG_9 before IMG_10."""
    pieces = re.split(r"(\d+)", name.casefold())
    return (*((int(p), "") if p.isdecimal() else (-1, p) for p in pieces), name)
