"""The plan laid out for the terminal."""

from __future__ import annotations

from collections.abc import Sequence

import click

from qlog.cli.terminal.say import say_line
from qlog.cli.terminal.tables import print_table
from qlog.cli.terminal.text import limits, limits_of, rule_of
from qlog.drawing.callouts.callout import AS_WRITTEN, Callout
from qlog.drawing.general_tolerance import name as general_name
from qlog.drawing.limits import format_exact
from qlog.drawing.other_unit import in_other_unit
from qlog.drawing.plan import Build, Dimension, Part
from qlog.words.catalogue import Words, words_of
from qlog.words.values import source_text


def print_plan(build: Build, parts: Sequence[Part], *, both: bool = False) -> None:
    """Print routes and dimensions of the parts given; `both` shows limits in both units."""
    words = words_of(build)
    general = general_name(build.general) if build.general else ""
    key = "plan.head_general" if general else "plan.head"
    say_line(words(key, title=build.title, rule=rule_of(build, words), general=general))
    for part in parts:
        _print_part(build, part, both, words)
    if len(parts) == len(build.parts):
        _print_joints(build, words)


def _print_part(build: Build, part: Part, both: bool, words: Words) -> None:
    material = build.material(part.material).name if part.material else ""
    counts = words("plan.counts", needed=part.needed, spare=part.spare)
    facts = ", ".join(f for f in (part.drawing, material, counts) if f)
    click.echo(f"\n{part.id}: {part.name} ({facts})")
    if part.marks:
        said = words("plan.marks", marks=", ".join(part.marks))
        click.echo(f"  {said}" + (f" ({part.mark_place})" if part.mark_place else ""))
    for op in part.operations:
        extra = [
            op.machine or "",
            words("plan.sent", who=op.sent_out) if op.sent_out else "",
            words("plan.photos", n=op.photos) if op.photos else "",
            words("plan.photos_each", n=op.photos_each) if op.photos_each and not op.photos else "",
            words("plan.irreversible") if op.irreversible else "",
        ]
        said = "; ".join(one for one in extra if one)
        line = words("plan.op", op=op.number, name=op.name)
        say_line(f"  {line}  [{said}]" if said else f"  {line}")
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
                    _limits(callout, words, both),
                    _width(callout, words),
                    str(requirement.op),
                    (dimension.instrument or "-")
                    + (
                        f", {words('plan.every', n=dimension.every)}" if dimension.every > 1 else ""
                    ),
                    _whence(dimension, callout, words),
                )
            )
        rows += [
            ("", "", f"  {words('plan.earlier', piece=part.named(e.piece))}", e.callout.text,
             _limits(e.callout, words, both), _width(e.callout, words),
             str(dimension.op), "", "")
            for e in dimension.earlier
        ]  # fmt: skip
    columns = (
        "no", "id", "dimension", "callout", "limits", "width", "op", "instrument", "from",
    )  # fmt: skip
    print_table(
        tuple(words(f"plan.col.{name}") for name in columns), rows, right=(0, 5, 6), keep=(1, 4)
    )


def _whence(dimension: Dimension, callout: Callout, words: Words) -> str:
    """Where the limits come from, and what the size is computed from."""
    said = [source_text(callout, words)] if callout.source != AS_WRITTEN else []
    if dimension.derived is not None:
        taken = [i.dimension or f"{i.value}" for i in dimension.derived.inputs]
        said.append(f"{dimension.derived.rule}({', '.join(taken)})")
    return "; ".join(said)


def _width(callout: Callout, words: Words) -> str:
    width = callout.limits.width
    return (
        "-"
        if width is None or callout.attribute
        else words.number(format_exact(width, callout.unit))
    )


def _limits(callout: Callout, words: Words, both: bool) -> str:
    """The limits of a callout, with those in the other unit behind them when both are asked for."""
    shown = limits_of(callout, words)
    other = in_other_unit(callout.limits) if both and not callout.attribute else None
    return f"{shown} = {limits(other, words)}" if other is not None else shown


def _print_joints(build: Build, words: Words) -> None:
    if build.joints:
        click.echo(f"\n{words('plan.joints')}")
    for joint in build.joints:
        inside, outside = joint.inside, joint.outside
        about = {
            "inside": f"{inside.part}.{inside.dimension}",
            "outside": f"{outside.part}.{outside.dimension}",
            "limits": limits(joint.clearance, words),
        }
        say_line(f"  {words('plan.joint', joint=joint.id, text=joint.text, **about)}")
    if build.stacks:
        click.echo(f"\n{words('plan.stacks')}")
    for stack in build.stacks:
        terms = " ".join(
            f"{'+' if sign > 0 else '-'} {f.part}.{f.dimension}" for sign, f in stack.terms
        ).removeprefix("+ ")
        click.echo(f"  {stack.id}: {terms} = {stack.callout.text}")
