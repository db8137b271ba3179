"""What an operation was set to, said: "speed 1200 rev/min"."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from qlog.counting import runs
from qlog.words.catalogue import Words
from qlog.words.values import with_unit

if TYPE_CHECKING:
    from qlog.intake.bench.settings import SetDown
    from qlog.logbook.facts import Setting
    from qlog.review.part.settings import SetView


def setting_name(what: str, words: Words) -> str:
    """What is set; a word of the user's own stays as it is."""
    return words.maybe(f"set.{what}", what)


def set_value_text(value: str, unit: str, words: Words) -> str:
    """What it is set to, with its unit."""
    if not value:
        return words("set.nothing")
    if not unit:
        return value
    number = words.number(value, unit.partition("/")[0])
    return with_unit(number, words.maybe(f"set.unit.{unit}", unit))


def setting_text(what: str, value: str, unit: str, words: Words) -> str:
    """One thing with what it is set to."""
    return f"{setting_name(what, words)} {set_value_text(value, unit, words)}"


def settings_text(settings: Iterable[SetView | Setting], words: Words) -> str:
    """Several things in one line."""
    return ", ".join(setting_text(s.what, s.value, s.unit, words) for s in settings)


def set_down_texts(done: Iterable[SetDown], words: Words) -> list[str]:
    """What was set down just now, one line each."""
    said = []
    for one in done:
        fact, before = one.fact, one.before
        key = "set.as_before" if not one.new else "set.down" if before is None else "set.instead"
        text = setting_text(fact.what, fact.value, fact.unit, words)
        was = "" if before is None else set_value_text(before.value, before.unit, words)
        said.append(words(key, said=text, was=was, piece=words.piece(fact.part, fact.piece)))
    return said


def over_pieces(views: Iterable[SetView], words: Words) -> list[tuple[str, list[tuple[str, str]]]]:
    """Thing by thing: its name, and every value with the pieces made with it.

    `words` speak of the part.
    """
    found: dict[str, list[tuple[str, str]]] = {}
    for view in views:
        said = set_value_text(view.value, view.unit, words)
        found.setdefault(setting_name(view.what, words), []).append(
            (said, runs(view.pieces, words.own))
        )
    return list(found.items())
