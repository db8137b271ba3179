"""Reading `marks`: the letters, names or numbers by which pieces and items are called."""

from __future__ import annotations

import re

from qlog.drawing.build_file.definitions import Definitions
from qlog.drawing.build_file.entry import PlanTable
from qlog.drawing.plan import ItemGroup, mark_address, marks_alike
from qlog.problem import ToSay

#: `A..H`, `41..52`, `No. 1..No. 8`: what stands before both ends is the same.
_RUN = r"(?P<before>.*?)(?P<first>[A-Z]|[0-9]{1,6})\s*\.\.\s*(?P=before)?(?P<last>[A-Z]|[0-9]{1,6})"

#: What no mark of a piece holds: it would not be told from a list, a run or a reading.
_PARTS_A_LIST = r"[\s,;=]|\.\."


def marks_of(entry: PlanTable, count: int | None, *, typed_in_lists: bool) -> tuple[str, ...]:
    """The marks in the order of the numbers, as a list or as a run; () when none are written.

    `count` is how many there are to mark, None when that is not known; `typed_in_lists` holds
    for pieces, whose marks are typed side by side at the bench.
    """
    value = entry.get("marks")
    if value is None:
        return ()
    marks = _run(entry, value) if isinstance(value, str) else entry.texts("marks")
    if marks and not _sound(entry, marks, count, typed_in_lists):
        return ()
    return marks


def _run(entry: PlanTable, text: str) -> tuple[str, ...]:
    found = re.fullmatch(_RUN, text)
    accepted = ToSay("error.marks_accepted")
    if found is None:
        entry.error("marks", ToSay("error.marks_run", text=text), accepted)
        return ()
    before, first, last = found["before"], found["first"], found["last"]
    if first.isdecimal() != last.isdecimal():
        entry.error("marks", ToSay("error.runs_from_letter", text=text), accepted)
        return ()
    if first.isdecimal():
        start, end = int(first), int(last)
    else:
        start, end = ord(first), ord(last)
    if not 0 <= end - start < 1000:
        entry.error("marks", ToSay("error.runs_backwards_too", text=text), accepted)
        return ()
    width = len(first) if first.isdecimal() and first.startswith("0") else 0
    said = (f"{n:0{width}d}" if first.isdecimal() else chr(n) for n in range(start, end + 1))
    return tuple(before + one for one in said)


def _sound(
    entry: PlanTable, marks: tuple[str, ...], count: int | None, typed_in_lists: bool
) -> bool:
    if count is not None and len(marks) > count:
        entry.error(
            "marks", ToSay("error.marks", n=len(marks), count=count), ToSay("error.one_mark_each")
        )  # fmt: skip
        return False
    seen: set[str] = set()
    for mark in marks:
        accepted: str = ""
        if not mark.strip() or mark != mark.strip() or len(mark) > 40:
            accepted = ToSay("error.mark_signs")
        elif typed_in_lists and re.search(_PARTS_A_LIST, mark):
            accepted = ToSay("error.mark_no_blanks", like=re.sub(_PARTS_A_LIST, "-", mark))
        elif typed_in_lists and (mark.casefold() == "all" or re.fullmatch(r"[0-9]+-[0-9]+", mark)):
            accepted = ToSay("error.mark_names_several")
        if accepted:
            entry.error("marks", ToSay("error.mark_cannot_be", mark=mark), accepted)
            return False
        if marks_alike(mark) in seen:
            entry.error(
                "marks", ToSay("error.mark_used_twice", mark=mark), ToSay("error.mark_own_each")
            )
            return False
        seen.add(marks_alike(mark))
    if count is not None and typed_in_lists:
        for number in range(len(marks) + 1, count + 1):
            if str(number) in seen:
                what = ToSay("error.piece_mark_another", number=number)
                entry.error("marks", what, ToSay("error.mark_each_pieces", count=count))
                return False
    return True


def marked_apart(groups: tuple[ItemGroup, ...], known: Definitions) -> None:
    """Note items that share a mark, or the address of their page, with another of the build."""
    taken = {f"{g.id}-{n}" for g in groups for n in range(len(g.marks) + 1, g.count + 1)}
    for group in groups:
        place = (*known.places["item", group.id], "marks")
        for mark in group.marks:
            address = mark_address(mark)
            if not address:
                what, accepted = ToSay("error.mark_empty"), ToSay("error.mark_such_as")
            elif address in taken:
                what, accepted = ToSay("error.mark_of_another"), ToSay("error.mark_of_its_own")
            else:
                taken.add(address)
                continue
            known.notes.error(
                place, ToSay("error.read_marks_mark", mark=mark, what=what), accepted, mark
            )
