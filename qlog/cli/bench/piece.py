"""`qlog piece`: what became of a piece, and what is decided about it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from qlog.cli.context import opened

if TYPE_CHECKING:
    from qlog.review.part.history import Event


@click.command("piece")
@click.argument("piece", metavar="PIECE")
@click.argument(
    "decision", type=click.Choice(["scrap", "rework", "use-as-is", "remake"]), required=False
)
@click.option("--why", default="", metavar="TEXT", help="The reason; asked for by every decision.")
@click.option("--op", help="The operation at which it was decided.")
@click.option("--made", metavar="TIME", help="When (ISO 8601), if not just now.")
@click.option("--assembled", is_flag=True, help="Even though it is built into an item.")
@click.pass_context
def command(
    ctx: click.Context,
    piece: str,
    decision: str | None,
    why: str,
    op: str | None,
    made: str | None,
    assembled: bool,
) -> int:
    """Show the history of PIECE (foot-3), or decide about it: scrap, rework, use as is, remake.

    `remake` gives the number to a piece that is made anew: it begins empty, and what was logged of
    the first one is kept under it. A decision needs its reason. The exit status of a history is 1
    when a reading in it is out and nothing was decided, or when something in it names what
    build.toml has not. A piece of a part that build.toml has no longer is shown by the name that
    it had.

    \b
    Example:
      qlog piece pan-6
      qlog piece pan-6 scrap --op 20 --why "bored too large"
    """
    from qlog.cli.terminal.when import made_time
    from qlog.intake.bench.decisions import DECISIONS, dispose
    from qlog.intake.typed.places import PlaceError, named_piece, op_of

    with opened(ctx) as o:
        if decision is None:
            from qlog.review.part.history import history_named

            history = history_named(o.build, o.logbook, piece)
            if history is None:  # neither planned nor logged: say which pieces there are
                named_piece(o.build, piece)
                raise PlaceError(f"no piece {piece}")
            click.echo(f"{history.name}: {history.state}")
            for event in history.events:
                _print(event)
            for earlier in history.earlier:
                click.echo(f"made before under this number: {earlier.state}")
                for event in earlier.events:
                    _print(event)
            if not history.events:
                click.echo("  nothing logged yet")
            return int(history.undecided or history.lost)
        part, number = named_piece(o.build, piece)
        if decision == "remake":
            from qlog.intake.bench.decisions import remake

            entry = remake(o.logbook, part, number, why, made=made_time(o.build, made))
            click.echo(f"{part.id}-{number} is made anew; what was logged of the first is kept")
            click.echo(f"taken back by: qlog undo {entry.id} --why ...")
            return 0
        operation = None if op is None else op_of(part, op).number
        dispose(
            o.logbook,
            part,
            number,
            DECISIONS[decision],
            why,
            op=operation,
            made=made_time(o.build, made),
            even_assembled=assembled,
        )
        from qlog.intake.bench.route import scrapped

        live = len(part.pieces) - len(scrapped(o.logbook, part))
    click.echo(f"{part.id}-{number}: {DECISIONS[decision]}")
    if decision == "scrap":
        margin = live - part.needed
        left = f"{margin} to spare" if margin >= 0 else f"{-margin} more to be made"
        click.echo(f"{live} {part.id} pieces left, {part.needed} needed: {left}")
    return 0


def _print(event: Event) -> None:
    from qlog.cli.terminal.text import verdict

    op = "" if event.op is None else f"op {event.op}"
    word = f"  {verdict(event.verdict)}" if event.verdict else ""
    click.echo(f"  {event.day}  {op:6}  {event.text}{word}")
