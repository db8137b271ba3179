"""`qlog back`: pieces come back."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from qlog.cli.context import opened
from qlog.cli.terminal.say import say_line

if TYPE_CHECKING:
    from qlog.review.part.finishes import FinishView
    from qlog.words.catalogue import Words


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
    from qlog.intake.bench.shipments import parcels, take_back
    from qlog.intake.typed.places import op_of, part_of, pieces_of
    from qlog.logbook.part_log import PartLog
    from qlog.review.part.finishes import finish_views
    from qlog.review.whole import picture_from
    from qlog.words.catalogue import words_of

    with opened(ctx) as o:
        owner = part_of(o.build, part)
        operation = op_of(owner, op)
        if not sizes:
            numbers = None if pieces is None else pieces_of(owner, pieces)
            take_back(
                o.logbook, owner, operation.number, numbers, note=note,
                made=made_time(o.build, made),
            )  # fmt: skip
        found = parcels(PartLog.read(o.logbook, owner), operation.number)
        view = picture_from(o.build, o.logbook, studied=False).part(owner.id)
    words = words_of(o.build)
    for parcel in found:
        rest = words("back.all")
        if parcel.away:
            rest = words("back.away", pieces=owner.listed(parcel.away))
        out, back = len(parcel.out), len(parcel.back)
        say_line(words("back.line", parcel=parcel.id, out=out, back=back, rest=rest))
    finishes = finish_views(view, operation.number)
    for finish in finishes:
        _print_change(finish, words)
    wanted = owner.read_after(operation.number)
    if not sizes and wanted:
        say_line(words("back.read", part=owner.id, op=operation.number))
    return int(any(parcel.away for parcel in found))


def _print_change(finish: FinishView, words: Words) -> None:
    from qlog.words.values import limits_text

    layer = finish.layer
    if layer is None:
        return
    unit, change = finish.limits.unit.symbol, layer.change

    def number(value: float) -> str:
        return words.number(f"{value:.4f}", unit)

    said = words(
        "back.changed",
        name=finish.dimension.name,
        mean=f"{_signed(change.mean, words, unit)} {unit}",
        pieces=words.count("n.pieces", change.n),
        low=_signed(change.interval.low, words, unit),
        high=_signed(change.interval.high, words, unit),
    )
    say_line(said)
    about = {
        "thickness": f"{number(layer.thickness)} {unit}",
        "low": number(layer.interval.low),
        "high": number(layer.interval.high),
        "verdict": words(f"layer.{layer.verdict.name.lower()}"),
    }
    asked, key = finish.operation.layer, "back.layer"
    if asked is not None and asked.upper is not None:
        key, about["ordered"] = "back.layer.ordered", limits_text(words, asked)
    say_line(f"  {words(key, **about)}")


def _signed(value: float, words: Words, unit: str) -> str:
    return f"{'' if value < 0 else '+'}{words.number(f'{value:.4f}', unit)}"
