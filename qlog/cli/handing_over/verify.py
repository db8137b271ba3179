"""`qlog verify`: is everything that was entered still there and unharmed?"""

from __future__ import annotations

from pathlib import Path

import click

from qlog.cli.context import PLAN_NAME, build_folder
from qlog.counting import count


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
    from qlog.cli.context import name_other_logs, say_brought_up
    from qlog.cli.terminal.progress import progress
    from qlog.intake.typed.values import means
    from qlog.logbook.keeping.verify import verify
    from qlog.logbook.log_file import FILE_NAME
    from qlog.logbook.opening import check_version

    folder = build_folder(ctx.find_root().obj)
    say_brought_up(check_version(folder / FILE_NAME))
    name_other_logs(folder)
    with progress("photos") as advance:
        found = verify(folder, folder / FILE_NAME, advance, means)
    for damage in found.damage:
        click.echo(f"{damage.where}: {damage.what}; {damage.remedy}", err=True)
    for stray in found.strays:
        click.echo(f"{stray.relative_to(folder)}: not in the logbook (harmless)")
    for remark in found.remarks:
        click.echo(f"{FILE_NAME}: {remark} (harmless)")
    lost = 0 if found.damage else _without_home(folder)
    good = "all sound" if not found.damage else f"{len(found.damage)} damaged or missing"
    if lost:
        good += f", but {count(lost, 'entry', 'entries')} without a home in build.toml"
    click.echo(f"{found.entries} entries, {found.photos} photos: {good}")
    if found.entries:
        click.echo(f"head: entry {found.head.entries}, sum {found.head.sum}")
    return int(bool(found.damage or lost))


def _without_home(folder: Path) -> int:
    """Name the entries whose part, operation or dimension the plan has not; how many there are."""
    from qlog.cli.terminal.say import on_screen, words_for
    from qlog.drawing.build_file.load import PlanError, load
    from qlog.logbook.build_log import BuildLog
    from qlog.logbook.store import FILE_NAME, Logbook
    from qlog.review.homeless import homeless
    from qlog.words.findings import lost_text

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
    words = words_for(build)
    for lost in found:
        said = f"{lost_text(lost, words)}; {words('remedy.not_in_the_plan')}"
        click.echo(on_screen(said), err=True)
    return sum(len(lost.entries) for lost in found)
