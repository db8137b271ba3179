"""Places typed, found in the plan: a part, an operation, a dimension, pieces, one with a value."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from qlog.drawing.plan import Build, Dimension, Instrument, ItemGroup, Operation, Part, marks_alike
from qlog.logbook.part_log import PartLog
from qlog.problem import Problem, ToSay, with_accepted


class PlaceError(Problem):
    """A name or number that the plan does not have; `accepted` says what it has instead."""

    def __init__(self, what: str, accepted: str = "") -> None:
        self.what = what
        self.accepted = accepted
        super().__init__(with_accepted(what, accepted))


def plain(text: str) -> str:
    """A name without case, signs and doubled spaces, as names are compared."""
    if text.isascii() and text.isalnum():
        return text.lower()
    return " ".join(re.findall(r"[^\W_]+", text.casefold()))


def _name(text: str) -> str:
    """A typed name as it is compared with one of the plan: only case, blanks and hyphens give."""
    return re.sub(r"[\s_-]+", " ", text.casefold()).strip()


def nearest(text: str, known: Iterable[str]) -> ToSay:
    """A closing hint: the nearest known name, else all of them."""
    from difflib import get_close_matches

    names = list(known)
    close = get_close_matches(text.lower(), names, n=1, cutoff=0.6)
    if close:
        return ToSay("error.meant", name=close[0])
    return ToSay("error.there_is", names=", ".join(names)) if names else ToSay("error.none")


def part_of(build: Build, text: str) -> Part:
    """The part of that id or name, in any case. Raises PlaceError."""
    id = text.strip().lower()
    for part in build.parts:
        if part.id == id:
            return part
    named = [part for part in build.parts if _name(text) in (_name(part.id), _name(part.name))]
    if len(named) == 1:
        return named[0]
    raise PlaceError(
        ToSay("error.part_build_toml", text=text), nearest(text, [p.id for p in build.parts])
    )


def op_of(part: Part, text: str | int) -> Operation:
    """The operation of that number or name; `op20` and `20` alike. Raises PlaceError."""
    word = str(text).strip().lower()
    for before in ("operation", "op"):
        if word.startswith(before):
            word = word.removeprefix(before).removeprefix(".").lstrip()
            break
    number = int(word) if word.isdecimal() and len(word) < 10 else None
    for operation in part.operations:
        if operation.number == number:
            return operation
    named = [o for o in part.operations if _name(o.name) == _name(str(text))]
    if len(named) == 1:
        return named[0]
    route = ", ".join(f"{o.number} {o.name}" for o in part.operations)
    raise PlaceError(
        ToSay("error.no_op_on_part", text=text, part=part.id), ToSay("error.route", route=route)
    )


def dimension_of(part: Part, text: str) -> Dimension:
    """The dimension of that id, name, or number on the drawing. Raises PlaceError."""
    name = text.strip().lower()
    for dimension in part.dimensions:
        if dimension.id == name or (name.isdecimal() and dimension.number == int(name)):
            return dimension
    named = [d for d in part.dimensions if _name(text) in (_name(d.id), _name(d.name))]
    if len(named) == 1:
        return named[0]
    what = ToSay("error.no_dimension_on_part", text=text, part=part.id)
    raise PlaceError(what, nearest(text, [d.id for d in part.dimensions]))


def piece_of(part: Part, text: str | int) -> int:
    """One piece; `3` and `foot-3` alike. Raises PlaceError."""
    numbers = pieces_of(part, str(text))
    if len(numbers) != 1:
        raise PlaceError(ToSay("error.names_pieces_where", text=text, n=len(numbers)))
    return numbers[0]


def number_of(part: Part, text: str) -> int:
    """One piece by its number, whatever it is marked with. Raises PlaceError."""
    if not re.fullmatch(r"\d{1,9}", text):
        raise PlaceError(ToSay("error.no_piece_number", text=text))
    return _checked(part, [int(text)])[0]


def names_piece(part: Part, text: str) -> bool:
    """Whether a text names one piece of the part."""
    return _end(part, text.strip()) in part.pieces


def piece_labelled(part: Part, text: str) -> int:
    """One piece as a list labels it: `piece 3`, `No. 3`, `#3`, `Cup 3` besides `3` and `cup-3`.

    Raises PlaceError.
    """
    if _marked(part, text) is not None:
        return piece_of(part, text)
    labelled = re.fullmatch(r"(\D*?)[\s_.#:-]*0*(\d{1,9})", text.strip())
    words = ("", "piece", "pc", "no", "nr", "stück", "teil", plain(part.id), plain(part.name))
    return piece_of(part, labelled[2] if labelled and plain(labelled[1]) in words else text)


def item_of(build: Build, text: str) -> tuple[ItemGroup, int]:
    """The item of that id or mark, `tall-1` or `No. 5`: its group and number. Raises PlaceError."""
    wanted = marks_alike(text)
    for group in build.groups:
        for number in range(1, group.count + 1):
            if wanted in (f"{group.id}-{number}", marks_alike(group.mark(number))):
                return group, number
    known = [g.called(1) if g.marks else f"{g.id}-1" for g in build.groups]
    last = [g.called(g.count) if g.marks else f"{g.id}-{g.count}" for g in build.groups]
    there = ", ".join(f"{a}..{b}" for a, b in zip(known, last, strict=True))
    known_here = ToSay("error.there_is", names=there) if there else ToSay("error.none_in_plan")
    raise PlaceError(ToSay("error.no_such_item", text=text), known_here)


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
    raise PlaceError(ToSay("error.instrument_build_toml", text=text), nearest(text, known))


def named_piece(build: Build, text: str) -> tuple[Part, int]:
    """A piece by its whole name, `foot-3`, or by a mark that no other has. Raises PlaceError."""
    word = text.strip()
    owners = [p for p in build.parts if word.casefold().startswith(f"{p.id}-")]
    for part in sorted(owners, key=lambda p: -len(p.id)):
        rest = word[len(part.id) + 1 :]
        if rest.isdecimal() or _marked(part, rest) is not None:
            return part, piece_of(part, rest)
    marked = [(p, n) for p in build.parts if (n := _marked(p, word)) is not None]
    if len(marked) == 1:
        return marked[0]
    name, _, number = word.lower().rpartition("-")
    if marked or not name or not number.isdigit():
        first = build.parts[0]
        example = (marked[0][0].named(marked[0][1])) if marked else first.named(1)
        raise PlaceError(ToSay("error.names_piece_write", text=text, example=example))
    part = part_of(build, name)
    return part, piece_of(part, number)


def looks_like_piece(build: Build, text: str) -> bool:
    """Whether a text is written as a piece is: `cup-3`, or a mark; and is no part."""
    word = text.strip().casefold()
    if any(part.id == word for part in build.parts):
        return False
    if word.rpartition("-")[2].isdecimal():
        return True
    return any(
        _marked(p, word) is not None or _marked(p, word.removeprefix(f"{p.id}-")) is not None
        for p in build.parts
    )


def pieces_of(part: Part, text: str) -> list[int]:
    """Pieces: `3`, `foot-3`, `1-5`, `1,3,7-9`, `all`; by their marks where they have some.

    Raises PlaceError. A piece beyond the planned ones and spares is refused: it is a slip of the
    finger, or the plan wants another spare.
    """
    if text.strip().lower() == "all":
        return list(part.pieces)
    found: list[int] = []
    for word in text.replace(",", " ").split():
        span = _span(part, word)
        if span is None:
            raise PlaceError(ToSay("error.names_piece", word=word, part=part.id), _writable(part))
        first, last = span
        if last < first:
            ends = part.called(last), part.called(first)
            raise PlaceError(
                ToSay("error.places_runs_backwards_write", word=word, names="-".join(ends))
            )
        if last - first > len(part.pieces):  # not made into a list first: it may fill any memory
            _checked(part, [last])
        found += range(first, last + 1)
    if not found:
        raise PlaceError(ToSay("error.piece_named"), _writable(part))
    return _checked(part, found)


def _writable(part: Part) -> str:
    if not part.marks:
        return ToSay("error.write_piece", part=part.id)
    return ToSay(
        "error.write_mark", mark=part.called(1), named=part.named(1), marks=", ".join(part.marks)
    )


def _marked(part: Part, text: str) -> int | None:
    """The number of the piece of that mark."""
    wanted = marks_alike(text)
    return next((n for n, mark in enumerate(part.marks, 1) if marks_alike(mark) == wanted), None)


def _end(part: Part, word: str) -> int | None:
    """One piece, `3`, `A` or `cup-3`, or one end of a run."""
    number = part.numbered(word)
    return part.numbered(word.lower().removeprefix(f"{part.id}-")) if number is None else number


def _span(part: Part, word: str) -> tuple[int, int] | None:
    """First and last piece of `3`, `foot-3`, `1-5`, `A..D`; None when no piece is named."""
    if (one := _end(part, word)) is not None:
        return one, one
    for sign in re.finditer(r"\.\.|-", word):
        first, last = _end(part, word[: sign.start()]), _end(part, word[sign.end() :])
        if first is not None and last is not None:
            return first, last
    return None


def numbers_of(text: str) -> list[int]:
    """Whole numbers and runs of them: `41`, `41-48`, `3,7-9`. Raises PlaceError."""
    found: list[int] = []
    for word in text.replace(",", " ").split():
        span = re.fullmatch(r"(\d{1,9})(?:-(\d{1,9}))?", word)
        if span is None or int(span[2] or span[1]) - int(span[1]) not in range(10_000):
            raise PlaceError(ToSay("error.number_write", word=word))
        found += range(int(span[1]), int(span[2] or span[1]) + 1)
    return found


def _checked(part: Part, numbers: Sequence[int]) -> list[int]:
    for number in numbers:
        if number not in part.pieces:
            raise PlaceError(
                ToSay(
                    "error.pieces_needed_spare",
                    part=part.id,
                    pieces=part.pieces[-1],
                    needed=part.needed,
                    spare=part.spare,
                ),
                ToSay("error.raise_spare_build", piece=part.named(number)),
            )
    return list(dict.fromkeys(numbers))


#: A blank before the value: it must have a decimal sign, or `12 5` would be piece 12 for 12.5 typed
#: with a blank in place of the point; a fraction (`1 1/2`) is one value.
_BLANK = r"\s+(?=[-+]?[0-9]*[.,][0-9])(?!.*/)"
_NUMBER = r"[a-z0-9-]*[0-9]+"
#: Behind a mark that is no number, a blank tells as well.
_MARK_BLANK = r"\s+(?=[-+.,0-9])"


def piece_and_value(part: Part, text: str) -> tuple[int, str] | None:
    """The piece and the value of a line that names both; None where it names no piece.

    Raises PlaceError for a piece that the part has not.
    """
    marks = sorted(part.marks, key=len, reverse=True)
    words = "|".join(re.escape(mark) for mark in marks if not mark.isdecimal()) or "(?!)"
    for piece, blank in (
        (rf"(?:{re.escape(part.id)}-)?(?:{words})", _MARK_BLANK), (_NUMBER, _BLANK)
    ):  # fmt: skip
        found = re.fullmatch(rf"(?i)({piece})(?:\s*=\s*|{blank})(\S.*)", text.strip())
        if found is not None:
            return piece_of(part, found[1]), found[2].strip()
    return None


def op_of_reading(log: PartLog, piece: int, dimension: Dimension) -> int:
    """The operation that a reading named by piece and dimension alone is for.

    The only one that asks for it; of several the last that the piece has had, else the first.
    """
    ops = [r.op for r in dimension.requirements]
    had = [op for op in ops if (op, piece) in log.done]
    return had[-1] if had else ops[0]
