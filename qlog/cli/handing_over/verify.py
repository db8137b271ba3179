"""`qlog verify`: is everything that was entered still there and unharmed?"""

from __future__ import annotations

from pathlib import Path

import click

from qlog.cli.context import PLAN_NAME, build_folder
from qlog.counting import count


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
    lost = 0 if found.damage else _without_home(folder)
    good = "all sound" if not found.damage else f"{len(found.damage)} damaged or missing"
    if lost:
        good += f", but {count(lost, 'entry', 'entries')} without a home in build.toml"
    click.echo(f"{found.entries} entries, {found.photos} photos: {good}")
    return int(bool(found.damage or lost))


def _without_home(folder: Path) -> int:
    """Name the entries whose part, operation or dimension the plan has not; how many there are."""
    from qlog.drawing.build_file.load import PlanError, load
    from qlog.logbook.build_log import BuildLog
    from qlog.logbook.store import FILE_NAME, Logbook
    from qlog.review.homeless import homeless

    if not (folder / PLAN_NAME).exists():
        return 0
    try:
        build = load(folder / PLAN_NAME)
    except PlanError:
        click.echo(
            f"{PLAN_NAME} has mistakes (`qlog plan` lists them): what has no home in it was "
            "not looked for",
            err=True,
        )
        return 0
    with Logbook(folder / FILE_NAME) as logbook:
        found = homeless(build, BuildLog(logbook))
    for lost in found:
        click.echo(f"{lost.line}; put it back into {PLAN_NAME}, or correct the entries", err=True)
    return sum(len(lost.entries) for lost in found)
