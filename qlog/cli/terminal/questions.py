"""Questions of the entry checks: put on a terminal, said as warnings anywhere else."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from qlog.intake.bench.readings import as_warning
from qlog.intake.entry_checks import Check

if TYPE_CHECKING:
    from collections.abc import Callable

    from qlog.cli.terminal.prompt import Keyboard
    from qlog.intake.bench.stream import Proposed, Stream
    from qlog.intake.entry_checks import Question


def warn(stream: Stream, proposed: Proposed, strict: bool) -> None:
    """Say on stderr what would be asked on a terminal. Raises ReadingError instead if `strict`."""
    from qlog.intake.bench.readings import ReadingError

    for question in proposed.questions:
        warning = as_warning(proposed.reading, question)
        if strict:
            raise ReadingError(f"{warning}; --strict: nothing was written")
        click.echo(f"?? {warning}", err=True)
        stream.answered(proposed, question)


def put(
    keyboard: Keyboard, stream: Stream, proposed: Proposed, *, repeats: bool = True
) -> tuple[Proposed, int | None] | None:
    """Put the likeliest question about a reading, until it is settled.

    Answers the reading to enter, and the piece that is to be read once more after it; None when
    it is dropped. `y` takes the value offered, `k` keeps what was typed, `a` asks for it anew. A
    number is no answer: it may have been meant for the next piece.
    """
    while proposed.questions:
        question = proposed.questions[0]
        piece = stream.about(proposed, question)
        whose = "" if piece == proposed.ask.piece else f"{stream.part.id}-{piece}: "
        click.echo(f"  ? {whose}{question.message}")
        burr = repeats and question.check is Check.BURR
        offers = [
            f"y {question.retype}" if question.retype is not None else "",
            "r read again" if burr else "",
            f"k keep {proposed.reading.typed}",
            "a type it anew",
            "d drop it",
        ]
        keys = ("y" if question.retype is not None else "") + ("r" if burr else "") + "kad"
        answer = keyboard.ask(f"    {', '.join(o for o in offers if o)}> ", keys)
        match answer.lower() if answer is not None else "d":
            case "d":
                click.echo("  not entered")
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


def _anew(keyboard: Keyboard, stream: Stream, proposed: Proposed) -> Proposed:
    """The same place asked for once more; what was typed stays in question until one is taken."""
    from qlog.intake.bench.readings import ReadingError

    ask = proposed.ask
    place = f"{stream.part.id}-{ask.piece} {ask.dimension.id}"
    text = keyboard.ask(f"    {place} anew {ask.unit}".rstrip() + "> ", value=True)
    try:
        return stream.propose(ask, text) if text else proposed
    except ReadingError as error:
        click.echo(f"  {error}")
        return proposed


def settled(
    keyboard: Keyboard, place: str, text: str, ask: Callable[[str], Question | None]
) -> str | None:
    """A typed number that belongs to no stream, once what `ask` has to ask about it is settled.

    None when it is dropped. Where nobody can be asked, the question is a warning.
    """
    from qlog.cli.terminal.prompt import on_terminal

    while (question := ask(text)) is not None:
        if not on_terminal():
            click.echo(f"?? {place} {text}: {question.message}", err=True)
            return text
        click.echo(f"  ? {question.message}")
        offers = [
            f"y {question.retype}" if question.retype is not None else "",
            f"k keep {text}",
            "a type it anew",
            "d drop it",
        ]
        keys = ("y" if question.retype is not None else "") + "kad"
        answer = keyboard.ask(f"    {', '.join(o for o in offers if o)}> ", keys)
        match answer.lower() if answer is not None else "d":
            case "d":
                click.echo("  not entered")
                return None
            case "k":
                return text
            case "y" if question.retype is not None:
                return question.retype
            case "a":
                text = keyboard.ask(f"    {place} anew> ", value=True) or text
    return text
