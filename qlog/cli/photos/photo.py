"""`qlog photo`: take photos in and put them in their place."""

from __future__ import annotations

import click

from qlog.cli.photos.add import add
from qlog.cli.photos.clock import clock
from qlog.cli.photos.edit import apart, best, caption, cover, show
from qlog.cli.photos.unplaced import accept, list_, place, unplaced


@click.group("photo")
def command() -> None:
    """Take photos in and put them in their place.

    A card photographed first (`qlog card`), the log of the work, file and folder names and photos
    of the same view each have a vote. Two that agree place a photo, one alone proposes, and a
    contradiction leaves it unplaced. What nobody has looked at is the maker's only.

    \b
    Example:
      qlog photo add /media/card
      qlog photo unplaced --sheet
      qlog photo accept 14kd
      qlog photo place 14-22 foot 20
    """


for _subcommand in (add, unplaced, accept, place, list_, caption, show, cover, best, apart, clock):
    command.add_command(_subcommand)
