"""`qlog stock`: how many pieces are left, and is that enough?"""

from __future__ import annotations

import click

from qlog.cli.context import opened


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
    import json

    from qlog.intake.typed.places import part_of
    from qlog.problem import Problem
    from qlog.review.assemble import assemble
    from qlog.review.part.stock import blanks, percent, stock_of

    with opened(ctx) as o:
        owner = None if part is None else part_of(o.build, part).id
        picture = assemble(o.build, o.logbook, studied=False)
    try:
        stocks = [stock_of(v, loss / 100) for v in picture.parts if owner in (None, v.part.id)]
    except ValueError as error:
        raise Problem(str(error)) from error
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
        click.echo(json.dumps(rows, indent=2, ensure_ascii=False))
        return int(any(s.margin < 0 for s in stocks))
    from qlog.counting import pieces as named

    for index, s in enumerate(stocks):
        id, needed = s.part.id, s.part.needed
        over = f"{s.margin} over" if s.margin > 0 else "none over"
        over = over if s.margin >= 0 else click.style(f"!! {-s.margin} too few", fg="red")
        click.echo(
            f"{chr(10) if index else ''}{id}: {s.live} live for {needed} needed, {over}; "
            f"{s.finished} finished, {s.uncut} not begun"
        )
        if s.spare:
            click.echo(f"  spare     {named(id, s.spare)}, while the others hold")
        if s.remade:
            click.echo(f"  anew      {', '.join(s.remade)}")
        for lost in s.decided:
            word = {"scrap": "scrapped", "rework": "reworked", "use as is": "as it is"}
            at = f" at op {lost.op}" if lost.op is not None else ""
            click.echo(f"  {word[lost.decision]:9} {lost.piece}{at}: {lost.why}")
        click.echo(
            f"  reckoned  {percent(s.chance)} that {needed} come through what is left, with "
            f"{loss:g} % lost at each operation"
        )
        if s.more:
            click.echo(f"            {blanks(s.more)} would make it 95 %")
    return int(any(s.margin < 0 for s in stocks))
