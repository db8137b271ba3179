"""Questions of the entry checks said: what is odd, and what it may have been."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from qlog.drawing.decimals import as_typed
from qlog.drawing.units import Unit

if TYPE_CHECKING:
    from qlog.intake.entry_checks import About, Question
    from qlog.intake.files.take import FileWarning
    from qlog.logbook.facts import Reading
    from qlog.words.catalogue import Words


def question_text(question: Question, words: Words) -> str:
    """One short question about a reading."""
    key = f"question.{question.check.name.lower()}"
    if question.case:
        key = f"{key}.{question.case}"
    symbol = question.unit.symbol
    about = {name: _said(value, words, symbol) for name, value in question.about.items()}
    change = question.about.get("change")
    if isinstance(change, Decimal) and change > 0:
        about["change"] = f"+{about['change']}"
    other = question.about.get("other")
    if isinstance(other, Unit):
        about["in_other"] = words.maybe(f"unit.{other.name.lower()}", other.symbol)
    return words(key, **about)


def _said(about: About, words: Words, symbol: str) -> str:
    match about:
        case Decimal():
            return words.number(about, symbol)
        case Unit():
            return about.symbol
        case tuple():
            if about and isinstance(about[0], int):
                return ", ".join(map(str, about))
            return words.list([str(one) for one in about])
    return str(about)


def warning_text(reading: Reading, question: Question, words: Words) -> str:
    """A question where nobody can answer it: which reading, what is odd, how to put it right."""
    about = {
        "place": f"{words.piece(reading.part, reading.piece)} {reading.dimension} "
        f"{as_typed(reading.typed)}",
        "question": question_text(question, words),
    }
    if question.retype is None:
        return words("warning.plain", **about)
    value = f'"{question.retype}"' if " " in question.retype else question.retype
    correct = (
        f"qlog correct {reading.part} {reading.op} {reading.dimension} "
        f"{words.called(reading.part, reading.piece)} {value}"
    )
    return words("warning.retype", correct=correct, **about)


def file_warning_text(warning: FileWarning, words: Words) -> str:
    """What would be asked about one line of a file, and how many more are like it."""
    if warning.reading is None or warning.question is None:
        said = words("file.ahead", time=warning.ahead)
    else:
        said = warning_text(warning.reading, warning.question, words)
    if not warning.more:
        return said
    more = words("file.more", n=len(warning.more), list=", ".join(warning.more))
    return f"{said} {more}"
