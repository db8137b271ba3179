"""`qlog start`: an operation is begun."""

from __future__ import annotations

import click

from qlog.cli.context import opened


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

    with opened(ctx) as o:
        owner = part_of(o.build, part)
        operation = op_of(owner, op)
        picture = assemble(o.build, o.logbook, studied=False)
        start(o.logbook, owner, operation.number, note=note, made=made_time(o.build, made))
    ready = ready_for(picture, picture.part(owner.id), operation.number)
    tool = ", ".join(w for w in (operation.machine, operation.tool) if w)
    waiting = named(owner.id, ready.waiting) if ready.waiting else "no piece is ready for it"
    click.echo(
        f"{owner.id} op {operation.number} {operation.name}"
        + (f" ({tool})" if tool else "")
        + f": {waiting}"
    )
    if ready.missing:
        click.echo("\nmissing before it")
        for item in ready.missing:
            _warn(item.text)
            click.echo(f"     {item.remedy}")
    if ready.warnings:
        click.echo("\nmind")
        for warning in ready.warnings:
            _warn(warning)
    if ready.cautions:
        click.echo("\nsafety")
        from qlog.cli.terminal.say import on_screen, words_for
        from qlog.words.cautions import caution_texts

        for text in caution_texts(ready.cautions, words_for(picture.build)):
            caution = on_screen(text)
            click.echo(click.wrap_text(caution, 78, "  -- ", "     "))
    if ready.afterwards:
        click.echo("\nafter it")
        for line in ready.afterwards:
            click.echo(f"  {line}")
    return int(bool(ready.missing))


def _warn(text: str) -> None:
    mark = click.style("??", fg="yellow")
    click.echo(click.wrap_text(text, 78, "  ?? ", "     ").replace("??", mark, 1))
