"""`qlog start`: an operation is begun."""

from __future__ import annotations

import click

from qlog.cli.context import opened
from qlog.cli.terminal.say import look, on_screen, say_line, words_for
from qlog.words.catalogue import Words


@click.command("start")
@click.argument("part")
@click.argument("op")
@click.option("--note", "-n", default="", metavar="TEXT", help="Tool, speed, what is special.")
@click.option("--made", metavar="TIME", help="When (ISO 8601), if not just now.")
@click.pass_context
def command(ctx: click.Context, part: str, op: str, note: str, made: str | None) -> int:
    """Begin operation OP on PART: what it needs first, how to stay safe, what it will ask for.

    Photos taken from now on are proposed for it. The exit status is 1 when something is missing
    that ought to be there first: readings, photos, an earlier operation.

    \b
    Example:
      qlog start cup 20
    """
    from qlog.cli.terminal.when import made_time
    from qlog.counting import pieces as named
    from qlog.intake.bench.route import start
    from qlog.intake.typed.places import op_of, part_of
    from qlog.review.assemble import assemble
    from qlog.review.part.ready import ready_for
    from qlog.words.cautions import caution_texts
    from qlog.words.ready import afterwards_texts, lacking_text, warning_texts

    with opened(ctx) as o:
        owner = part_of(o.build, part)
        operation = op_of(owner, op)
        picture = assemble(o.build, o.logbook, studied=False)
        start(o.logbook, owner, operation.number, note=note, made=made_time(o.build, made))
    ready = ready_for(picture, picture.part(owner.id), operation.number)
    words = words_for(picture.build)
    op = words("op.part", part=owner.id, op=operation.number, name=operation.name)
    if tool := ", ".join(w for w in (operation.machine, operation.tool) if w):
        op = words("start.tool", op=op, tool=tool)
    waiting = named(owner, ready.waiting) if ready.waiting else words("start.none")
    say_line(words("start.line", op=op, waiting=waiting))
    if ready.lacking:
        say_line(f"\n{words('start.missing')}")
        for one in ready.lacking:
            text, remedy = lacking_text(ready, one, words)
            _look(text, words)
            say_line(f"     {remedy}")
    if warnings := warning_texts(ready, words):
        say_line(f"\n{words('start.mind')}")
        for warning in warnings:
            _look(warning, words)
    if ready.cautions:
        say_line(f"\n{words('start.safety')}")
        for text in caution_texts(ready.cautions, words):
            click.echo(click.wrap_text(on_screen(text), 78, "  -- ", "     "))
    if afterwards := afterwards_texts(ready, words):
        say_line(f"\n{words('start.after')}")
        for line in afterwards:
            say_line(f"  {line}")
    return int(bool(ready.lacking))


def _look(text: str, words: Words) -> None:
    """A line that asks to be looked at, its further lines under its first."""
    mark = words("weight.warn")
    said = click.wrap_text(on_screen(text), 78, f"  {mark} ", "     ")
    click.echo(said.replace(mark, look(words), 1))
