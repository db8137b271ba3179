"""`qlog merge`: two logbooks of one build made one."""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from qlog.cli.context import build_folder, load_plan, say_brought_up
from qlog.cli.terminal.say import words_for

if TYPE_CHECKING:
    from qlog.logbook.keeping.merge import Clash
    from qlog.logbook.store import Logbook
    from qlog.words.catalogue import Words


@click.command("merge")
@click.argument("other", type=click.Path(path_type=Path))
@click.option("--keep", type=click.Choice(["first", "second"]), help="Which of two values holds.")
@click.pass_context
def command(ctx: click.Context, other: Path, keep: str | None) -> int:
    """Take over what this logbook lacks of OTHER: a build's folder, or a logbook's file.

    OTHER is only read. Photos come along. Where both say different things of one place, both are
    shown and you choose one; without a terminal --keep chooses, first being the one entered
    earlier. The exit status is 1 while such places are open. Merge on both computers: both then
    have the same log.

    \b
    Example:
      qlog merge E:/candlesticks
      qlog merge "logbook (copy of the laptop).db"
    """
    from qlog.logbook.keeping.merge import clashes, merge, other_log
    from qlog.logbook.log_file import FILE_NAME
    from qlog.logbook.opening import check_version
    from qlog.logbook.store import Logbook

    build = load_plan(ctx)
    ours = build_folder(ctx.find_root().obj) / FILE_NAME
    found = other_log(other)
    if found.resolve() == ours.resolve():
        raise click.UsageError("that is this logbook itself; name the other one")
    say_brought_up(check_version(ours))
    with tempfile.TemporaryDirectory(prefix="qlog-merge-") as scratch:
        merged = merge(ours, found, Path(scratch))
    if merged.entries:
        click.echo(f"{merged.entries} entries and {merged.photos} photos taken over; a copy of "
                   f"before is {merged.backup}")  # fmt: skip
    else:
        click.echo("nothing was missing here")
    person = ctx.find_root().params.get("person") or ""
    with Logbook(ours, revision=build.revision, source=build.source, person=person) as log:
        differ, same = clashes(log)
        for entry in same:
            log.withdraw(entry.id, "merge: entered on both computers")
        if same:
            click.echo(f"{len(same)} entered on both computers: taken once")
        left = _choose(log, differ, keep, words_for(build))
    if left:
        click.echo(f"{left} places say two things; merge again and choose, or --keep first|second")
    return int(bool(left))


def _choose(log: Logbook, differ: Sequence[Clash], keep: str | None, words: Words) -> int:
    """Put every clash side by side, and withdraw the one that does not hold; how many are left."""
    from qlog.cli.terminal.prompt import Keyboard, on_terminal
    from qlog.logbook.store import describe, describe_key

    people = log.people()
    left = 0
    for clash in differ:
        click.echo(f"{describe_key(clash.first.fact)}:")
        for name, entry in (("first", clash.first), ("second", clash.second)):
            who = f" by {people[entry.id]}" if people.get(entry.id) else ""
            click.echo(f"  {name:<6} {describe(entry.fact)}  made {entry.made[:16]}{who}")
        answer = keep[0] if keep else None
        if answer is None and on_terminal():
            with Keyboard(words) as keyboard:
                answer = (keyboard.ask("  which holds? f first, s second, l later> ", "fsl") or "")[
                    :1
                ]
        if answer in ("f", "s"):
            loser = clash.second if answer == "f" else clash.first
            log.withdraw(loser.id, "merge: the other one holds")
        else:
            left += 1
    return left
