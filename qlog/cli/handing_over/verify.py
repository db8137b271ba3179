"""`qlog verify`: is everything that was entered still there and unharmed?"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from qlog.cli.context import PLAN_NAME, build_folder
from qlog.cli.terminal.say import on_screen, say_line, words_at

if TYPE_CHECKING:
    from qlog.logbook.keeping.verify import Verified
    from qlog.words.catalogue import Words


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
    from qlog.cli.terminal.say import progress
    from qlog.intake.typed.parse import means
    from qlog.logbook.keeping.verify import verify
    from qlog.logbook.log_file import FILE_NAME
    from qlog.logbook.opening import check_version
    from qlog.words.problems import damage_text, in_words

    folder = build_folder(ctx.find_root().obj)
    say_brought_up(check_version(folder / FILE_NAME), folder)
    name_other_logs(folder)
    words = words_at(folder)
    with progress(words("progress.photos")) as advance:
        found = verify(folder, folder / FILE_NAME, advance, means)
    for damage in found.damage:
        say_line(damage_text(damage, words), err=True)
    for stray in found.strays:
        say_line(words("verify.stray", path=stray.relative_to(folder)))
    for remark in found.remarks:
        say_line(words("verify.remark", file=FILE_NAME, remark=in_words(words, remark)))
    lost = 0 if found.damage else _without_home(folder, words)
    say_line(verified_text(found, words, lost))
    if found.entries:
        say_line(words("verify.head", entry=found.head.entries, sum=found.head.sum))
    return int(bool(found.damage or lost))


def verified_text(found: Verified, words: Words, lost: int = 0) -> str:
    """What was looked at and how it stands; `lost` entries have no home in the plan."""
    harmed = len(found.damage)
    state = words("verify.harmed", n=harmed) if harmed else words("verify.sound")
    if lost:
        state = words("verify.homeless", state=state, entries=words.count("n.entries", lost))
    entries = words.count("n.entries", found.entries)
    photos = words.count("n.photos", found.photos)
    return words("verify.found", entries=entries, photos=photos, state=state)


def _without_home(folder: Path, words: Words) -> int:
    """Name the entries whose part, operation or dimension the plan has not; how many there are."""
    from qlog.drawing.build_file.load import PlanError, load
    from qlog.logbook.build_log import BuildLog
    from qlog.logbook.store import FILE_NAME, Logbook
    from qlog.review.homeless import homeless
    from qlog.words.findings import lost_remedy, lost_text

    if not (folder / PLAN_NAME).exists():
        return 0
    try:
        build = load(folder / PLAN_NAME)
    except PlanError:
        click.echo(on_screen(words("verify.plan_unreadable", file=PLAN_NAME)), err=True)
        return 0
    with Logbook(folder / FILE_NAME) as logbook:
        found = homeless(build, BuildLog(logbook))
    for lost in found:
        said = f"{lost_text(lost, words)}; {lost_remedy(lost, words)}"
        click.echo(on_screen(said), err=True)
    return sum(len(lost.entries) for lost in found)
