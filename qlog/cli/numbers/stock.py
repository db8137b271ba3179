"""`qlog stock`: how many pieces are left, and is that enough?"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import click

from qlog.cli.context import opened
from qlog.cli.terminal.say import say_line
from qlog.words.catalogue import words_of

if TYPE_CHECKING:
    from qlog.review.part.stock import Stock
    from qlog.words.catalogue import Words


@click.command("stock")
@click.argument("part", required=False)
@click.option(
    "--loss", type=click.FloatRange(0, 50), default=2.0, show_default=True, metavar="PERCENT",
    help="Pieces lost at each operation, to reckon with.",
)  # fmt: skip
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@click.pass_context
def command(ctx: click.Context, part: str | None, loss: float, as_json: bool) -> int:
    """Count the pieces of every part: live, needed, spare; scrapped, reworked, used as is and why.

    The planning sum tells how likely enough of them come through the operations that are left, and
    how many more blanks would make it 95 %. The exit status is 1 when there are too few.

    \b
    Example:
      qlog stock
      qlog stock pan --loss 5
    """
    import dataclasses

    from qlog.intake.typed.places import part_of
    from qlog.problem import Problem, said_by
    from qlog.review.part.stock import stock_of
    from qlog.review.whole import picture_from

    with opened(ctx) as o:
        owner = None if part is None else part_of(o.build, part).id
        picture = picture_from(o.build, o.logbook, studied=False)
    try:
        stocks = [stock_of(v, loss / 100) for v in picture.parts if owner in (None, v.part.id)]
    except ValueError as error:
        raise Problem(said_by(error)) from error
    if as_json:
        rows = [
            {
                "part": s.part.id, "needed": s.part.needed, "live": s.live, "uncut": s.uncut,
                "finished": s.finished, "margin": s.margin, "spare": list(s.spare),
                "decided": [dataclasses.asdict(d) for d in s.decided], "loss": s.loss,
                "chance_of_enough": round(s.chance, 4), "more_blanks_for_95_percent": s.more,
            }
            for s in stocks
        ]  # fmt: skip
        from qlog.cli.terminal.say import say_json

        say_json("stock", {"parts": rows})
        return int(any(s.margin < 0 for s in stocks))
    words = words_of(o.build)
    for index, stock in enumerate(stocks):
        if index:
            click.echo()
        for line in _lines(stock, loss, words):
            say_line(line)
    return int(any(s.margin < 0 for s in stocks))


def _lines(stock: Stock, loss: float, words: Words) -> Iterator[str]:
    """The count of one part, and what is to be reckoned with."""
    from qlog.words.stock import percent

    id, needed = stock.part.id, stock.part.needed
    if stock.margin > 0:
        margin = words("status.over", n=stock.margin)
    elif stock.margin == 0:
        margin = words("status.none_over")
    else:
        margin = click.style(words("status.too_few", n=-stock.margin), fg="red")
    yield words(
        "stock.line", part=id, live=stock.live, needed=needed, margin=margin,
        finished=stock.finished, uncut=stock.uncut,
    )  # fmt: skip
    if stock.spare:
        yield f"  {words('stock.spare', pieces=stock.part.listed(stock.spare))}"
    if stock.remade:
        yield f"  {words('stock.remade', pieces=', '.join(stock.remade))}"
    for lost in stock.decided:
        name = words("stock.anew_since", piece=lost.piece) if lost.anew else lost.piece
        decision = f"{words(f'stock.{lost.decision}'):9}"
        key = "stock.decided" if lost.op is None else "stock.decided.at"
        said = words(key, decision=decision, piece=name, op=lost.op, why=lost.why)
        yield f"  {said}"
    chance, each = percent(stock.chance, words), words.number(f"{loss:g}")
    yield f"  {words('stock.reckoned', chance=chance, needed=needed, loss=each)}"
    if stock.more:
        yield f"            {words.count('blanks', stock.more)}"
