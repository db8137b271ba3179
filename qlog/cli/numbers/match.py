"""`qlog match`: which pieces make which item?"""

from __future__ import annotations

import json
import sys
from typing import TYPE_CHECKING

import click

from qlog.cli.context import opened
from qlog.drawing.decimals import places_for

if TYPE_CHECKING:
    from collections.abc import Sequence

    from qlog.drawing.plan import Build
    from qlog.intake.bench.kept_match import Chosen, Kept
    from qlog.study.matching.match import Matching
    from qlog.words.catalogue import Words


@click.command("match")
@click.option(
    "--with",
    "taken",
    multiple=True,
    metavar="PIECE",
    help="Take this piece although it failed or is away; may be given again.",
)
@click.option(
    "--keep",
    is_flag=True,
    help="Keep this choice in the log: what `qlog assemble --as-matched` takes.",
)
@click.option("--why", default="", metavar="TEXT", help="Why it replaces the choice kept before.")
@click.option("--made", metavar="TIME", help="When it was kept (ISO 8601), if not just now.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@click.pass_context
def command(
    ctx: click.Context,
    taken: tuple[str, ...],
    keep: bool,
    why: str,
    made: str | None,
    as_json: bool,
) -> int:
    """Choose the pieces of every item: fits first, then items as alike as can be.

    What is assembled stays put; [[keep]] in build.toml keeps pieces together or apart. Pieces
    that are out or no-go and that nobody decided to use as they are, and pieces still sent out,
    are left out and named. The exit status is 1 when there are such, when a joint is out, an item
    cannot be filled, or a joint or stack was not used because it was not measured.

    The choice changes with every reading. --keep freezes the one that is shown: lay out the
    pieces, then `qlog assemble --as-matched` enters these and no others. A choice kept before
    stays in the log, and another one takes --why.

    \b
    Example:
      qlog match
      qlog match --keep
    """
    from qlog.cli.terminal.say import bad, say_line, words_for
    from qlog.cli.terminal.when import made_time
    from qlog.intake.bench.kept_match import keep_match, kept_match
    from qlog.intake.typed.places import named_piece
    from qlog.problem import Problem
    from qlog.review.assemble import assemble
    from qlog.review.items.mating import barred, chosen_items, match_items, not_measured
    from qlog.words.barred import said_of_barred, why_barred

    with opened(ctx) as o:
        if not o.build.groups:
            raise Problem("no [[item]] in build.toml: nothing says what goes into a finished thing")
        picture = assemble(o.build, o.logbook, studied=False)
        words = words_for(o.build)
        wanted = {(part.id, number) for part, number in (named_piece(o.build, t) for t in taken)}
        left = [b for b in barred(o.build, picture.parts) if (b.part, b.piece) not in wanted]
        found = match_items(o.build, picture.parts, picture.items, taken=wanted)
        silent = not_measured(o.build, picture.parts)
        if keep:
            keep_match(o.logbook, chosen_items(found), why=why, made=made_time(o.build, made))
        kept = kept_match(o.logbook)
    if as_json:
        json.dump(
            {
                **_json(found),
                "left_out": [
                    {"piece": b.id, "why": why_barred(b, words), "item": b.item} for b in left
                ],
                "not_used": list(silent),
                "kept": None
                if kept is None
                else {"on": kept.entry.made, "items": {i: list(p) for i, p in kept.items}},
            },
            sys.stdout,
            indent=2,
            ensure_ascii=False,
        )
        click.echo()
    else:
        _print(o.build, found)
        for one in left:
            say_line(f"  {bad(words)}  {said_of_barred(one, words)}")
        from qlog.cli.terminal.text import rule_of

        for id in silent:
            click.echo(f"  {id} not used, not measured: not all of its dimensions have been read")
        click.echo(f"  verdicts by the {rule_of(o.build, words)}")
        if kept is not None or any(not i.fixed for i in found.items):
            say_line(f"  {_said_of_kept(kept, chosen_items(found), words, just_now=keep)}")
    return int(bool(found.shortages or found.joints.out or silent or left))


def _said_of_kept(
    kept: Kept | None, shown: Sequence[Chosen], words: Words, *, just_now: bool
) -> str:
    """Whether the choice that is shown is the one that will be assembled."""
    if kept is None:
        return words("kept.none")
    if just_now:
        return words("kept.now")
    date, now = words.date(kept.entry.made), dict(shown)
    other = [(i, p) for i, p in kept.items if set(p) != set(now.get(i, ()))]
    if not other:
        return words("kept.stands", date=date)
    items = "; ".join(f"{words.item(i)}: {_called(p, words)}" for i, p in other)
    return words("kept.differs", date=date, items=items)


def _called(pieces: Sequence[str], words: Words) -> str:
    """Pieces of a kept match as they are called now."""
    return " ".join(words.kept(piece) for piece in pieces)


def _by_part(pieces: Sequence[tuple[str, int]], words: Words) -> str:
    parts: dict[str, list[int]] = {}
    for part, number in pieces:
        parts.setdefault(part, []).append(number)
    return ", ".join(words.pieces(part, numbers) for part, numbers in parts.items())


def _print(build: Build, found: Matching) -> None:
    from qlog.cli.terminal.say import bad, words_for
    from qlog.cli.terminal.tables import print_table
    from qlog.drawing.decimals import WRITTEN, shortened
    from qlog.review.items.mating import joint_places
    from qlog.study.conformity.verdict import signed
    from qlog.study.matching.match import gained

    words = words_for(build)
    wanted = {j.id: (j.clearance, joint_places(build, j)) for j in build.joints}
    joints = list(dict.fromkeys(j.joint for i in found.items for j in i.joints))
    stacks = list(dict.fromkeys(s.stack for i in found.items for s in i.sizes))
    rows = []
    for item in found.items:
        pieces = " ".join(words.piece(part, number) for part, number in item.pieces)
        fits = {
            j.joint: f"{signed(j.pair.clearance, *wanted[j.joint])} {j.pair.verdict.value}"
            for j in item.joints
        }
        sizes = {
            s.stack: f"{shortened(s.size, WRITTEN):f}" + (" measured" if s.measured else "")
            for s in item.sizes
        }
        state = "assembled" if item.fixed else ""
        rows.append(
            (
                words.item(f"{item.group}-{item.number}"),
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
        f"  joints: {c.inside} good, {c.not_proven} not proven, {c.out} out ({proven}); in making "
        f"order {before.inside} good, {before.not_proven} not proven, {before.out} out"
    )
    for spread in found.spreads:
        bound = (
            "as small as it can be"
            if spread.proven
            else f"at best {shortened(spread.bound.normalize(), WRITTEN):f}"
        )
        click.echo(f"  {gained(spread, spread.id, _places(build, spread.id))} ({bound})")
    if found.spares:
        click.echo(f"  spare: {_by_part(found.spares, words)}")
    if found.unmeasured:
        click.echo(f"  left out, a size is missing: {_by_part(found.unmeasured, words)}")
    for shortage in found.shortages:
        click.echo(f"  {bad(words)}  {shortage}")


def _places(build: Build, id: str) -> int:
    """Places of a spread: those of its stack's or its dimension's callout, two at least."""
    for stack in build.stacks:
        if stack.id == id:
            return max(2, places_for(stack.callout, stack.callout.unit))
    part, dimension = id.split(" ")
    callout = build.part(part).dimension(dimension).callout
    return max(2, places_for(callout, callout.unit))


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
