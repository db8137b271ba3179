"""`qlog undo`: take back what was entered by mistake."""

from __future__ import annotations

import click

from qlog.cli.context import opened


@click.command("undo")
@click.argument("entries", nargs=-1, metavar="[ENTRY]...")
@click.option("--why", default="", metavar="TEXT", help="The reason.")
@click.option("--most", default=10, show_default=True, help="How many are listed.")
@click.pass_context
def command(ctx: click.Context, entries: tuple[str, ...], why: str, most: int) -> None:
    """Take ENTRY back: the wrong piece scrapped, an operation marked too early.

    Without ENTRY the newest are listed with their numbers. An entry taken back stays in the
    logbook with the reason. A reading is better corrected (`qlog correct`), a photo put elsewhere
    (`qlog photo place`).

    \b
    Example:
      qlog undo
      qlog undo 41-48 --why "that was op 30"
    """
    from qlog.cli.terminal.say import say_line
    from qlog.intake.bench.take_back import newest, take_back
    from qlog.intake.typed.places import numbers_of
    from qlog.words.catalogue import words_of
    from qlog.words.entries import entry_text

    with opened(ctx) as o:
        words = words_of(o.build)
        if entries:
            for entry in take_back(o.logbook, numbers_of(" ".join(entries)), why):
                say_line(words("sitting.taken_back", entry=entry_text(entry.fact, words)))
            return
        found = newest(o.logbook, most)
    for entry in found:
        say_line(f"{entry.id:>6}  {entry.entered[:10]}  {entry_text(entry.fact, words)}")
    if not found:
        say_line(words("undo.none"))
