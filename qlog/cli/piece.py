"""`qlog piece`: decide about a piece."""

from __future__ import annotations

import click

from qlog.cli.context import opened


@click.command("piece")
@click.argument("piece", metavar="PIECE")
@click.argument("decision", type=click.Choice(["scrap", "rework", "use-as-is"]))
@click.option("--why", default="", metavar="TEXT", help="The reason; asked for by every decision.")
@click.option("--op", help="The operation at which it was decided.")
@click.option("--made", metavar="TIME", help="When (ISO 8601), if not just now.")
@click.option("--assembled", is_flag=True, help="Even though it is built into an item.")
@click.pass_context
def command(
    ctx: click.Context,
    piece: str,
    decision: str,
    why: str,
    op: str | None,
    made: str | None,
    assembled: bool,
) -> None:
    """Decide about PIECE (foot-3): scrap, rework or use as is, with the reason.

    \b
    Example:
      qlog piece collar-6 scrap --op 20 --why "bored too large"
    """
    from qlog.intake.decisions import DECISIONS, dispose
    from qlog.intake.places import named_piece, op_of

    with opened(ctx) as o:
        part, number = named_piece(o.build, piece)
        operation = None if op is None else op_of(part, op).number
        dispose(
            o.logbook,
            part,
            number,
            DECISIONS[decision],
            why,
            op=operation,
            made=made,
            even_assembled=assembled,
        )
        from qlog.intake.route import scrapped

        live = len(part.pieces) - len(scrapped(o.logbook, part))
    click.echo(f"{part.id}-{number}: {DECISIONS[decision]}")
    if decision == "scrap":
        margin = live - part.needed
        left = f"{margin} to spare" if margin >= 0 else f"{-margin} more to be made"
        click.echo(f"{live} {part.id} pieces left, {part.needed} needed: {left}")
