"""`qlog verify`: is everything that was entered still there and unharmed?"""

from __future__ import annotations

import click

from qlog.cli.context import build_folder


@click.command("verify")
@click.pass_context
def command(ctx: click.Context) -> int:
    """Check the logbook's database and every original photo against its SHA-256.

    Only reads. The exit status is 1 when something is missing or harmed.

    \b
    Example:
      qlog verify
    """
    from qlog.cli.terminal.progress import progress
    from qlog.logbook.store import FILE_NAME, check_version
    from qlog.logbook.verify import verify

    folder = build_folder(ctx.find_root().obj)
    check_version(folder / FILE_NAME)
    with progress("photos") as advance:
        found = verify(folder, folder / FILE_NAME, advance)
    for damage in found.damage:
        click.echo(f"{damage.where}: {damage.what}; {damage.remedy}", err=True)
    for stray in found.strays:
        click.echo(f"{stray.relative_to(folder)}: not in the logbook (harmless)")
    good = "all sound" if not found.damage else f"{len(found.damage)} damaged or missing"
    click.echo(f"{found.entries} entries, {found.photos} photos: {good}")
    return int(bool(found.damage))
