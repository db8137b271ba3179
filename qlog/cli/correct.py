"""`qlog correct`: correct a reading."""

from __future__ import annotations

import click

from qlog.cli.context import opened


@click.command("correct")
@click.argument("part")
@click.argument("op")
@click.argument("dim")
@click.argument("piece")
@click.argument("value")
@click.option("--why", required=True, metavar="TEXT", help="The reason.")
@click.option("--made", metavar="TIME", help="When it was measured, if not just now.")
@click.pass_context
def command(
    ctx: click.Context,
    part: str,
    op: str,
    dim: str,
    piece: str,
    value: str,
    why: str,
    made: str | None,
) -> int:
    """Correct a reading: the new value supersedes the old one, which stays visible.

    The exit status is 1 when the corrected reading is out.

    \b
    Example:
      qlog correct cup 20 bore 4 22.033 --why "decimal slip"
    """
    from qlog.cli.echo import echo
    from qlog.intake.decisions import correct_reading
    from qlog.intake.places import dimension_of, op_of, part_of, piece_of
    from qlog.intake.readings import requirement_for

    with opened(ctx) as o:
        owner = part_of(o.build, part)
        number, dimension = op_of(owner, op).number, dimension_of(owner, dim)
        old, new = correct_reading(
            o.build, o.logbook, owner, number, dimension, piece_of(owner, piece), value, why,
            made=made,
        )  # fmt: skip
    line, bad = echo(o.build, owner, requirement_for(owner, dimension, number), new.fact)
    click.echo(f"{line}  (was {old.fact.typed})")
    return int(bad)
