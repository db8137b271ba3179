"""Lines on the screen in the build's language, written with the signs that a terminal has."""

from __future__ import annotations

import re
from pathlib import Path

import click

from qlog.words.catalogue import Words, words_of

#: Signs of the pages for which a terminal has simpler ones.
_SIMPLER = str.maketrans({"\N{NARROW NO-BREAK SPACE}": " ", "\N{MINUS SIGN}": "-"})


def words_at(folder: Path | None) -> Words:
    """The catalogue of the build in a folder, also where its plan has mistakes; else English."""
    from qlog.drawing.build_file.kept import load as load_plan
    from qlog.drawing.build_file.mistakes import PlanError
    from qlog.words.catalogue import DEFAULT, languages, load

    if folder is None:
        return load(DEFAULT)
    plan = folder / "build.toml"
    try:
        return words_of(load_plan(plan))
    except (PlanError, OSError):
        text = plan.read_text("utf-8", "replace") if plan.is_file() else ""
        found = re.search(r"""^[ \t]*language[ \t]*=[ \t]*["']([a-z]{2})""", text, re.MULTILINE)
        return load(found[1] if found and found[1] in languages() else DEFAULT)


def on_screen(text: str) -> str:
    """A text of the catalogue with common blanks and minus signs, so that it can be copied."""
    return text.translate(_SIMPLER)


def say_line(text: str, *, err: bool = False) -> None:
    """Print a line of the catalogue."""
    click.echo(on_screen(text), err=err)


def say_warning(text: str, words: Words) -> None:
    """Say on stderr what should be looked at, behind the word that status has for it."""
    say_line(f"{look(words)}  {text}", err=True)


def look(words: Words) -> str:
    """The word before what should be looked at, coloured where the terminal takes it."""
    return click.style(words("weight.warn"), fg="yellow")


def bad(words: Words) -> str:
    """The word before what is out, missing or too few, coloured where the terminal takes it."""
    return click.style(words("weight.bad"), fg="red")
