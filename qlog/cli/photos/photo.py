"""`qlog photo`: take photos in and put them in their place."""

from __future__ import annotations

import click

from qlog.cli.photos.add import add
from qlog.cli.photos.clock import clock
from qlog.cli.photos.edit import best, caption, cover, show
from qlog.cli.photos.unplaced import list_, place, unplaced


@click.group("photo")
def command() -> None:
    """Take photos in and put them in their place.

    A card photographed first (`qlog card`) places what the same camera takes after it. Otherwise
    the time of the work, then file and folder names propose a place; the rest stays unplaced.

    \b
    Example:
      qlog photo add /media/card
      qlog photo unplaced
      qlog photo place 14-22 foot 20
    """


for _subcommand in (add, unplaced, place, list_, caption, show, cover, best, clock):
    command.add_command(_subcommand)
