"""`qlog fit`: will they go together?"""

from __future__ import annotations

import json
import sys
from decimal import Decimal
from typing import TYPE_CHECKING

import click

from qlog.cli.context import opened
from qlog.drawing.decimals import shortened
from qlog.study.conformity.uncertainty import two_digits
from qlog.study.conformity.verdict import show, signed

if TYPE_CHECKING:
    from qlog.review.items.mating import JointView, StackView
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
    from qlog.review.assemble import assemble
    from qlog.review.items.mating import joint_views, stack_views

    with opened(ctx) as o:
        picture = assemble(o.build, o.logbook, studied=False)
    if piece is not None:
        part, number = named_piece(picture.build, piece)
        from qlog.cli.numbers.fit_aims import print_aims
        from qlog.cli.terminal.say import words_for
        from qlog.review.items.aims import aims_for

        found = aims_for(o.build, picture.parts, part, number, picture.experience)
        return print_aims(part.named(number), found, words_for(o.build))
    joints = joint_views(o.build, picture.parts, picture.experience)
    stacks = stack_views(o.build, picture.parts)
    if joint is not None:
        known = [v.joint.id for v in joints]
        if joint not in known:
            raise PlaceError(f"no joint {joint!r} in build.toml; {nearest(joint, known)}")
        joints, stacks = tuple(v for v in joints if v.joint.id == joint), ()
    if as_json:
        answer = [*map(_json, joints), *map(_stack_json, stacks)]
        json.dump(answer, sys.stdout, indent=2, ensure_ascii=False)
        click.echo()
    else:
        from qlog.cli.terminal.say import words_for

        if not joints and not stacks:
            click.echo("no joints and no stacks in build.toml")
        for view in joints:
            _print_joint(view, words_for(o.build))
        for stack in stacks:
            _print_stack(stack, words_for(o.build))
        if joints:
            from qlog.cli.terminal.text import rule_of

            rule = rule_of(o.build, words_for(o.build))
            click.echo(f"\nverdicts by the {rule}, with both readings' uncertainty")
    return int(
        any(v.explanations or v.pairing.out for v in joints if v.inside.pieces and v.outside.pieces)
    )


def _print_joint(view: JointView, words: Words) -> None:
    from qlog.cli.numbers.fit_aims import finish_takes
    from qlog.cli.terminal.say import bad, look
    from qlog.cli.terminal.tables import print_grid
    from qlog.cli.terminal.text import limits

    joint = view.joint
    inside, outside = joint.inside, joint.outside
    click.echo(
        f"\n{joint.id}: {outside.part} {outside.dimension} in {inside.part} {inside.dimension}, "
        f"wanted clearance {limits(joint.clearance, words)} ({joint.text})"
    )
    if not view.table or not view.table[0]:
        click.echo("  not enough readings yet")
        return
    marks = {(p.inside.number, p.outside.number): "*" for p in view.pairing.pairs}
    marks |= dict.fromkeys(view.assembled, "=")
    rows = [
        (
            row[0].inside.id,
            *(
                f"{signed(pair.clearance, joint.clearance, view.places)} "
                f"{words(f'fit.{pair.verdict.name.lower()}')}"
                + marks.get((pair.inside.number, pair.outside.number), " ")
                for pair in row
            ),
        )
        for row in view.table
    ]
    print_grid(("", *(p.outside.id for p in view.table[0])), rows)
    best = view.pairing
    pairs = ", ".join(
        f"{words.called(p.inside.part, p.inside.number)}+"
        f"{words.called(p.outside.part, p.outside.number)}"
        for p in best.pairs
    )
    click.echo(f"  best pairing (*{', = assembled' if view.assembled else ''}): {pairs}")
    counts = [f"{len(best.pairs)} of {best.wanted} pairs"]
    for verdict in ("good", "not proven"):
        number = sum(p.verdict.value == verdict for p in best.pairs)
        counts.append(f"{number} {verdict}")
    counts.append(f"{best.out} out")
    if best.spread is not None:
        within = shortened(best.spread, view.places)
        counts.append(f"clearance within {within:f} {joint.clearance.unit.symbol}")
    click.echo(f"  {', '.join(counts)}")
    for sentence in view.explanations:
        click.echo(f"  {bad(words)}  {sentence}")
    for side in (view.inside, view.outside):
        if side.predicted and side.allowance is not None:
            named = ", ".join(words.called(side.feature.part, n) for n in side.predicted)
            takes = finish_takes(side.allowance, joint.clearance.unit.symbol)
            click.echo(f"  {side.feature.part} {named}: predicted, {takes}")
        if side.allowance_unknown:
            named = ", ".join(words.called(side.feature.part, n) for n in side.allowance_unknown)
            click.echo(
                f"  {look(words)}  {side.feature.part} {named}: as they are now, allowance "
                "unknown: a finish is still to come, and no piece has shown yet what it does"
            )
        if side.unread:
            click.echo(f"  {side.feature.part} {', '.join(map(str, side.unread))}: not read yet")


def _print_stack(view: StackView, words: Words) -> None:
    from qlog.cli.terminal.text import limits

    unit = view.stack.callout.unit.symbol
    click.echo(
        f"\n{view.stack.id}: {view.stack.name}, wanted {limits(view.stack.callout.limits, words)}"
    )
    plan, wanted = view.budget, view.stack.callout.limits

    def between(low: Decimal | float, high: Decimal | float, more: int = 0) -> str:
        ends = (Decimal(str(end)) for end in (low, high))
        return f"{' .. '.join(show(end, wanted, view.places + more) for end in ends)} {unit}"

    if plan is not None:
        low, high = plan.worst_limits
        rlow, rhigh = plan.rss_limits
        click.echo(f"  by the drawing: worst case {between(low, high)}")
        click.echo(f"                  root sum square {between(rlow, rhigh, 1)}")
        sim = plan.simulation
        if sim is not None:
            inside = "" if sim.inside is None else f", {sim.inside * 100:.2f} % inside"
            click.echo(
                f"                  simulated {between(sim.low, sim.high, 1)} "
                f"({sim.trials} trials, sizes {sim.shape.value} in their limits){inside}"
            )
        largest = plan.shares[0]
        share = f"{largest.of_worst * 100:.0f} % of the worst case"
        click.echo(f"  largest contributor: {largest.name}, {share}")
    if view.smallest is not None and view.largest is not None:
        click.echo(
            f"  from the pieces at hand: {between(view.smallest.size, view.largest.size)} "
            f"({view.possible} possible, {view.out} out)"
        )
        u = view.largest.uncertainty
        if u is not None:
            click.echo(f"  standard uncertainty of each: {two_digits(u):f} {unit}")


def _json(view: JointView) -> dict[str, object]:
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
        "explanations": list(view.explanations),
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
            "simulated": None
            if plan.simulation is None
            else [float(plan.simulation.low), float(plan.simulation.high)],
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
