"""`qlog photo`: take photos in and put them in their place."""

from __future__ import annotations

from pathlib import Path

import click

from qlog.cli.photos.add import add
from qlog.cli.photos.clock import clock
from qlog.cli.photos.edit import apart, best, caption, cover, show
from qlog.cli.photos.unplaced import accept, list_, place, unplaced


class Photos(click.Group):
    """Photos, of which a file or folder named alone is taken in."""

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """As click does; a path in the place of a command is what `add` takes in."""
        if args and args[0] not in self.commands and Path(args[0]).exists():
            args = ["add", *args]
        return super().resolve_command(ctx, args)


@click.group("photo", cls=Photos)
def command() -> None:
    """Take photos in and put them in their place.

    A card photographed first (`qlog card`), the log of the work, file and folder names and photos
    of the same view each have a vote. Two that agree place a photo, one alone proposes, and a
    contradiction leaves it unplaced. What nobody has looked at is the maker's only. A file or
    folder alone, `qlog photo /media/card`, is taken in as by `add`.

    \b
    Example:
      qlog photo add /media/card
      qlog photo unplaced --sheet
      qlog photo accept 14kd
      qlog photo place 14-22 foot 20
    """


for _subcommand in (add, unplaced, accept, place, list_, caption, show, cover, best, apart, clock):
    command.add_command(_subcommand)
