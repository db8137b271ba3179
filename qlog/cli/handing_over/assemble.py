"""`qlog assemble`: pieces become an item."""

from __future__ import annotations

import click

from qlog.cli.context import opened


@click.command("assemble")
@click.argument("item")
@click.argument("pieces", nargs=-1, metavar="PIECE...")
@click.option("--as-matched", is_flag=True, help="Take the pieces that `qlog match` chooses.")
@click.option(
    "--despite",
    default="",
    metavar="TEXT",
    help="Why pieces that failed or are away go in all the same; the record shows it.",
)
@click.option("--note", "-n", default="", metavar="TEXT", help="Adhesive, press force.")
@click.option("--size", metavar="VALUE", help="Overall size measured on the finished item.")
@click.option("--stack", metavar="ID", help="Which overall size, where the plan has several.")
@click.option("--instrument", "-i", metavar="ID", help="What the overall size was measured with.")
@click.option("--why", default="", metavar="TEXT", help="Why it replaces what was entered before.")
@click.option("--made", metavar="TIME", help="When (ISO 8601), if not just now.")
@click.pass_context
def command(
    ctx: click.Context,
    item: str,
    pieces: tuple[str, ...],
    as_matched: bool,
    despite: str,
    note: str,
    size: str | None,
    stack: str | None,
    instrument: str | None,
    why: str,
    made: str | None,
) -> int:
    """Say which PIECES became ITEM, how they were joined, and what it measures overall.

    A piece that is out or no-go goes in when it was decided to be used as it is; otherwise it
    takes --despite and the reason, which the record shows beside the item. The same for a piece
    that is still sent out. An assembled piece stays where it is: it cannot be scrapped or sent
    out without saying so. Adhesives and presses: fresh air, guards and the makers' sheets come
    first.

    \b
    Example:
      qlog assemble bright-1 foot-1 stem-2 cup-1 collar-3 -n "pressed, about 4 kN"
      qlog assemble bright-1 --size 176.03
    """
    from qlog.cli.terminal.prompt import Keyboard
    from qlog.cli.terminal.questions import settled
    from qlog.cli.terminal.when import made_time
    from qlog.intake.bench.assembly import (
        AssemblyError,
        assemble_item,
        item_group,
        measure_item,
        size_question,
    )
    from qlog.intake.typed.places import instrument_of

    with opened(ctx) as o:
        time = made_time(o.build, made)
        id, _ = item_group(o.build, item)
        refused: dict[tuple[str, int], str] = {}
        if pieces or as_matched:
            from qlog.cli.handing_over.barred import why_barred
            from qlog.review.assemble import assemble
            from qlog.review.items.mating import barred, match_items

            picture = assemble(o.build, o.logbook, studied=False)
            refused = {(b.part, b.piece): why_barred(b) for b in barred(o.build, picture.parts)}
        if as_matched:
            found = match_items(o.build, picture.parts, picture.items)
            pieces = tuple(
                f"{part}-{number}"
                for i in found.items
                if f"{i.group}-{i.number}" == id
                for part, number in i.pieces
            )
            if not pieces:
                raise AssemblyError(f"the matching leaves {id} open; `qlog match` says why")
        if not pieces and size is None:
            raise click.UsageError("name the pieces, or --as-matched, or --size VALUE")
        used = None if instrument is None else instrument_of(o.build, instrument).id
        if size is not None:  # before anything is entered
            with Keyboard() as keyboard:
                size = settled(
                    keyboard, id, size, lambda t: size_question(o.build, id, stack, t, used)
                )
            if size is None:
                return 2
        if pieces:
            assemble_item(
                o.build, o.logbook, id, pieces,
                note=note, made=time, why=why, barred=refused, despite=despite,
            )  # fmt: skip
            click.echo(f"{id}: {' '.join(pieces)}")
        if size is not None:
            entry = measure_item(
                o.build, o.logbook, id, stack, size, instrument=used, made=time, why=why
            )
            click.echo(f"{id} {entry.fact.stack}: {entry.fact.value} {entry.fact.unit}")
    return 0
