"""`qlog send`: pieces go out for an operation."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from qlog.cli.context import opened
from qlog.cli.terminal.say import look, say_line
from qlog.problem import ToSay

if TYPE_CHECKING:
    from collections.abc import Set

    from qlog.review.part.batch import Batch
    from qlog.words.catalogue import Words


@click.command("send")
@click.argument("part")
@click.argument("op")
@click.argument("pieces", required=False)
@click.option("--to", "who", help="Who does it, if not the plan's `sent-out`.")
@click.option("--note", "-n", default="", metavar="TEXT", help="What was agreed.")
@click.option("--made", metavar="TIME", help="When (ISO 8601), if not just now.")
@click.option("--assembled", is_flag=True, help="Even pieces that are built into an item.")
@click.option(
    "--sheet", metavar="FILE", type=click.Path(path_type=Path),
    help="Write a delivery note and a receiving sheet to print (.html).",
)  # fmt: skip
@click.option("--mask", "masked", multiple=True, metavar="TEXT", help="To be kept free of it.")
@click.option("--ask", is_flag=True, help="Only say what would happen; send nothing.")
@click.pass_context
def command(
    ctx: click.Context,
    part: str,
    op: str,
    pieces: str | None,
    who: str | None,
    note: str,
    made: str | None,
    assembled: bool,
    sheet: Path | None,
    masked: tuple[str, ...],
    ask: bool,
) -> int:
    """Count PIECES of PART out for operation OP; by default all that are ready for it.

    Says first what is still unread, which pieces the ordered layer would push out of limits, and
    how many could be lost. The exit status is 1 when any piece is so flagged.

    \b
    Example:
      qlog send pan 40 --ask
      qlog send pan 40 --sheet parcel.html --mask "the rim"
      qlog send pan 40 1-5,7-9 --to "the plating shop"
    """
    from qlog.cli.terminal.when import made_time
    from qlog.intake.bench.shipments import ShipmentError, send, waiting
    from qlog.intake.typed.places import op_of, part_of, pieces_of
    from qlog.logbook.part_log import PartLog
    from qlog.review.whole import picture_from
    from qlog.words.catalogue import words_of

    with opened(ctx) as o:
        owner = part_of(o.build, part)
        operation = op_of(owner, op)
        taker = who or operation.sent_out
        if not taker:
            raise ShipmentError(
                ToSay("error.build_toml_names", number=operation.number, owner=owner.id)
            )
        numbers = None if pieces is None else pieces_of(owner, pieces)
        view = picture_from(o.build, o.logbook, studied=False).part(owner.id)
        ready, held = waiting(PartLog.read(o.logbook, owner), operation.number)
        going = set(ready if numbers is None else numbers)
        words = words_of(o.build)
        if numbers is None and ready and held:
            say_line(f"-- {words('send.stay', pieces=owner.listed(held))}")
        flagged = _layers_ahead(view, operation.number, going, words)
        margin = view.margin
        if margin <= 0:
            say_line(f"{look(words)}  {words('send.no_spare', part=owner.id)}")
        elif operation.irreversible:
            say_line(f"-- {words('send.irreversible', n=margin, part=owner.id)}")
        if ask:
            return int(bool(flagged))
        if masked and sheet is None:
            raise click.UsageError(ToSay("error.mask_on_sheet"))
        if sheet is not None:  # the place is tried before anything is entered
            from qlog.writing import PAGE_MARK, write_page

            write_page(f"<!doctype html>{PAGE_MARK}", sheet)
        parcel = send(
            o.logbook, owner, operation.number, numbers, taker, note=note,
            made=made_time(o.build, made), even_assembled=assembled,
        )  # fmt: skip
        if sheet is not None:
            from qlog.logbook.store import now_utc
            from qlog.record.pages.paper.shipment_sheet import shipment_sheet

            page = shipment_sheet(
                o.build, view, operation.number, parcel.id, parcel.who, parcel.out,
                day=made_time(o.build, made) or now_utc(), note=note, masked=masked,
            )  # fmt: skip
            write_page(page, sheet)
            say_line(words("sheet.made", file=sheet))
    about = {"parcel": parcel.id, "n": len(parcel.out), "who": parcel.who}
    say_line(words("send.out", pieces=owner.listed(parcel.out), **about))
    return int(bool(flagged))


def _layers_ahead(view: Batch, op: int, going: Set[int], words: Words) -> int:
    """Say which pieces the layer takes, or may take, out of their limits; answers how many."""
    from qlog.review.part.finishes import finish_views

    flagged = 0
    for finish in finish_views(view, op):
        name, unit = finish.dimension.name, finish.limits.unit.symbol
        for f in finish.ahead:
            if f.piece in going and (f.pushed_out or f.may_be_out):
                flagged += 1
                said = words(
                    "send.will_be_out" if f.pushed_out else "send.may_be_out",
                    piece=view.part.named(f.piece),
                    name=name,
                    before=f"{words.number(f.before, unit)} {unit}",
                    smallest=words.number(f.smallest, unit),
                    largest=words.number(f.largest, unit),
                )
                say_line(f"{look(words)}  {said}")
        unread = sorted(going - set(finish.before))
        if unread:
            said = words("send.unread", pieces=view.part.listed(unread), name=name)
            say_line(f"{look(words)}  {said}")
    return flagged
