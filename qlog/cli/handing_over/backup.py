"""`qlog backup`: a safe copy of the logbook."""

from __future__ import annotations

import click

from qlog.cli.context import build_folder


@click.command("backup")
@click.pass_context
def command(ctx: click.Context) -> None:
    """Copy the logbook to backup/ beside it, consistent even while it is in use.

    Photos are plain files under photos/: copy that folder too, onto another disk.

    \b
    Example:
      qlog backup
    """
    from qlog.logbook.backup import copy_log
    from qlog.logbook.opening import FILE_NAME, check_version

    folder = build_folder(ctx.find_root().obj)
    check_version(folder / FILE_NAME)
    click.echo(f"copied to {copy_log(folder / FILE_NAME)}")
