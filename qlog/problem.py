"""The one error that every room may raise for bad input: what, where, what to do."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import ClassVar, SupportsIndex


class ToSay(str):
    """What is to be said, as a value: the key of a text of the catalogue, and its facts.

    Whoever shows it words it in the build's language (`qlog.words.problems.in_words`). As a str it
    is the English text, and key and facts where no catalogue is loaded. A fact may be such a value
    itself, an error, or several of either.
    """

    key: str
    facts: Mapping[str, object]

    #: Makes the English text of a key and its facts; put in place by the catalogue.
    worded: ClassVar[Callable[[str, Mapping[str, object]], str] | None] = None

    def __new__(cls, key: str, /, **facts: object) -> ToSay:
        """A text of that key with those facts. Raises LookupError when the catalogue has none."""
        said = super().__new__(
            cls, f"{key} {facts}" if cls.worded is None else cls.worded(key, facts)
        )
        said.key = key
        said.facts = facts
        return said

    def __reduce_ex__(self, _: SupportsIndex) -> tuple[object, ...]:
        return _again, (self.key, dict(self.facts))


class Either(tuple[str, ...]):
    """Several texts of which one is meant, as a fact: "this or that"."""


class And(tuple[str, ...]):
    """Several texts that all hold, as a fact: "this and that"."""


def _again(key: str, facts: dict[str, object]) -> ToSay:
    return ToSay(key, **facts)


def said_by(error: BaseException) -> str:
    """What an error says, to be raised again as another; its facts stay with it."""
    told = error.args[0] if error.args else None
    return told if isinstance(told, ToSay) else str(error)


def with_accepted(what: str, accepted: str) -> str:
    """What is wrong, and what would be accepted, in one text."""
    return ToSay("error.accepted", what=what, accepted=accepted) if accepted else what


class Problem(Exception):
    """Something the user has to put right; shown on stderr without a traceback.

    `status` is the exit status: 2 when the call or its input cannot be taken (nothing was
    written), 1 when the call was fine and found something out, missing or damaged.
    """

    status = 2
