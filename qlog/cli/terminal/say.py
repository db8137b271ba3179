"""Lines on the screen in the build's language, written with the signs that a terminal has."""

from __future__ import annotations

import click

from qlog.drawing.plan import Build
from qlog.words.catalogue import DEFAULT, Words, WordsError, load

#: Signs of the pages for which a terminal has simpler ones.
_SIMPLER = str.maketrans({"\N{NARROW NO-BREAK SPACE}": " ", "\N{MINUS SIGN}": "-"})


def words_for(build: Build) -> Words:
    """The catalogue of the build's language; English where it names one that has none."""
    try:
        return load(build.language)
    except WordsError:
        return load(DEFAULT)


def on_screen(text: str) -> str:
    """A text of the catalogue with common blanks and minus signs, so that it can be copied."""
    return text.translate(_SIMPLER)


def say_line(text: str, *, err: bool = False) -> None:
    """Print a line of the catalogue."""
    click.echo(on_screen(text), err=err)
