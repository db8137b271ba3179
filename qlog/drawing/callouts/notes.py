"""What stands around a callout and is no requirement of its own: 4x, THRU, TYP, 2 PLCS."""

from __future__ import annotations

import re

from qlog.drawing.callouts.callout import CalloutError
from qlog.problem import ToSay

_MOST = 999
#: In front: "4x Ø5", "2X .250", "12x 30°". Before a bare number only "4x 5", never "4 x 5".
_IN_FRONT = (
    r"([0-9]{1,3}) ?[xX] ?(?=(?:S?Ø|S ?Ø|S?R ?[0-9.,]|[Dd][Ii][Aa]|[MC] ?[0-9.]|□|[A-Za-z]{2}))"
)
_BARE = r"([0-9]{1,3})[xX] (?=[0-9.,#])|([0-9]{1,3})[xX](?=\.[0-9])"
_NO_SIGN = r"([0-9]{1,2}) (?=(?:S?Ø)|(?:M|S?R)[0-9])"
_BEHIND = (
    r"(?i)(?:^|[ ,])\(?([0-9]{1,3}) ?(?:x|plcs?\.?|places?|off|holes?|eq(?:ual)? ?sp(?:aced)?)\)?$"
)
_WORDS = r"(?i)[ ,(]*\b(?:typ(?:ical)?\.?|thru(?: all)?|through(?: all)?)\)?(?=$|[ ,])"
_REFERENCE = r"(?i)(?:^|\b)(?:ref(?:erence)?|bsc|basic)\b\.?"
_CLASS_LIKE = r"[MR][0-9]{1,2}$"


def without_notes(line: str) -> tuple[str, int]:
    """The callout alone, and of how many like features it is written (1 when it does not say).

    Raises CalloutError for reference and theoretical sizes, and where a number in front may be a
    quantity or a size.
    """
    if re.search(_REFERENCE, line):
        raise CalloutError(
            ToSay("error.reference_theoretical_size_limits"),
            ToSay("error.leave_out_write_tolerance"),
        )
    bare = re.sub(_WORDS, "", line).strip(" ,")
    if bare != line and not bare:
        raise CalloutError(ToSay("error.alone_asks_nothing", line=line), ToSay("error.size_stands"))
    line, quantity = bare, 1
    if match := re.match(_IN_FRONT, line) or re.match(_BARE, line):
        quantity, line = int(match[1] or match[match.lastindex or 1]), line[match.end() :]
    elif match := re.match(_NO_SIGN, line):
        rest = line[match.end() :]
        if re.match(_CLASS_LIKE, rest):
            raise CalloutError(
                ToSay("error.may_be_class_mm", line=line, match=match[1], rest=rest),
                ToSay("error.them_class", match=match[1], rest=rest),
            )
        quantity, line = int(match[1]), rest
    elif (match := re.search(_BEHIND, line)) and match.start():
        quantity, line = int(match[1]), line[: match.start()].strip(" ,")
    if not 1 <= quantity <= _MOST:
        raise CalloutError(
            ToSay("error.quantity_of_them", quantity=quantity),
            ToSay("error.number_from", most=_MOST),
        )
    return line, quantity
