"""Questions of the entry checks: put on a terminal, said as warnings anywhere else."""

from __future__ import annotations

from typing import TYPE_CHECKING

from qlog.cli.terminal.say import say_line, say_warning
from qlog.intake.entry_checks import Check
from qlog.problem import ToSay
from qlog.words.catalogue import words_of
from qlog.words.questions import question_text, warning_text

if TYPE_CHECKING:
    from collections.abc import Callable

    from qlog.cli.terminal.prompt import Keyboard
    from qlog.intake.bench.stream import ProposedReading, Stream
    from qlog.intake.entry_checks import Question
    from qlog.words.catalogue import Words


def warn(stream: Stream, proposed: ProposedReading, strict: bool) -> None:
    """Say on stderr what would be asked on a terminal. Raises ReadingError instead if `strict`."""
    from qlog.intake.bench.readings import ReadingError

    words = words_of(stream.build)
    for question in proposed.questions:
        warning = warning_text(proposed.reading, question, words)
        if strict:
            raise ReadingError(ToSay("error.strict_nothing_written", warning=warning))
        say_warning(warning, words)
        stream.answered(proposed, question)


def put(
    keyboard: Keyboard, stream: Stream, proposed: ProposedReading, *, repeats: bool = True
) -> tuple[ProposedReading, int | None] | None:
    """Put the likeliest question about a reading, until it is settled.

    Answers the reading to enter, and the piece that is to be read once more after it; None when
    it is dropped. `y` takes the value offered, `k` keeps what was typed, `a` asks for it anew. A
    number is no answer: it may have been meant for the next piece.
    """
    words = words_of(stream.build)
    while proposed.questions:
        question = proposed.questions[0]
        piece = stream.about(proposed, question)
        whose = "" if piece == proposed.ask.piece else f"{stream.part.named(piece)}: "
        say_line(f"  ? {whose}{question_text(question, words)}")
        burr = repeats and question.check is Check.BURR
        answer = _answer(keyboard, question, proposed.reading.typed, words, burr=burr)
        match answer.lower() if answer is not None else "d":
            case "d":
                say_line(f"  {words('offer.not_entered')}")
                return None
            case "k":
                stream.answered(proposed, question)
                return proposed, None
            case "r" if burr:
                return proposed, piece
            case "y" if question.retype is not None:
                proposed = stream.propose(proposed.ask, question.retype)
                return proposed, None
            case "a":
                proposed = _anew(keyboard, stream, proposed)
    return proposed, None


def _anew(keyboard: Keyboard, stream: Stream, proposed: ProposedReading) -> ProposedReading:
    """The same place asked for once more; what was typed stays in question until one is taken."""
    from qlog.intake.bench.readings import ReadingError
    from qlog.words.problems import in_words

    ask = proposed.ask
    place = f"{stream.part.named(ask.piece)} {ask.dimension.id}"
    anew = words_of(stream.build)("offer.anew.ask", place=place)
    text = keyboard.ask(f"    {anew} {ask.unit}".rstrip() + "> ", value=True)
    try:
        return stream.propose(ask, text) if text else proposed
    except ReadingError as error:
        say_line(f"  {in_words(words_of(stream.build), error)}")
        return proposed


def settled(
    keyboard: Keyboard, place: str, text: str, ask: Callable[[str], Question | None], words: Words
) -> str | None:
    """A typed number that belongs to no stream, once what `ask` has to ask about it is settled.

    None when it is dropped. Where nobody can be asked, the question is a warning.
    """
    from qlog.cli.terminal.prompt import on_terminal

    while (question := ask(text)) is not None:
        if not on_terminal():
            say_warning(f"{place} {text}: {question_text(question, words)}", words)
            return text
        say_line(f"  ? {question_text(question, words)}")
        answer = _answer(keyboard, question, text, words)
        match answer.lower() if answer is not None else "d":
            case "d":
                say_line(f"  {words('offer.not_entered')}")
                return None
            case "k":
                return text
            case "y" if question.retype is not None:
                return question.retype
            case "a":
                anew = words("offer.anew.ask", place=place)
                text = keyboard.ask(f"    {anew}> ", value=True) or text
    return text


def _answer(
    keyboard: Keyboard, question: Question, typed: str, words: Words, *, burr: bool = False
) -> str | None:
    """The key pressed at a question; which there are is said."""
    taken = question.retype
    offers = [
        "" if taken is None else words("offer.take", value=taken),
        words("offer.again") if burr else "",
        words("offer.keep", value=typed),
        words("offer.anew"),
        words("offer.drop"),
    ]
    keys = ("y" if taken is not None else "") + ("r" if burr else "") + "kad"
    return keyboard.ask(f"    {', '.join(o for o in offers if o)}> ", keys)
