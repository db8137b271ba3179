"""`qlog match`: which pieces make which item?"""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from qlog.cli.context import opened
from qlog.cli.terminal.say import bad, on_screen, say_line
from qlog.drawing.decimals import places_for
from qlog.words.fits import (
    bound_text,
    pieces_text,
    said_of_barred,
    shortage_text,
    spread_text,
    why_barred,
    within_texts,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from qlog.drawing.callouts.callout import Callout
    from qlog.drawing.plan import Build
    from qlog.intake.bench.kept_match import Chosen, Kept
    from qlog.review.items.mating import Barred
    from qlog.review.items.within import Within
    from qlog.study.matching.model import Matching
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
    from qlog.cli.terminal.when import made_time
    from qlog.intake.bench.kept_match import keep_match, kept_match
    from qlog.intake.typed.places import named_piece
    from qlog.problem import Problem, ToSay
    from qlog.review.items.mating import barred, chosen_items, match_items, not_measured
    from qlog.review.items.within import within
    from qlog.review.whole import picture_from
    from qlog.words.catalogue import words_of

    with opened(ctx) as o:
        if not o.build.groups:
            raise Problem(ToSay("error.item_build_toml"))
        picture = picture_from(o.build, o.logbook, studied=False)
        words = words_of(o.build)
        wanted = {(part.id, number) for part, number in (named_piece(o.build, t) for t in taken)}
        left = [b for b in barred(o.build, picture.parts) if (b.part, b.piece) not in wanted]
        found = match_items(o.build, picture.parts, picture.items, taken=wanted)
        inner = within(o.build, picture.parts, found, picture.items)
        chosen = chosen_items(found, inner)
        silent = not_measured(o.build, picture.parts)
        if keep:
            keep_match(o.logbook, chosen, why=why, made=made_time(o.build, made))
        kept = kept_match(o.logbook)
    if as_json:
        from qlog.cli.terminal.say import say_json

        say_json(
            "match", {**_json(found, words), **_left_and_kept(left, silent, inner, kept, words)}
        )
    else:
        _print(o.build, found, words, inner)
        for one in left:
            say_line(f"  {bad(words)}  {said_of_barred(one, words)}")
        from qlog.cli.terminal.text import rule_of

        for id in silent:
            say_line(f"  {words('match.not_used', id=id)}")
        say_line(f"  {words('sitting.verdicts', rule=rule_of(o.build, words))}")
        if (
            kept is not None
            or any(not i.fixed for i in found.items)
            or not all(w.done for w in inner)
        ):
            say_line(f"  {_said_of_kept(kept, chosen, words, just_now=keep)}")
    wrong = found.shortages or found.joints.out or any(w.out for w in inner)
    return int(bool(wrong or silent or left))


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
    items = "; ".join(f"{words.item(i)}: {' '.join(map(words.kept, p))}" for i, p in other)
    return words("kept.differs", date=date, items=items)


def _print(build: Build, found: Matching, words: Words, inner: Sequence[Within]) -> None:
    from qlog.study.matching.model import SizeSpread

    _print_items(build, found, words)
    for held, lines in within_texts(build, inner, words):
        for line in (f"  {held}", *(f"    {line}" for line in lines)):
            say_line(line)
    c, before = found.joints, found.making_order
    proven = words("match.better_fits" if found.joints_proven else "match.fits_open")
    say_line(
        "  "
        + words(
            "match.counts",
            good=c.inside, open=c.not_proven, out=c.out, proven=proven,
            was_good=before.inside, was_open=before.not_proven, was_out=before.out,
        )
    )  # fmt: skip

    def said_of(spread: SizeSpread) -> str:
        name, callout = _sized(build, spread.id)
        about = (callout.unit.symbol, max(2, places_for(callout, callout.unit)), words)
        said = spread_text(spread, name, *about)
        return words("match.bounded", spread=said, bound=bound_text(spread, *about))

    for spread in found.spreads:
        say_line(f"  {said_of(spread)}")
    if found.spares:
        say_line(f"  {words('match.spares', pieces=pieces_text(found.spares, words))}")
    if found.unmeasured:
        say_line(f"  {words('match.unmeasured', pieces=pieces_text(found.unmeasured, words))}")
    for shortage in found.shortages:
        say_line(f"  {bad(words)}  {shortage_text(shortage, words)}")


def _print_items(build: Build, found: Matching, words: Words) -> None:
    """A row for every item: its pieces, the clearances of its joints, its overall sizes."""
    from qlog.cli.terminal.tables import print_table
    from qlog.drawing.decimals import WRITTEN, shortened
    from qlog.review.items.mating import joint_places
    from qlog.study.conformity.verdict import signed
    from qlog.words.values import verdict_name

    wanted = {j.id: (j.clearance, joint_places(build, j)) for j in build.joints}
    symbol = {j.id: j.clearance.unit.symbol for j in build.joints}
    symbol |= {s.id: s.callout.unit.symbol for s in build.stacks}
    joints = list(dict.fromkeys(j.joint for i in found.items for j in i.joints))
    stacks = list(dict.fromkeys(s.stack for i in found.items for s in i.sizes))
    rows = []
    for item in found.items:
        fits = {
            j.joint: f"{words.number(signed(j.pair.clearance, *wanted[j.joint]), symbol[j.joint])} "
            f"{verdict_name(words, j.pair.verdict)}"
            for j in item.joints
        }
        sizes = {
            s.stack: words.number(shortened(s.size, WRITTEN), symbol[s.stack])
            + (f" {words('match.measured')}" if s.measured else "")
            for s in item.sizes
        }
        cells = (
            words.item(f"{item.group}-{item.number}"),
            " ".join(words.piece(part, number) for part, number in item.pieces),
            *(fits.get(j, "") for j in joints),
            *(sizes.get(s, "") for s in stacks),
            words("match.assembled") if item.fixed else "",
        )
        rows.append(tuple(map(on_screen, cells)))
    head = (words("match.col.item"), words("match.col.pieces"))
    print_table((*head, *joints, *stacks, ""), rows, keep=(0, *range(2, 99)))


def _sized(build: Build, id: str) -> tuple[str, Callout]:
    """Name and callout of what a spread is of: a stack, or a dimension that is seen."""
    for stack in build.stacks:
        if stack.id == id:
            return stack.name, stack.callout
    part, dimension = id.split(" ")
    return id, build.part(part).dimension(dimension).callout


def _left_and_kept(
    left: Sequence[Barred],
    silent: Sequence[str],
    inner: Sequence[Within],
    kept: Kept | None,
    words: Words,
) -> dict[str, object]:
    return {
        "left_out": [{"piece": b.id, "why": why_barred(b, words), "item": b.item} for b in left],
        "not_used": list(silent),
        "items_within": {w.item: list(w.holds) for w in inner},
        "larger": [_larger(w) for w in inner],
        "kept": None
        if kept is None
        else {"on": kept.entry.made, "items": {i: list(p) for i, p in kept.items}},
    }


def _larger(one: Within) -> dict[str, object]:
    return {
        "item": one.item,
        "assembled": one.done,
        "joints": [
            {
                "joint": j.joint,
                "inside": f"{j.pair.inside.part}-{j.pair.inside.number}",
                "outside": f"{j.pair.outside.part}-{j.pair.outside.number}",
                "clearance": f"{j.pair.clearance:f}",
                "verdict": j.pair.verdict.value,
            }
            for j in one.joints
        ],
        "sizes": {s.stack: f"{s.size:f}" for s in one.sizes},
    }


def _json(found: Matching, words: Words) -> dict[str, object]:
    return {
        "items": [
            {
                "item": f"{i.group}-{i.number}",
                "pieces": [words.piece(*piece) for piece in i.pieces],
                "assembled": bool(i.fixed),
                "joints": {
                    j.joint: {"clearance": f"{j.pair.clearance:f}", "verdict": j.pair.verdict.value}
                    for j in i.joints
                },
                "sizes": {s.stack: f"{s.size:f}" for s in i.sizes},
            }
            for i in found.items
        ],
        "spares": [words.piece(*piece) for piece in found.spares],
        "spreads": [
            {
                "of": s.id,
                "reached": f"{s.reached:f}",
                "bound": f"{s.bound:f}",
                "in_making_order": None if s.in_making_order is None else f"{s.in_making_order:f}",
            }
            for s in found.spreads
        ],
        "shortages": [shortage_text(s, words) for s in found.shortages],
        "proven": found.proven,
    }
