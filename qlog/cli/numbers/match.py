"""`qlog match`: which pieces make which item?"""

from __future__ import annotations

import json
import sys
from typing import TYPE_CHECKING

import click

from qlog.cli.context import opened

if TYPE_CHECKING:
    from qlog.study.matching.match import Matching


@click.command("match")
@click.option(
    "--with",
    "taken",
    multiple=True,
    metavar="PIECE",
    help="Take this piece although it failed or is away; may be given again.",
)
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@click.pass_context
def command(ctx: click.Context, taken: tuple[str, ...], as_json: bool) -> int:
    """Choose the pieces of every item: fits first, then items as alike as can be.

    What is assembled stays put; [[keep]] in build.toml keeps pieces together or apart. Pieces
    that are out or no-go and that nobody decided to use as they are, and pieces still sent out,
    are left out and named. The exit status is 1 when there are such, when a joint is out, an item
    cannot be filled, or a joint or stack was not used because it was not measured.

    \b
    Example:
      qlog match
    """
    from qlog.cli.handing_over.barred import said_of, why_barred
    from qlog.intake.typed.places import named_piece
    from qlog.problem import Problem
    from qlog.review.assemble import assemble
    from qlog.review.items.mating import barred, match_items, not_measured

    with opened(ctx) as o:
        picture = assemble(o.build, o.logbook, studied=False)
    if not o.build.groups:
        raise Problem("no [[item]] in build.toml: nothing says what goes into a finished thing")
    wanted = {(part.id, number) for part, number in (named_piece(o.build, t) for t in taken)}
    left = [b for b in barred(o.build, picture.parts) if (b.part, b.piece) not in wanted]
    found = match_items(o.build, picture.parts, picture.items, taken=wanted)
    silent = not_measured(o.build, picture.parts)
    if as_json:
        json.dump(
            {
                **_json(found),
                "left_out": [{"piece": b.id, "why": why_barred(b), "item": b.item} for b in left],
                "not_used": list(silent),
            },
            sys.stdout,
            indent=2,
            ensure_ascii=False,
        )
        click.echo()
    else:
        _print(found)
        from qlog.cli.terminal.say import words_for

        for one in left:
            click.echo(f"  !! {said_of(one)}")
        from qlog.cli.terminal.text import rule_of

        for id in silent:
            click.echo(f"  {id} not used, not measured: not all of its dimensions have been read")
        click.echo(f"  verdicts by the {rule_of(o.build, words_for(o.build))}")
    return int(bool(found.shortages or found.joints.out or silent or left))


def _print(found: Matching) -> None:
    from qlog.cli.terminal.tables import print_table
    from qlog.study.matching.match import gained, spare_words

    joints = list(dict.fromkeys(j.joint for i in found.items for j in i.joints))
    stacks = list(dict.fromkeys(s.stack for i in found.items for s in i.sizes))
    rows = []
    for item in found.items:
        pieces = " ".join(f"{part}-{number}" for part, number in item.pieces)
        fits = {j.joint: f"{j.pair.clearance:+f} {j.pair.verdict.value}" for j in item.joints}
        sizes = {s.stack: f"{s.size:f}" + (" measured" if s.measured else "") for s in item.sizes}
        state = "assembled" if item.fixed else ""
        rows.append(
            (
                f"{item.group}-{item.number}",
                pieces,
                *(fits.get(j, "") for j in joints),
                *(sizes.get(s, "") for s in stacks),
                state,
            )
        )
    print_table(("item", "pieces", *joints, *stacks, ""), rows, keep=(0, *range(2, 99)))
    c, before = found.joints, found.making_order
    proven = (
        "no choice has better fits" if found.joints_proven else "more steps might find better ones"
    )
    click.echo(
        f"  joints: {c.inside} in, {c.not_proven} not proven, {c.out} out ({proven}); in making "
        f"order {before.inside} in, {before.not_proven} not proven, {before.out} out"
    )
    for spread in found.spreads:
        bound = (
            "as small as it can be" if spread.proven else f"at best {spread.bound.normalize():f}"
        )
        click.echo(f"  {gained(spread, spread.id)} ({bound})")
    if found.spares:
        click.echo(f"  spare: {spare_words(found.spares)}")
    if found.unmeasured:
        click.echo(f"  left out, a size is missing: {spare_words(found.unmeasured)}")
    for shortage in found.shortages:
        click.echo(f"  !! {shortage}")


def _json(found: Matching) -> dict[str, object]:
    return {
        "items": [
            {
                "item": f"{i.group}-{i.number}",
                "pieces": [f"{part}-{number}" for part, number in i.pieces],
                "assembled": bool(i.fixed),
                "joints": {
                    j.joint: {
                        "clearance": f"{j.pair.clearance:f}",
                        "verdict": j.pair.verdict.value,
                    }
                    for j in i.joints
                },
                "sizes": {s.stack: f"{s.size:f}" for s in i.sizes},
            }
            for i in found.items
        ],
        "spares": [f"{part}-{number}" for part, number in found.spares],
        "spreads": [
            {
                "of": s.id,
                "reached": f"{s.reached:f}",
                "bound": f"{s.bound:f}",
                "in_making_order": None if s.in_making_order is None else f"{s.in_making_order:f}",
            }
            for s in found.spreads
        ],
        "shortages": list(found.shortages),
        "proven": found.proven,
    }
