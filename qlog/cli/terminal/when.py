"""`--made`: a time of making as typed, asked about when it has not come yet."""

from __future__ import annotations

from qlog.drawing.plan import Build


def made_time(build: Build, text: str | None) -> str | None:
    """ISO 8601 with offset; None where none was given. Raises Problem when it is no time.

    A time to come is asked about on a terminal, and is a warning anywhere else.
    """
    if text is None:
        return None
    from qlog.cli.terminal.prompt import Keyboard, on_terminal
    from qlog.intake.typed.times import moment
    from qlog.problem import Problem, ToSay

    found = moment(text, build.timezone)
    if not found.ahead:
        return found.iso
    from qlog.cli.terminal.say import say_warning, words_for

    words = words_for(build)
    said = words("made.ahead", time=text)
    if not on_terminal():
        say_warning(words("made.taken", said=said), words)
        return found.iso
    with Keyboard(words) as keyboard:
        answer = keyboard.ask(f"{words('made.ask', said=said)}> ", "kd")
    if answer != "k":
        raise Problem(ToSay("error.nothing_entered_give"))
    return found.iso
