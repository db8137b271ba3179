"""`--made`: a time of making as typed, asked about when it has not come yet."""

from __future__ import annotations

import click

from qlog.drawing.plan import Build


def made_time(build: Build, text: str | None) -> str | None:
    """ISO 8601 with offset; None where none was given. Raises Problem when it is no time.

    A time to come is asked about on a terminal, and is a warning anywhere else.
    """
    if text is None:
        return None
    from qlog.cli.terminal.prompt import Keyboard, on_terminal
    from qlog.intake.typed.times import moment
    from qlog.problem import Problem

    found = moment(text, build.timezone)
    if not found.ahead:
        return found.iso
    said = f"--made {text} has not come yet"
    if not on_terminal():
        click.echo(f"?? {said}; it was taken all the same", err=True)
        return found.iso
    with Keyboard() as keyboard:
        answer = keyboard.ask(f"{said}: k keep it, d drop the entry> ", "kd")
    if answer != "k":
        raise Problem("nothing was entered; give the time again with --made")
    return found.iso
