"""`qlog note`: a remark to keep."""

from __future__ import annotations

import click

from qlog.cli.context import opened


@click.command("note")
@click.argument("part")
@click.argument("text")
@click.option("--op", "-o", help="The operation that it is about.")
@click.option("--piece", "-k", help="The piece that it is about.")
@click.option("--made", metavar="TIME", help="When (ISO 8601), if not just now.")
@click.pass_context
def command(
    ctx: click.Context, part: str, text: str, op: str | None, piece: str | None, made: str | None
) -> None:
    """Keep a remark with PART, and with an operation or a piece of it.

    Notes stay in the maker's edition.

    \b
    Example:
      qlog note tall-stem "chatter near the tailstock, slower next time" --op 20
    """
    from qlog.cli.terminal.say import say_line
    from qlog.cli.terminal.when import made_time
    from qlog.intake.bench.decisions import remark
    from qlog.intake.typed.places import op_of, part_of, piece_of
    from qlog.words.catalogue import words_of

    with opened(ctx) as o:
        owner = part_of(o.build, part)
        remark(
            o.logbook,
            owner,
            text,
            op=None if op is None else op_of(owner, op).number,
            piece=None if piece is None else piece_of(owner, piece),
            made=made_time(o.build, made),
        )
        say_line(words_of(o.build)("note.noted"))
