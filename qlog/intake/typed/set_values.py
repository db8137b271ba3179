"""What an operation is set to, as typed: `speed=1200`, `feed=0.05 mm/rev`, `tool="boring bar"`.

A quantity is kept as a number with its unit, so that it can be set again in ten years; anything
else is kept in the words it was typed in.
"""

from __future__ import annotations

import re
import shlex
from collections.abc import Iterable
from decimal import Decimal

from qlog.drawing.units import Unit
from qlog.frozen import frozen
from qlog.intake.typed.places import nearest
from qlog.logbook.facts import SETTINGS
from qlog.problem import Problem, ToSay

_LENGTHS = {"mm": "mm", "in": "in", "inch": "in", '"': "in", "µm": "µm", "um": "µm"}
_SPEEDS = {
    "rev/min": "rev/min", "rpm": "rev/min", "1/min": "rev/min", "/min": "rev/min",
    "u/min": "rev/min", "m/min": "m/min", "ft/min": "ft/min", "sfm": "ft/min", "fpm": "ft/min",
}  # fmt: skip
_FEEDS = {
    "mm/rev": "mm/rev", "mm/u": "mm/rev", "mm/min": "mm/min", "mm/tooth": "mm/tooth",
    "in/rev": "in/rev", "ipr": "in/rev", "in/min": "in/min", "ipm": "in/min",
    "in/tooth": "in/tooth", "ipt": "in/tooth",
}  # fmt: skip

#: The units of what is a quantity; all else is kept in words.
_UNITS = {
    "speed": _SPEEDS, "feed": _FEEDS, "depth": _LENGTHS, "stop": _LENGTHS, "offset": _LENGTHS
}  # fmt: skip

#: The German words for them, taken as well.
_GERMAN = {
    "drehzahl": "speed", "vorschub": "feed", "zustellung": "depth", "werkzeug": "tool",
    "anschlag": "stop", "korrektur": "offset", "schmierung": "fluid", "spannung": "fixture",
    "rohteil": "blank", "stange": "bar",
}  # fmt: skip

_NUMBER = re.compile(r"([+-]?(?:\d{1,9}(?:[.,]\d{1,9})?|[.,]\d{1,9}))\s*(\D.*)?")
_OWN = re.compile(r"[a-z][a-z0-9-]{0,29}")
_LONGEST = 200


class SettingError(Problem):
    """Something that cannot be set as typed."""


@frozen
class SetValue:
    """One thing that is set; an empty value takes it back, or says that it holds no more."""

    what: str
    typed: str
    value: str  # canonical decimal text in `unit`, or words
    unit: str = ""


def set_values(texts: Iterable[str], unit: Unit) -> tuple[SetValue, ...]:
    """What `WHAT=VALUE` texts say; a bare length is in `unit`. Raises SettingError."""
    found: dict[str, SetValue] = {}
    for text in texts:
        what, equals, value = text.partition("=")
        if not equals:
            raise SettingError(
                ToSay("error.sets_nothing_write", text=text, names=", ".join(SETTINGS))
            )
        one = set_value(what, value, unit)
        if one.what in found:
            raise SettingError(ToSay("error.set_twice_one", what=one.what))
        found[one.what] = one
    return tuple(found.values())


def words_and_values(text: str, unit: Unit) -> tuple[str, tuple[SetValue, ...]]:
    """A line such as `touched up offset=-0.02` as its words and what it sets.

    A value of several words stands in quotes: `tool="new insert"`. Raises SettingError.
    """
    try:
        words = shlex.split(text)
    except ValueError:  # a quote that does not pair up: an apostrophe in a remark
        words = text.split()
    said = [word for word in words if "=" not in word]
    values = set_values((word for word in words if "=" in word), unit)
    return " ".join(said) if values else text, values


def set_value(what: str, text: str, unit: Unit) -> SetValue:
    """One thing that is set. Raises SettingError."""
    name = what.strip().lower()
    name = _GERMAN.get(name, name)
    if name not in SETTINGS:
        hint = nearest(name, (*SETTINGS, *_GERMAN))
        if hint.key == "error.meant" or not _OWN.fullmatch(name):
            raise SettingError(ToSay("error.nothing_set", what=what.strip(), hint=hint))
    typed = " ".join(text.split())
    if len(typed) > _LONGEST or not typed.isprintable():
        raise SettingError(ToSay("error.signs_most_none", name=name, longest=_LONGEST))
    units = _UNITS.get(name)
    number = _NUMBER.fullmatch(typed)
    if units is None or not typed or not (typed[0].isdigit() or number):
        return SetValue(name, typed, typed)
    plain = _bare(name, unit)
    given = "" if number is None else (number[2] or plain).strip().lower()
    if number is None or given not in units:
        accepted = ", ".join(dict.fromkeys(units.values()))
        raise SettingError(
            ToSay(
                "error.unit_write_one",
                name=name,
                typed=typed,
                accepted=accepted,
                number="1200" if name == "speed" else "0.05",
                next=next(iter(units)),
            )
        )
    value = Decimal(number[1].replace(",", "."))
    return SetValue(name, typed, f"{value:f}", units[given])


def _bare(name: str, unit: Unit) -> str:
    """The unit of a number that comes without one; none for a feed, which has several."""
    if name == "speed":
        return "rev/min"
    return "" if name == "feed" else unit.symbol
