"""`qlog back`: pieces come back."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from qlog.cli.context import opened

if TYPE_CHECKING:
    from qlog.review.part.finishes import FinishView


@click.command("back")
@click.argument("part")
@click.argument("op")
@click.argument("pieces", required=False)
@click.option("--sizes", is_flag=True, help="Only show what the finish did to the sizes.")
@click.option("--note", "-n", default="", metavar="TEXT", help="How they came back.")
@click.option("--made", metavar="TIME", help="When (ISO 8601), if not just now.")
@click.pass_context
def command(
    ctx: click.Context,
    part: str,
    op: str,
    pieces: str | None,
    sizes: bool,
    note: str,
    made: str | None,
) -> int:
    """Count PIECES of PART in after operation OP; by default all that are away.

    They have then had the operation. --sizes shows, once they are read again, the paired change
    with its interval and the layer that it implies. The exit status is 1 while some are away.

    \b
    Example:
      qlog back pan 40
      qlog back pan 40 --sizes
    """
    from qlog.cli.terminal.when import made_time
    from qlog.counting import pieces as named
    from qlog.intake.bench.shipments import parcels, take_back
    from qlog.intake.typed.places import op_of, part_of, pieces_of
    from qlog.review.assemble import assemble
    from qlog.review.part.finishes import finish_views

    with opened(ctx) as o:
        owner = part_of(o.build, part)
        operation = op_of(owner, op)
        if not sizes:
            numbers = None if pieces is None else pieces_of(owner, pieces)
            take_back(
                o.logbook, owner, operation.number, numbers, note=note,
                made=made_time(o.build, made),
            )  # fmt: skip
        found = parcels(o.logbook, owner, operation.number)
        view = assemble(o.build, o.logbook, studied=False).part(owner.id)
    for parcel in found:
        away = f", {named(owner.id, parcel.away)} still away" if parcel.away else ", all back"
        click.echo(f"{parcel.id}: {len(parcel.out)} out, {len(parcel.back)} back{away}")
    finishes = finish_views(view, operation.number)
    for finish in finishes:
        _print_change(finish)
    wanted = owner.read_after(operation.number)
    if not sizes and wanted:
        click.echo(f"now read them: qlog read {owner.id} {operation.number}")
    return int(any(parcel.away for parcel in found))


def _print_change(finish: FinishView) -> None:
    layer = finish.layer
    if layer is None:
        return
    unit = finish.limits.unit.symbol
    change = layer.change
    click.echo(
        f"{finish.dimension.name}: changed by {change.mean:+.4f} {unit} on {change.n} pieces "
        f"(95 %: {change.interval.low:+.4f} to {change.interval.high:+.4f})"
    )
    ordered = finish.operation.layer
    asked = (
        ""
        if ordered is None
        else (
            f", ordered {ordered.lower or 0:f} to {ordered.upper:f} {ordered.unit.symbol}"
            if ordered.upper is not None
            else ""
        )
    )
    click.echo(
        f"  layer of {layer.thickness:.4f} {unit} a surface "
        f"({layer.interval.low:.4f} to {layer.interval.high:.4f}){asked}: {layer.verdict.value}"
    )
