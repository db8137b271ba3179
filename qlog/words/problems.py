"""Errors and damage in words: what was raised or found as a value, said in one language."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from errno import errorcode
from typing import TYPE_CHECKING

from qlog.drawing.callouts.callout import Kind
from qlog.problem import And, Either, ToSay
from qlog.words.catalogue import DEFAULT, Words, load

if TYPE_CHECKING:
    from qlog.logbook.keeping.audit import Damage

#: What Windows says of a file that another program holds: a sharing violation, a locked stretch.
_HELD = (32, 33)


def in_words(words: Words, what: object) -> str:
    """An error, or a text that is to be said, in the language of `words`; else it as it stands.

    What the system or the database refuses is told by its number; what other libraries raise is
    said as they say it.
    """
    if isinstance(what, BaseException) and what.args and isinstance(what.args[0], ToSay):
        what = what.args[0]
    if isinstance(what, ToSay):
        return words(what.key, **_facts(words, what.facts))
    if isinstance(what, OSError) and what.errno is not None:
        held = getattr(what, "winerror", None) in _HELD  # else it would be told as "not allowed"
        name = "EBUSY" if held else errorcode.get(what.errno, "")
        return words.maybe(f"os.{name}", what.strerror or str(what))
    if isinstance(what, BaseException) and hasattr(what, "sqlite_errorcode"):
        return words.maybe(f"sqlite.{what.sqlite_errorcode & 0xFF}", str(what))
    return str(what)


def damage_text(damage: Damage, words: Words) -> str:
    """Where it is, what is damaged and what to do."""
    what, remedy = in_words(words, damage.what), in_words(words, damage.remedy)
    return f"{damage.where}: {what}; {remedy}" if remedy else f"{damage.where}: {what}"


def _facts(words: Words, facts: Mapping[str, object]) -> dict[str, object]:
    return {name: _fact(words, fact) for name, fact in facts.items()}


def _fact(words: Words, fact: object) -> object:
    if isinstance(fact, ToSay | BaseException):
        return in_words(words, fact)
    if isinstance(fact, Kind):
        return words(f"callout.kind.{fact.value}")
    if isinstance(fact, And):
        return words.list([str(one) for one in fact])
    if isinstance(fact, Either):
        return f" {words('format.or')} ".join(str(_fact(words, one)) for one in fact)
    if isinstance(fact, tuple):
        return "\n".join(in_words(words, line) for line in fact)
    if isinstance(fact, Decimal) and words.language != DEFAULT:
        return _Marked(fact, words("format.decimal_mark"))
    return fact


class _Marked:
    """A number with the decimal mark of a language, in whatever form a text wants it."""

    def __init__(self, number: Decimal, mark: str) -> None:
        self._number = number
        self._mark = mark

    def __format__(self, form: str) -> str:
        return format(self._number, form).replace(".", self._mark)


def english(key: str, facts: Mapping[str, object]) -> str:
    """The English text of a key and its facts."""
    words = load(DEFAULT)
    return words(key, **_facts(words, facts))


ToSay.worded = english
