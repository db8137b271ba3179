"""Places: what was typed for a part, an operation, a dimension or pieces, found in the plan."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from qlog.drawing.plan import Build, Dimension, Instrument, Operation, Part
from qlog.problem import Problem


class PlaceError(Problem):
    """A name or number that the plan does not have; `accepted` says what it has instead."""

    def __init__(self, what: str, accepted: str = "") -> None:
        self.what = what
        self.accepted = accepted
        super().__init__(f"{what}; {accepted}" if accepted else what)


def plain(text: str) -> str:
    """A name without case, signs and doubled spaces, as names are compared."""
    return " ".join(re.findall(r"[^\W_]+", text.casefold()))


def _name(text: str) -> str:
    """A typed name as it is compared with one of the plan: only case, blanks and hyphens give."""
    return re.sub(r"[\s_-]+", " ", text.casefold()).strip()


def nearest(text: str, known: Iterable[str]) -> str:
    """A closing hint: the nearest known name, else all of them."""
    from difflib import get_close_matches

    names = list(known)
    close = get_close_matches(text.lower(), names, n=1, cutoff=0.6)
    if close:
        return f"did you mean {close[0]}?"
    return f"there is: {', '.join(names)}" if names else "there is none"


def part_of(build: Build, text: str) -> Part:
    """The part of that id or name, in any case. Raises PlaceError."""
    id = text.strip().lower()
    for part in build.parts:
        if part.id == id:
            return part
    named = [part for part in build.parts if _name(text) in (_name(part.id), _name(part.name))]
    if len(named) == 1:
        return named[0]
    raise PlaceError(f"no part {text!r} in build.toml", nearest(text, [p.id for p in build.parts]))


def item_of(build: Build, text: str) -> str:
    """The id of that finished item. Raises PlaceError."""
    items = [id for id, _, _ in build.items]
    id = text.strip().lower()
    if id not in items:
        raise PlaceError(f"no item {text!r}", nearest(text, items))
    return id


def op_of(part: Part, text: str | int) -> Operation:
    """The operation of that number or name; `op20` and `20` alike. Raises PlaceError."""
    digits = re.fullmatch(r"(?:op(?:eration)?\.?)?\s*(\d{1,9})", str(text).strip().lower())
    for operation in part.operations:
        if digits and operation.number == int(digits[1]):
            return operation
    named = [o for o in part.operations if _name(o.name) == _name(str(text))]
    if len(named) == 1:
        return named[0]
    route = ", ".join(f"{o.number} {o.name}" for o in part.operations)
    raise PlaceError(f"no op {text} on {part.id}", f"its route is: {route}")


def dimension_of(part: Part, text: str) -> Dimension:
    """The dimension of that id, name, or number on the drawing. Raises PlaceError."""
    name = text.strip().lower()
    for dimension in part.dimensions:
        if dimension.id == name or (name.isdecimal() and dimension.number == int(name)):
            return dimension
    named = [d for d in part.dimensions if _name(text) in (_name(d.id), _name(d.name))]
    if len(named) == 1:
        return named[0]
    raise PlaceError(
        f"no dimension {text!r} on {part.id}", nearest(text, [d.id for d in part.dimensions])
    )


def piece_of(part: Part, text: str | int) -> int:
    """One piece; `3` and `foot-3` alike. Raises PlaceError."""
    numbers = pieces_of(part, str(text))
    if len(numbers) != 1:
        raise PlaceError(f"{text!r} names {len(numbers)} pieces where one is wanted")
    return numbers[0]


def piece_labelled(part: Part, text: str) -> int:
    """One piece as a list labels it: `piece 3`, `No. 3`, `#3`, `Cup 3` besides `3` and `cup-3`.

    Raises PlaceError.
    """
    labelled = re.fullmatch(r"(\D*?)[\s_.#:-]*0*(\d{1,9})", text.strip())
    words = ("", "piece", "pc", "no", "nr", "stück", "teil", plain(part.id), plain(part.name))
    return piece_of(part, labelled[2] if labelled and plain(labelled[1]) in words else text)


def instrument_of(build: Build, text: str) -> Instrument:
    """The instrument of that id or name. Raises PlaceError."""
    id = text.strip().lower()
    for instrument in build.instruments:
        if instrument.id == id:
            return instrument
    named = [i for i in build.instruments if _name(text) in (_name(i.id), _name(i.name))]
    if len(named) == 1:
        return named[0]
    known = [instrument.id for instrument in build.instruments]
    raise PlaceError(f"no instrument {text!r} in build.toml", nearest(text, known))


def named_piece(build: Build, text: str) -> tuple[Part, int]:
    """A piece by its whole name, `foot-3`. Raises PlaceError."""
    name, _, number = text.strip().lower().rpartition("-")
    if not name or not number.isdigit():
        raise PlaceError(f"{text!r} names no piece; write for example foot-3")
    part = part_of(build, name)
    return part, piece_of(part, number)


def pieces_of(part: Part, text: str) -> list[int]:
    """Pieces: `3`, `foot-3`, `1-5`, `1,3,7-9`, `all`. Raises PlaceError.

    A piece beyond the planned ones and spares is refused: it is a slip of the finger, or the
    plan wants another spare.
    """
    plain = text.strip().lower()
    if plain == "all":
        return list(part.pieces)
    found: list[int] = []
    for word in filter(None, re.split(r"[,\s]+", plain)):
        word = word.removeprefix(f"{part.id}-")
        span = re.fullmatch(r"(\d{1,12})(?:(?:-|\.\.)(\d{1,12}))?", word)
        if span is None:
            raise PlaceError(
                f"{word!r} names no piece of {part.id}", f"write 3, {part.id}-3, 1-5 or all"
            )
        first, last = int(span[1]), int(span[2] or span[1])
        if last < first:
            raise PlaceError(f"{word!r} runs backwards; write {last}-{first}")
        if last - first > len(part.pieces):  # not made into a list first: it may fill any memory
            _checked(part, [last])
        found += range(first, last + 1)
    if not found:
        raise PlaceError(f"no piece named; write 3, {part.id}-3, 1-5 or all")
    return _checked(part, found)


def numbers_of(text: str) -> list[int]:
    """Whole numbers and runs of them: `41`, `41-48`, `3,7-9`. Raises PlaceError."""
    found: list[int] = []
    for word in filter(None, re.split(r"[,\s]+", text.strip())):
        span = re.fullmatch(r"(\d{1,9})(?:-(\d{1,9}))?", word)
        if span is None or int(span[2] or span[1]) - int(span[1]) not in range(10_000):
            raise PlaceError(f"{word!r} is no number; write 41, or 41-48")
        found += range(int(span[1]), int(span[2] or span[1]) + 1)
    return found


def _checked(part: Part, numbers: Sequence[int]) -> list[int]:
    for number in numbers:
        if number not in part.pieces:
            raise PlaceError(
                f"{part.id} has pieces 1 to {part.pieces[-1]} ({part.needed} needed and "
                f"{part.spare} spare)",
                f"raise `spare` in build.toml if there is a {part.id}-{number}",
            )
    return list(dict.fromkeys(numbers))
