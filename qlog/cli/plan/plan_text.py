"""The plan laid out for the terminal."""

from __future__ import annotations

from collections.abc import Sequence

import click

from qlog.cli.terminal.say import words_for
from qlog.cli.terminal.tables import print_table
from qlog.cli.terminal.text import limits, limits_of, rule_of
from qlog.drawing.callouts.callout import Callout
from qlog.drawing.general_tolerance import name as general_name
from qlog.drawing.limits import format_exact
from qlog.drawing.other_unit import in_other_unit
from qlog.drawing.plan import Build, Dimension, Part
from qlog.words.catalogue import Words


def print_plan(build: Build, parts: Sequence[Part], *, both: bool = False) -> None:
    """Print routes and dimensions of the parts given; `both` shows limits in both units."""
    general = f", {general_name(build.general)} where nothing is written" if build.general else ""
    click.echo(f"{build.title}: verdicts by the {rule_of(build, words_for(build))}{general}")
    for part in parts:
        _print_part(build, part, both)
    if len(parts) == len(build.parts):
        _print_joints(build)


def _print_part(build: Build, part: Part, both: bool) -> None:
    material = build.material(part.material).name if part.material else ""
    facts = ", ".join(
        f for f in (part.drawing, material, f"{part.needed} needed + {part.spare} spare") if f
    )
    click.echo(f"\n{part.id}: {part.name} ({facts})")
    for op in part.operations:
        extra = [w for w in (op.machine, f"sent to {op.sent_out}" if op.sent_out else "") if w]
        if op.photos or op.photos_each:
            extra.append(f"photos: {op.photos}" if op.photos else f"{op.photos_each} photo a piece")
        if op.irreversible:
            extra.append("cannot be undone")
        click.echo(f"  op {op.number:<3} {op.name}" + (f"  [{'; '.join(extra)}]" if extra else ""))
    rows = []
    for dimension in part.dimensions:
        for requirement in dimension.requirements:
            callout = requirement.callout
            rows.append(
                (
                    str(dimension.number),
                    dimension.id,
                    dimension.name,
                    callout.text,
                    _limits(callout, words_for(build), both),
                    _width(callout),
                    str(requirement.op),
                    (dimension.instrument or "-")
                    + (f", every {dimension.every}" if dimension.every > 1 else ""),
                    _whence(dimension, callout),
                )
            )
        rows += [
            ("", "", f"  to {part.named(e.piece)}", e.callout.text,
             _limits(e.callout, words_for(build), both), _width(e.callout),
             str(dimension.op), "", "")
            for e in dimension.earlier
        ]  # fmt: skip
    print_table(
        ("no", "id", "dimension", "callout", "limits", "width", "op", "instrument", "from"),
        rows,
        right=(0, 5, 6),
        keep=(1, 4),
    )


def _whence(dimension: Dimension, callout: Callout) -> str:
    """Where the limits come from, and what the size is computed from."""
    said = [callout.source] if callout.source != "as written" else []
    if dimension.derived is not None:
        taken = [i.dimension or f"{i.value}" for i in dimension.derived.inputs]
        said.append(f"{dimension.derived.rule}({', '.join(taken)})")
    return "; ".join(said)


def _width(callout: Callout) -> str:
    width = callout.limits.width
    return "-" if width is None or callout.attribute else format_exact(width, callout.unit)


def _limits(callout: Callout, words: Words, both: bool) -> str:
    """The limits of a callout, with those in the other unit behind them when both are asked for."""
    shown = limits_of(callout, words)
    other = in_other_unit(callout.limits) if both and not callout.attribute else None
    return f"{shown} = {limits(other, words)}" if other is not None else shown


def _print_joints(build: Build) -> None:
    if build.joints:
        click.echo("\njoints")
    for joint in build.joints:
        inside, outside = joint.inside, joint.outside
        wanted = limits(joint.clearance, words_for(build))
        click.echo(
            f"  {joint.id}: {outside.part}.{outside.dimension} in {inside.part}."
            f"{inside.dimension}, clearance {wanted} ({joint.text})"
        )
    if build.stacks:
        click.echo("\nstacks")
    for stack in build.stacks:
        terms = " ".join(
            f"{'+' if sign > 0 else '-'} {f.part}.{f.dimension}" for sign, f in stack.terms
        ).removeprefix("+ ")
        click.echo(f"  {stack.id}: {terms} = {stack.callout.text}")
