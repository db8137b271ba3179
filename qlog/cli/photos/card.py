"""`qlog card`: cards to photograph first, so that the photos after them find their place."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from qlog.cli.context import load_plan
from qlog.cli.photos.bench_page import render
from qlog.cli.terminal.say import say_line
from qlog.intake.typed.places import op_of, part_of, pieces_of
from qlog.problem import ToSay
from qlog.writing import write_page

if TYPE_CHECKING:
    from collections.abc import Iterator

    from qlog.drawing.plan import Build, Operation, Part
    from qlog.intake.photos.slate import Slate
    from qlog.words.catalogue import Words


@click.command("card")
@click.argument("part", required=False)
@click.argument("op", required=False)
@click.argument("pieces", required=False, metavar="[PIECE]")
@click.option(
    "--out",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="Where the sheet goes; by default cards.html in the build's folder, - prints it.",
)
@click.option(
    "--mat", is_flag=True,
    help="A mat with a numbered place for each piece of PART: one photo is cut into all of them.",
)  # fmt: skip
@click.option(
    "--paper",
    type=click.Choice(["a4", "letter"]),
    help="Four cards a sheet: A6 on A4, or quarters of Letter; by default the build's paper.",
)
@click.pass_context
def command(
    ctx: click.Context,
    part: str | None,
    op: str | None,
    pieces: str | None,
    out: Path | None,
    mat: bool,
    paper: str | None,
) -> int:
    """Make a sheet of slate cards to print and cut: a code and the same in words.

    Photograph the card, then the work: what the same camera takes after it belongs there, until
    the next card or a pause of two hours. The photo of the card itself stays out of the record.
    Without PART: a card for every operation of every part. PIECE may be 3, 1-5 or all.

    A mat is laid under the whole batch: one photo of it is rectified, white-balanced and cut into
    one picture a piece, and kept whole as well.

    \b
    Example:
      qlog card
      qlog card foot 20
      qlog card cup 20 1-10 --out cup-cards.html
      qlog card --mat cup
    """
    from qlog.intake.photos import slate
    from qlog.intake.photos.work import GAP
    from qlog.words.catalogue import words_of

    build = load_plan(ctx)
    paper = paper or build.paper
    words = words_of(build)
    if mat:
        return _mats(build, part, op, pieces, out, paper, words)
    cards = slate.cards(_places(build, part, op, pieces, words))
    size = "A4" if paper == "a4" else "Letter"
    page = render(
        "cards.html",
        t=words,
        language=words.language,
        title=build.title,
        sheets=[cards[i : i + 4] for i in range(0, len(cards), 4)],
        paper=paper,
        size=size,
        hours=int(GAP.total_seconds() // 3600),
    )
    if _printed(page, out):
        return 0
    target = out if out is not None else build.folder / "cards.html"
    write_page(page, target)
    say_line(
        words(
            "card.made",
            file=target,
            cards=words.count("n.cards", len(cards)),
            sheets=words.count("n.sheets", -(-len(cards) // 4)),
            paper=size,
        )
    )
    return 0


def _printed(page: str, out: Path | None) -> bool:
    """Whether the page was asked for on the output, and is there now."""
    asked = out is not None and str(out) == "-"
    if asked:
        click.echo(page, nl=False)
    return asked


def _mats(
    build: Build,
    part: str | None,
    op: str | None,
    pieces: str | None,
    out: Path | None,
    paper: str,
    words: Words,
) -> int:
    """The mat of a part, on as many sheets as its pieces need."""
    from qlog.intake.photos.mats.mat_places import PAPERS
    from qlog.intake.photos.mats.printed import sheets_of

    if part is None:
        raise click.UsageError(ToSay("error.name_part_whose"))
    owner = part_of(build, part)
    operation = None if op is None else op_of(owner, op)
    numbers = pieces_of(owner, pieces or "all")
    if list(numbers) != list(range(numbers[0], numbers[-1] + 1)):
        raise click.UsageError(ToSay("error.pieces_mat_follow"))

    def lines(first: int, last: int) -> tuple[str, ...]:
        of = () if operation is None else (_operation(operation, words),)
        return (owner.name, *of, words("mat.pieces", first=first, last=last))

    sheets = sheets_of(build, owner, operation, numbers[0], numbers[-1], paper, lines)
    width, height = PAPERS[paper]
    page = render(
        "mat.html",
        t=words,
        language=words.language,
        size="A4" if paper == "a4" else "Letter",
        title=f"{build.title}: {owner.name}",
        paper=paper,
        width=width,
        height=height,
        sheets=sheets,
    )
    if _printed(page, out):
        return 0
    target = out if out is not None else build.folder / f"mat-{owner.id}.html"
    write_page(page, target)
    places, papers = words.count("n.places", len(numbers)), words.count("n.sheets", len(sheets))
    say_line(words("mat.made", file=target, places=places, sheets=papers))
    return 0


def _places(
    build: Build, part: str | None, op: str | None, pieces: str | None, words: Words
) -> Iterator[tuple[Slate, tuple[str, ...]]]:
    """The places that are asked for, with the words of each card."""
    from qlog.intake.photos.slate import Slate, build_id

    own = build_id(build.title)
    for owner in build.parts if part is None else (part_of(build, part),):
        for operation in owner.operations if op is None else (op_of(owner, op),):
            if pieces is None:
                yield (
                    Slate(owner.id, operation.number, build=own),
                    _words(owner, operation, None, words),
                )
                continue
            for piece in pieces_of(owner, pieces):
                slate = Slate(owner.id, operation.number, piece, build=own)
                yield slate, _words(owner, operation, piece, words)


def _words(part: Part, operation: Operation, piece: int | None, words: Words) -> tuple[str, ...]:
    whole = words("card.all") if piece is None else words("card.piece", piece=part.called(piece))
    return part.name, _operation(operation, words), whole


def _operation(operation: Operation, words: Words) -> str:
    return words("op.name", op=operation.number, name=operation.name)
