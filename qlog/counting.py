"""Small words: counts, runs of piece numbers and the order of names, as a person has them."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable


def runs(numbers: Iterable[int], called: Callable[[int], str] = str) -> str:
    """Numbers with runs drawn together, `1-3, 5`; by what they are called, `A-C, E`, `Ada, Ben`."""
    parts: list[str] = []
    start = last = None
    for number in sorted(set(numbers)):
        if last is not None and number == last + 1:
            last = number
            continue
        if start is not None and last is not None:
            parts.append(_run(start, last, called))
        start = last = number
    if start is not None and last is not None:
        parts.append(_run(start, last, called))
    return ", ".join(parts)


def _run(start: int, last: int, called: Callable[[int], str]) -> str:
    names = [called(n) for n in range(start, last + 1)]
    serial = all(name.isdecimal() or len(name) == 1 for name in names)
    return f"{names[0]}-{names[-1]}" if len(names) > 2 and serial else ", ".join(names)


def natural(name: str) -> tuple[object, ...]:
    """A key that sorts names as people do: IMG_9 before IMG_10."""
    pieces = re.split(r"(\d+)", name.casefold())
    return (*((int(p), "") if p.isdecimal() else (-1, p) for p in pieces), name)
