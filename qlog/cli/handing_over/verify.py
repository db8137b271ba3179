"""`qlog verify`: is everything that was entered still there and unharmed?"""

from __future__ import annotations

import click

from qlog.cli.context import build_folder


@click.command("verify")
@click.pass_context
def command(ctx: click.Context) -> int:
    """Check the logbook, the chain of sums over its entries, and every original photo.

    Finds what was altered, removed or put in another order, by whatever program. Only reads. The
    exit status is 1 when something is missing or harmed. The head at the end stands for the whole
    log: note it elsewhere, and nobody can change the log unseen.

    \b
    Example:
      qlog verify
    """
    from qlog.cli.context import say_brought_up
    from qlog.cli.terminal.progress import progress
    from qlog.intake.typed.values import means
    from qlog.logbook.opening import FILE_NAME, check_version
    from qlog.logbook.verify import verify

    folder = build_folder(ctx.find_root().obj)
    say_brought_up(check_version(folder / FILE_NAME))
    with progress("photos") as advance:
        found = verify(folder, folder / FILE_NAME, advance, means)
    for damage in found.damage:
        click.echo(f"{damage.where}: {damage.what}; {damage.remedy}", err=True)
    for stray in found.strays:
        click.echo(f"{stray.relative_to(folder)}: not in the logbook (harmless)")
    for remark in found.remarks:
        click.echo(f"{FILE_NAME}: {remark} (harmless)")
    good = "all sound" if not found.damage else f"{len(found.damage)} damaged or missing"
    click.echo(f"{found.entries} entries, {found.photos} photos: {good}")
    if found.entries:
        click.echo(f"head: entry {found.head.entries}, sum {found.head.sum}")
    return int(bool(found.damage))
