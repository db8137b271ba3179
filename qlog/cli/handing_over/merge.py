"""`qlog merge`: two logbooks of one build made one."""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from qlog.cli.context import build_folder, load_plan, say_brought_up, who_enters
from qlog.cli.terminal.say import say_line
from qlog.logbook.own_words import Own
from qlog.problem import ToSay
from qlog.words.catalogue import words_of

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
    words = words_of(build)
    ours = build_folder(ctx.find_root().obj) / FILE_NAME
    found = other_log(other)
    if found.resolve() == ours.resolve():
        raise click.UsageError(ToSay("error.logbook_itself_name"))
    say_brought_up(check_version(ours), ours.parent)
    with tempfile.TemporaryDirectory(prefix="qlog-merge-") as scratch:
        merged = merge(ours, found, Path(scratch))
    if merged.entries:
        entries = words.count("n.entries", merged.entries)
        photos = words.count("n.photos", merged.photos)
        say_line(words("merge.taken", entries=entries, photos=photos, backup=merged.backup))
    else:
        say_line(words("merge.nothing"))
    person = who_enters(ctx, build)
    with Logbook(ours, revision=build.revision, source=build.source, person=person) as log:
        differ, same = clashes(log)
        for entry in same:
            log.withdraw(entry.id, Own.ENTERED_TWICE)
        if same:
            say_line(words("merge.same", n=len(same)))
        left = _choose(log, differ, keep, words)
    if left:
        say_line(words("merge.left", n=left))
    return int(bool(left))


def _choose(log: Logbook, differ: Sequence[Clash], keep: str | None, words: Words) -> int:
    """Put every clash side by side, and withdraw the one that does not hold; how many are left."""
    from qlog.cli.terminal.prompt import Keyboard, on_terminal
    from qlog.words.entries import entry_text

    left = 0
    for clash in differ:
        op = getattr(clash.first.fact, "op", None)
        say_line(words("merge.clash_op", op=op) if op else words("merge.clash"))
        for key, entry in (("merge.first", clash.first), ("merge.second", clash.second)):
            date, who = words.moment(entry.made), entry.person
            made = words("merge.by", date=date, who=who) if who else words("merge.made", date=date)
            say_line(f"  {words(key):<7} {entry_text(entry.fact, words)}, {made}")
        answer = keep[0] if keep else None
        if answer is None and on_terminal():
            with Keyboard(words) as keyboard:
                answer = (keyboard.ask(f"  {words('merge.ask')} ", "fsl") or "")[:1]
        if answer in ("f", "s"):
            loser = clash.second if answer == "f" else clash.first
            log.withdraw(loser.id, Own.OTHER_HOLDS)
        else:
            left += 1
    return left
