"""`qlog add`: a part, an operation, a dimension and the like, written into build.toml."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from qlog.cli.context import build_folder
from qlog.drawing.editing import additions
from qlog.intake.typed.places import instrument_of, op_of, part_of
from qlog.problem import Either, ToSay
from qlog.words.catalogue import words_of

if TYPE_CHECKING:
    from qlog.drawing.editing.plan_file import PlanFile
    from qlog.drawing.plan import Build
    from qlog.words.catalogue import Words


@click.group("add")
def command() -> None:
    """Add to the plan: a part, an operation, a dimension, an instrument, a joint, items.

    What is not said is asked for on a terminal. Remarks and order of build.toml stay as they are,
    and nothing is written that cannot be read back.

    \b
    Example:
      qlog add dim cup bore "Ø22 +0.05/0" --after 20 --with bore-gauge
      qlog add part --from ../bowls saucer
    """


@command.command("part")
@click.argument("id", required=False)
@click.option("--name", help="As screen and record show it.")
@click.option("--needed", type=click.IntRange(1, 1000), help="Pieces that the set needs.")
@click.option("--spare", type=click.IntRange(0, 1000), help="Pieces made besides.")
@click.option("--material", help="NAME of a material of the plan.")
@click.option("--op", "op", help="Name of its first operation.")
@click.option("--from", "other", metavar="DIR", type=click.Path(path_type=Path), help=(
    "Copy it from another build, with the instruments and the material it needs."))  # fmt: skip
@click.pass_context
def part(
    ctx: click.Context,
    id: str | None,
    name: str | None,
    needed: int | None,
    spare: int | None,
    material: str | None,
    op: str | None,
    other: Path | None,
) -> None:
    """Add a part with its first operation.

    \b
    Example:
      qlog add part cup --needed 8 --spare 2 --op "turn outside"
      qlog add part cup --from ../last-years-set
    """
    plan = _plan(ctx)
    id = _said(id, "ask.part_id", "ID", plan)
    if other is not None:
        copied = additions.copy_part(plan, _other(other), id)
        plan.save()
        click.echo(_words(plan)("add.copied", names=", ".join(copied)))
        return
    needed = needed or int(_said(None, "ask.needed", "--needed", plan))
    values = _given(id=id, name=name, material=material, needed=needed, spare=spare)
    first = {"number": 10, "name": _said(op, "ask.op_first", "--op", plan)}
    additions.add_part(plan, values, first)
    _saved(plan, id)


@command.command("op")
@click.argument("part")
@click.argument("name", required=False)
@click.option("--number", type=click.IntRange(1, 9999), help="Its number; the next ten otherwise.")
@click.option("--after", type=int, metavar="OP", help="Put it behind this operation.")
@click.option("--kind", help="turning, boring, milling ...: cautions hang on it.")
@click.option("--machine", help="Where.")
@click.option("--tool", help="With what.")
@click.option("--photos", type=click.IntRange(0, 1000), help="Photos wanted of the batch.")
@click.option("--sent-out", metavar="WHO", help="Who does it, when not done here.")
@click.option("--irreversible", is_flag=True, help="It cannot be undone.")
@click.pass_context
def op(
    ctx: click.Context,
    /,
    part: str,
    name: str | None,
    number: int | None,
    after: int | None,
    **more: Any,
) -> None:
    """Add an operation to the route of PART: at its end, or behind another one.

    \b
    Example:
      qlog add op cup "ream stem hole" --after 20 --kind reaming
    """
    plan = _plan(ctx)
    owner = part_of(plan.build, part)
    if after is not None:
        op_of(owner, after)
    name = _said(name, "ask.done", "NAME", plan)
    number = number or additions.next_number(owner, after)
    values = {k.replace("_", "-"): v for k, v in _given(number=number, name=name, **more).items()}
    additions.add_op(plan, owner, values)
    _saved(plan, owner.id)
    _waits(ctx, owner.id, number)


@command.command("dim")
@click.argument("part")
@click.argument("id", required=False)
@click.argument("callout", required=False)
@click.option("--after", metavar="OP", help="Operation after which it is read; else the last one.")
@click.option("--with", "instrument", metavar="ID", help="Instrument that reads it.")
@click.option("--name", help="As screen and record show it.")
@click.option(
    "--measures", type=click.Choice(["outside", "inside", "length", "depth"]), help="If not plain."
)
@click.pass_context
def dim(
    ctx: click.Context,
    part: str,
    id: str | None,
    callout: str | None,
    after: str | None,
    instrument: str | None,
    name: str | None,
    measures: str | None,
) -> None:
    """Add a dimension to PART as the drawing writes it; its limits are shown at once.

    \b
    Example:
      qlog add dim cup bore "Ø22 +0.05/0" --after 20 --with bore-gauge
    """
    plan = _plan(ctx)
    owner = part_of(plan.build, part)
    id = _said(id, "ask.dim_id", "ID", plan)
    callout = _said(callout, "ask.callout", "CALLOUT", plan)
    route = owner.operations
    asked = len(route) > 1 and _terminal() and after is None
    after = _said(None, "ask.after", "--after", plan,
                  ops=", ".join(str(o.number) for o in route)) if asked else after  # fmt: skip
    number = route[-1].number if after is None else op_of(owner, after).number
    if instrument is None and _terminal() and plan.build.instruments:
        known = ", ".join(i.id for i in plan.build.instruments)
        instrument = click.prompt(_words(plan)("ask.read_with", known=known), default="",
                                  show_default=False).strip()  # fmt: skip
    used = instrument_of(plan.build, instrument).id if instrument else ""
    values = _given(
        id=id, name=name, callout=callout, op=number, instrument=used, measures=measures
    )
    additions.add_dim(plan, owner, values)
    _saved(plan, owner.id, id)


@command.command("instrument")
@click.argument("id", required=False)
@click.option("--kind", help="caliper, micrometer, bore gauge, plug gauge ...")
@click.option("--name", help="As screen and record show it.")
@click.option("--unit", help="What it reads, if not the build's unit.")
@click.option("--step", help="Smallest step of the display.")
@click.option("--error", help="Largest permissible error, plus and minus.")
@click.option("--from", "other", metavar="DIR", type=click.Path(path_type=Path), help=(
    "Copy it from another build."))  # fmt: skip
@click.pass_context
def instrument(
    ctx: click.Context,
    id: str | None,
    kind: str | None,
    name: str | None,
    unit: str | None,
    step: str | None,
    error: str | None,
    other: Path | None,
) -> None:
    """Add an instrument; step and error decide what it can tell.

    \b
    Example:
      qlog add instrument bore-gauge --kind "bore gauge" --step 0.001 --error 0.004
      qlog add instrument micrometer --from ../last-years-set
    """
    plan = _plan(ctx)
    id = _said(id, "ask.instrument_id", "ID", plan)
    if other is not None:
        additions.copy_instrument(plan, _other(other), id)
    else:
        if kind is None and _terminal():
            kind = _said(None, "ask.kind", "--kind", plan)
        values = _given(name=name, kind=kind, unit=unit)
        counted = kind is not None and ("plug" in kind or kind == "eye")
        for word, given in (("step", step), ("error", error)):
            if given is None and _terminal() and not counted:
                given = click.prompt(_words(plan)(f"ask.{word}"), default="", show_default=False)
            if given:
                values[word] = _decimal(given, word)
        additions.add_instrument(plan, id, values)
    plan.save()
    found = plan.build.instrument(id)
    words = _words(plan)
    said, what = words("add.step_unknown"), words("add.error_unknown")
    if found.step is not None:
        said = words("add.step", step=words.number(found.step))
    if found.error is not None:
        what = words("add.error", error=words.number(found.error))
    click.echo(f"{id}: {found.kind}, {said}, {what} {found.unit.value}".rstrip())


@command.command("joint")
@click.argument("inside", required=False)
@click.argument("outside", required=False)
@click.option("--clearance", help="Inside minus outside: 0.01..0.05; below zero is interference.")
@click.option("--fit", help="An ISO 286 fit instead: H7/g6.")
@click.option("--id", "id", help="Its id; otherwise made of the two parts.")
@click.option("--name", help="As screen and record show it.")
@click.pass_context
def joint(
    ctx: click.Context,
    inside: str | None,
    outside: str | None,
    clearance: str | None,
    fit: str | None,
    id: str | None,
    name: str | None,
) -> None:
    """Add a joint: two dimensions that must fit, INSIDE around OUTSIDE.

    \b
    Example:
      qlog add joint cup.hole tall-stem.spigot --clearance 0.01..0.05
    """
    plan = _plan(ctx)
    inside = _said(inside, "ask.inside", "INSIDE", plan)
    outside = _said(outside, "ask.outside", "OUTSIDE", plan)
    if clearance is None and fit is None:
        clearance = _said(None, "ask.clearance", Either(("--clearance", "--fit")), plan)
    owners = [inside.partition(".")[0], outside.partition(".")[0]]
    id = id or "-on-".join(owners)
    fit = None if clearance else fit
    about = _given(id=id, name=name, inside=inside, outside=outside, clearance=clearance, fit=fit)
    additions.add_joint(plan, about)
    plan.save()
    found = next(j for j in plan.build.joints if j.id == id)
    click.echo(_words(plan)("add.joint", id=id, clearance=found.clearance))


@command.command("item")
@click.argument("id", required=False)
@click.option("--count", type=click.IntRange(1, 1000), help="How many of them.")
@click.option("--takes", metavar="PARTS", help="What goes into one: foot,cup or foot=1,cup=2.")
@click.option("--name", help="As the record shows it.")
@click.pass_context
def item(
    ctx: click.Context, id: str | None, count: int | None, takes: str | None, name: str | None
) -> None:
    """Add finished items, and say what goes into one.

    \b
    Example:
      qlog add item tall --count 4 --takes foot,tall-stem,cup,pan
    """
    plan = _plan(ctx)
    id = _said(id, "ask.item_id", "ID", plan)
    count = count or int(_said(None, "ask.how_many", "--count", plan))
    known = ",".join(p.id for p in plan.build.parts)
    takes = _said(takes, "ask.takes", "--takes", plan, known=known)
    parts: dict[str, int] = {}
    for word in takes.replace(" ", "").split(","):
        part, _, number = word.partition("=")
        if not number.isdecimal() and number:
            raise click.UsageError(ToSay("error.part_number_write", word=word, part=part))
        parts[part] = int(number or 1)
    additions.add_item(plan, _given(id=id, name=name, count=count, takes=parts))
    plan.save()
    one = ", ".join(f"{n} {p}" for p, n in parts.items())
    about = {"first": f"{id}-1", "last": f"{id}-{count}", "takes": one}
    click.echo(_words(plan)("add.item", **about))


def _plan(ctx: click.Context) -> PlanFile:
    from qlog.drawing.editing.plan_file import PlanFile

    return PlanFile(build_folder(ctx.find_root().obj))


def _other(folder: Path) -> PlanFile:
    from qlog.drawing.editing.plan_file import PlanFile

    return PlanFile(build_folder(str(folder)))


def _given(**values: Any) -> dict[str, Any]:
    """The keys that have a value, in their order."""
    return {key: value for key, value in values.items() if value}


def _terminal() -> bool:
    from qlog.cli.terminal.prompt import on_terminal

    return on_terminal()


def _words(plan: PlanFile) -> Words:
    return words_of(plan.build)


def _said(
    given: str | None, question: str, option: str | Either, plan: PlanFile, **about: object
) -> str:
    """What was given, else what is typed for it. Raises UsageError where nobody can be asked."""
    if given is not None and given.strip():
        return given.strip()
    asked = _words(plan)(question, **about)
    if not _terminal():
        raise click.UsageError(ToSay("error.say_option", option=option, asked=asked))
    answer: str = click.prompt(asked)
    return answer.strip()


def _decimal(text: str, what: str) -> Any:
    from decimal import Decimal, InvalidOperation

    try:
        return Decimal(text.replace(",", "."))
    except InvalidOperation:
        raise click.UsageError(ToSay("error.number_write_example", what=what, text=text)) from None


def _saved(plan: PlanFile, part: str, dimension: str = "") -> None:
    """Write the plan, and show what it now says of the part."""
    build: Build = plan.save()
    from qlog.cli.terminal.text import required

    owner, words = build.part(part), words_of(build)
    if not dimension:
        route = ", ".join(f"{o.number} {o.name}" for o in owner.operations)
        about = {"needed": owner.needed, "spare": owner.spare, "route": route}
        click.echo(words("add.part", part=part, **about))
        return
    found = owner.dimension(dimension)
    used = found.instrument or words(
        "add.passes" if found.callout.attribute else "add.no_instrument"
    )
    asked = required(found.callout, words)
    click.echo(
        words("add.dim", part=part, dimension=dimension, asked=asked, op=found.op, used=used)
    )


def _waits(ctx: click.Context, part: str, number: int) -> None:
    """A route that gained an operation: which pieces are past it, and have not had it."""
    from qlog.cli.context import opened
    from qlog.counting import runs
    from qlog.logbook.part_log import PartLog
    from qlog.logbook.store import FILE_NAME

    if not (build_folder(ctx.find_root().obj) / FILE_NAME).exists():
        return
    with opened(ctx) as o:
        owner = o.build.part(part)
        log = PartLog.read(o.logbook, owner)
        past = sorted({p for op, p in log.done if op > number} - set(log.scrapped))
    if past:
        about = {"pieces": owner.listed(past), "numbers": runs(past, owner.called)}
        click.echo(words_of(o.build)("add.past", op=number, part=part, **about))
