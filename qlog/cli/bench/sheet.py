"""`qlog sheet`: paper for the bench."""

from __future__ import annotations

from pathlib import Path

import click

from qlog.cli.context import opened


@click.command("sheet")
@click.argument("part")
@click.argument("op")
@click.option(
    "--out", "-o", metavar="FILE", type=click.Path(path_type=Path, dir_okay=False),
    help="Where to write it; by default sheet-PART-opOP.html in the build's folder.",
)  # fmt: skip
@click.option(
    "--paper", type=click.Choice(["a4", "letter"]),
    help="Size of the page, if not that of the build.",
)  # fmt: skip
@click.pass_context
def command(ctx: click.Context, part: str, op: str, out: Path | None, paper: str | None) -> None:
    """Write a sheet to print for operation OP of PART: cautions, limits, blank cells, notes.

    Open it in any browser and print it. The code on it ties a photo of the filled-in sheet to its
    place when `qlog photo add` takes it in. A sheet of the same name is written over, any other
    file is left alone.

    \b
    Example:
      qlog sheet cup 20
      qlog sheet cup 20 --out cup-bores.html --paper letter
    """
    from qlog.cli.terminal.say import say_line
    from qlog.intake.photos.slate import Slate, build_id, make_svg, payload
    from qlog.intake.typed.places import op_of, part_of
    from qlog.problem import Problem, said_by
    from qlog.record.pages.paper.bench_sheet import paper_sheet
    from qlog.review.whole import picture_from
    from qlog.words.catalogue import words_of
    from qlog.writing import write_page

    with opened(ctx) as o:
        owner = part_of(o.build, part)
        number = op_of(owner, op).number
        view = picture_from(o.build, o.logbook, studied=False).part(owner.id)
        try:
            slate = Slate(owner.id, number, build=build_id(o.build.title), sheet=True)
            code = make_svg(payload(slate), title=f"{owner.id} {number}")
        except ValueError as error:
            raise Problem(said_by(error)) from error
        text = paper_sheet(o.build, view, number, code, paper=paper)
        path = out or o.build.folder / f"sheet-{owner.id}-op{number}.html"
    write_page(text, path)
    say_line(words_of(o.build)("sheet.made", file=path))
