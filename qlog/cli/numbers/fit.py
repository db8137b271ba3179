"""`qlog fit`: will they go together?"""

from __future__ import annotations

import math
from collections.abc import Sequence
from decimal import Decimal
from typing import TYPE_CHECKING

import click

from qlog.cli.context import opened
from qlog.cli.terminal.say import bad, look, on_screen, say_line
from qlog.drawing.decimals import shortened
from qlog.problem import ToSay
from qlog.study.conformity.uncertainty import two_digits
from qlog.study.conformity.verdict import Verdict, show, signed
from qlog.words.fits import (
    aim_text,
    conflict_text,
    finish_text,
    pieces_text,
    range_text,
    window_text,
)
from qlog.words.values import limits_text, with_unit

if TYPE_CHECKING:
    from qlog.drawing.limits import Limits
    from qlog.review.items.aims import DimensionAim
    from qlog.review.items.mating import JointView, StackView
    from qlog.study.fit.joints import Pair
    from qlog.words.catalogue import Words


@click.command("fit")
@click.argument("joint", required=False)
@click.option("--for", "piece", metavar="PIECE", help="What to aim at so that PIECE will fit.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@click.pass_context
def command(ctx: click.Context, joint: str | None, piece: str | None, as_json: bool) -> int:
    """Show the clearance of every pair of live pieces, the best pairing, and the stacks.

    Each clearance in the table is good, loose, tight, or not proven with these instruments;
    `*` a pair of the best pairing, `=` assembled already: that stays put.
    --for tall-stem-6 gives the limits to aim at for a piece still to be cut. The status is 1 when
    the pieces at hand cannot all be paired.

    \b
    Example:
      qlog fit
      qlog fit slide
      qlog fit --for tall-stem-6
    """
    from qlog.intake.typed.places import PlaceError, named_piece, nearest
    from qlog.review.items.mating import joint_views, stack_views
    from qlog.review.whole import picture_from

    with opened(ctx) as o:
        picture = picture_from(o.build, o.logbook, studied=False)
    if piece is not None:
        part, number = named_piece(picture.build, piece)
        from qlog.review.items.aims import aims_for
        from qlog.words.catalogue import words_of

        found = aims_for(o.build, picture.parts, part, number, picture.experience)
        return print_aims(part.named(number), found, words_of(o.build))
    joints = joint_views(o.build, picture.parts, picture.experience)
    stacks = stack_views(o.build, picture.parts)
    if joint is not None:
        known = [v.joint.id for v in joints]
        if joint not in known:
            raise PlaceError(
                ToSay("error.joint_build_toml", joint=joint, nearest=nearest(joint, known))
            )
        joints, stacks = tuple(v for v in joints if v.joint.id == joint), ()
    if as_json:
        from qlog.words.catalogue import words_of

        words = words_of(o.build)
        from qlog.cli.terminal.say import say_json

        say_json(
            "fit",
            {
                "joints": [_json(view, words) for view in joints],
                "stacks": [_stack_json(stack) for stack in stacks],
            },
        )
    else:
        from qlog.cli.terminal.say import say_line
        from qlog.cli.terminal.text import rule_of
        from qlog.words.catalogue import words_of

        words = words_of(o.build)
        if not joints and not stacks:
            say_line(words("fit.nothing"))
        for view in joints:
            _print_joint(view, words)
        for stack in stacks:
            _print_stack(stack, words)
        if joints:
            click.echo()
            say_line(words("fit.rule", rule=rule_of(o.build, words)))
    return int(
        any(v.conflicts or v.pairing.out for v in joints if v.inside.pieces and v.outside.pieces)
    )


def _print_joint(view: JointView, words: Words) -> None:
    from qlog.cli.terminal.tables import print_grid

    joint = view.joint
    inside, outside, unit = joint.inside, joint.outside, joint.clearance.unit.symbol
    click.echo()
    say_line(
        words(
            "fit.head",
            joint=joint.id,
            outside=f"{outside.part} {outside.dimension}",
            inside=f"{inside.part} {inside.dimension}",
            limits=limits_text(words, joint.clearance),
            text=joint.text,
        )
    )
    if not view.table or not view.table[0]:
        say_line(f"  {words('fit.too_few')}")
        return
    marks = {(p.inside.number, p.outside.number): "*" for p in view.pairing.pairs}
    marks |= dict.fromkeys(view.assembled, "=")

    def cell(pair: Pair) -> str:
        size = words.number(
            signed(pair.clearance, joint.clearance, view.places), joint.clearance.unit.symbol
        )
        word = words(f"fit.{pair.verdict.name.lower()}")
        return on_screen(
            f"{size} {word}" + marks.get((pair.inside.number, pair.outside.number), " ")
        )

    rows = [(row[0].inside.id, *(cell(pair) for pair in row)) for row in view.table]
    print_grid(("", *(p.outside.id for p in view.table[0])), rows)
    best = view.pairing
    pairs = ", ".join(
        f"{words.called(p.inside.part, p.inside.number)}+"
        f"{words.called(p.outside.part, p.outside.number)}"
        for p in best.pairs
    )
    say_line(f"  {words('fit.best_assembled' if view.assembled else 'fit.best', pairs=pairs)}")
    counts = words(
        "fit.counts",
        pairs=len(best.pairs),
        wanted=best.wanted,
        good=best.count(Verdict.GOOD),
        open=best.count(Verdict.NOT_PROVEN),
        out=best.out,
    )
    if best.spread is not None:
        within = with_unit(words.number(shortened(best.spread, view.places)), unit)
        counts += f", {words('fit.within', spread=within)}"
    say_line(f"  {counts}")
    for conflict in view.conflicts:
        say_line(f"  {bad(words)}  {conflict_text(conflict, joint, view.places, words)}")
    for side in (view.inside, view.outside):
        part = side.feature.part
        if side.predicted and side.allowance is not None:
            takes = finish_text(side.allowance, unit, words)
            named = words.pieces(part, side.predicted)
            say_line(f"  {words('fit.predicted', pieces=named, finish=takes)}")
        if side.allowance_unknown:
            named = words.pieces(part, side.allowance_unknown)
            say_line(f"  {look(words)}  {words('fit.unknown', pieces=named)}")
        if side.unread:
            say_line(f"  {words('fit.unread', pieces=words.pieces(part, side.unread))}")


def _print_stack(view: StackView, words: Words) -> None:
    plan, wanted = view.budget, view.stack.callout.limits
    unit = view.stack.callout.unit.symbol
    click.echo()
    about = {"stack": view.stack.id, "name": view.stack.name}
    say_line(words("fit.stack", **about, limits=limits_text(words, wanted)))

    def between(low: Decimal | float, high: Decimal | float, more: int = 0) -> str:
        lower, upper = (
            words.number(show(Decimal(str(end)), wanted, view.places + more), unit)
            for end in (low, high)
        )
        return with_unit(range_text(words, lower, upper), unit)

    lines = []
    if plan is not None:
        lines.append(words("fit.worst", range=between(*plan.worst_limits)))
        lines.append(words("fit.rss", range=between(*plan.rss_limits, 1)))
        if (evenly := plan.evenly) is not None:
            lines.append(
                words(
                    "fit.evenly" if evenly.inside is None else "fit.evenly_inside",
                    range=between(evenly.low, evenly.high, 1),
                    # Down: what is not quite all is not said to be all.
                    inside=words.number(f"{math.floor((evenly.inside or 0) * 10_000) / 100:.2f}"),
                )
            )
        largest = plan.shares[0]
        percent = f"{largest.of_worst * 100:.0f}"
        lines.append(words("fit.largest", name=largest.name, percent=percent))
    if view.smallest is not None and view.largest is not None:
        reach = between(view.smallest.size, view.largest.size)
        lines.append(words("fit.at_hand", range=reach, possible=view.possible, out=view.out))
        if (u := view.largest.uncertainty) is not None:
            lines.append(words("fit.u", u=with_unit(words.number(two_digits(u)), unit)))
    for line in lines:
        say_line(f"  {line}")


def _json(view: JointView, words: Words) -> dict[str, object]:
    return {
        "joint": view.joint.id,
        "unit": view.joint.clearance.unit.value,
        "wanted": view.joint.text,
        "smallest": _text(view.joint.clearance.lower),
        "largest": _text(view.joint.clearance.upper),
        "pairs": [
            {
                "inside": p.inside.id,
                "outside": p.outside.id,
                "clearance": f"{p.clearance:f}",
                "verdict": p.verdict.value,
                "standard_uncertainty": _text(p.judgement.uncertainty),
                "probability_of_conformance": p.judgement.conformance_probability,
            }
            for row in view.table
            for p in row
        ],
        "best": [[p.inside.id, p.outside.id] for p in view.pairing.pairs],
        "assembled": [
            [f"{view.joint.inside.part}-{a}", f"{view.joint.outside.part}-{b}"]
            for a, b in view.assembled
        ],
        "explanations": [conflict_text(c, view.joint, view.places, words) for c in view.conflicts],
    }


def _stack_json(view: StackView) -> dict[str, object]:
    limits, plan = view.stack.callout.limits, view.budget
    return {
        "stack": view.stack.id,
        "unit": limits.unit.value,
        "smallest": _text(limits.lower),
        "largest": _text(limits.upper),
        "by_the_drawing": None
        if plan is None
        else {
            "worst_case": [f"{v:f}" for v in plan.worst_limits],
            "root_sum_square": [float(v) for v in plan.rss_limits],
            "spread_evenly": plan.evenly and [plan.evenly.low, plan.evenly.high],
            "contributors": [{"dimension": s.name, "of_worst": s.of_worst} for s in plan.shares],
        },
        "from_the_pieces": None
        if view.smallest is None or view.largest is None
        else {
            "smallest": f"{view.smallest.size:f}",
            "largest": f"{view.largest.size:f}",
            "possible": view.possible,
            "out": view.out,
            "standard_uncertainty": _text(view.largest.uncertainty),
        },
    }


def _text(value: Decimal | None) -> str | None:
    return None if value is None else f"{value:f}"


def print_aims(name: str, found: Sequence[DimensionAim], words: Words) -> int:
    """Print what to aim at for a piece; 1 when nothing fits."""
    if not found:
        say_line(words("aim.no_joint", piece=name))
        return 0
    for item in found:
        asked = limits_text(words, item.dimension.callout.limits)
        say_line(words("aim.drawing", piece=name, dimension=item.dimension.name, limits=asked))
        for line in _lines(item, words):
            say_line(f"  {line}")
    return int(any(item.limits is None for item in found))


def _lines(item: DimensionAim, words: Words) -> list[str]:
    """What to work to for one dimension, and what that does for its joints."""
    own = item.dimension.callout.unit

    def at_hand(limits: Limits) -> str:  # as the dimension is drawn and read
        return window_text(words, limits.to(own), item.places)

    said = []
    if item.limits is None or item.turned is None:
        said.append(words("aim.none"))
    else:
        said.append(words("aim.make", window=at_hand(item.turned)))
        if item.allowance is not None:
            finish = finish_text(item.allowance, item.limits.unit.symbol, words)
            window = at_hand(item.limits)
            said.append(f"   {words('aim.in_joint', finish=finish, window=window)}")
        elif item.allowance_unknown:
            said.append(f"   {look(words)}  {words('aim.unknown')}")
        if item.missed is not None:
            missed = limits_text(words, item.missed)
            said.append(f"   {look(words)}  {words('aim.missed', limits=missed)}")
    for joint, aim in item.aims:
        said.append(f"{joint}: {aim_text(aim, words)}")
        for other, mates in aim.alternatives[:2]:
            fits = pieces_text(((m.part, m.number) for m in mates), words)
            said.append(f"   {words('aim.or', window=at_hand(other), pieces=fits)}")
    return said
