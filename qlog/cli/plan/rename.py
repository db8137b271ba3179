"""`qlog rename`: another name, in the plan and for all that is logged."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from qlog.cli.context import build_folder
from qlog.cli.terminal.say import say_line, words_at
from qlog.intake.bench.renaming import Name, all_renames, check_free, enter, enter_anew, named_by
from qlog.logbook.store import FILE_NAME, Logbook
from qlog.problem import Problem, ToSay

if TYPE_CHECKING:
    from pathlib import Path

    from qlog.drawing.editing.plan_file import PlanFile
    from qlog.drawing.plan import Build
    from qlog.intake.bench.renaming import Name


@click.command("rename")
@click.argument(
    "what", type=click.Choice(["part", "op", "dim", "instrument", "item", "stack"]), required=False
)
@click.argument("old", required=False)
@click.argument("new", required=False)
@click.option("--why", default="", metavar="TEXT", help="The reason, kept with it.")
@click.pass_context
def command(
    ctx: click.Context, what: str | None, old: str | None, new: str | None, why: str
) -> int:
    """Call a part, operation, dimension, instrument, item or stack NEW instead of OLD.

    build.toml is changed wherever it names it, remarks and order stay, and everything logged so
    far follows. When the file was changed by hand already, only the log follows. Nothing is
    written when both names were used for the same place. Renaming back takes it back; without
    arguments, what was renamed is listed.

    \b
    Example:
      qlog rename dim cup.bore socket --why "as the drawing says"
      qlog rename op cup.20 25
      qlog rename part cup bowl
      qlog rename item tall high
    """
    folder = build_folder(ctx.find_root().obj)
    if what is None:
        _list(folder)
        return 0
    if old is None or new is None:
        raise click.UsageError(ToSay("error.name_what_called"))
    from qlog.drawing.editing.plan_file import PlanFile
    from qlog.logbook.facts import KeptMatch

    plan = PlanFile(folder)
    name = _name(what, old)
    there, planned = _has(plan.build, name, name.name), _has(plan.build, name, new)
    with Logbook(folder / FILE_NAME) as logbook:
        entries = named_by(logbook, name)
        if not there and not entries:
            raise Problem(ToSay("error.build_toml_nothing", what=what, name=name))
        if not there and not planned:
            raise Problem(ToSay("error.build_toml_neither", what=what, name=name, new=new))
        if there and planned:
            raise Problem(ToSay("error.build_toml_already", what=what, new=new))
        check_free(logbook, name, new, planned=planned)
        kept = bool(logbook.live(KeptMatch))
    if there:
        _edit(plan, name, new)
    build = plan.save() if there else plan.build
    with Logbook(folder / FILE_NAME, revision=build.revision, source=build.source) as logbook:
        if what in ("item", "stack"):
            enter_anew(logbook, name, new, why)
        else:
            enter(logbook, name, new, why)
    readings = sum(type(e.fact).TABLE == "reading" for e in entries)
    from qlog.words.catalogue import words_of

    words = words_of(build)
    read = f" {words.count('rename.read', readings)}" if readings else ""
    now = f"{name.part}.{new}" if name.part else new
    say_line(words.count("rename.now", len(entries), old=name, new=now, read=read))
    if what == "part" and kept:
        say_line(words("rename.kept"))
    if what in ("part", "op"):
        say_line(words("rename.paper"))
    say_line(words("rename.back", what=what, new=now, old=name.name))
    return 0


def _name(what: str, old: str) -> Name:
    if what in ("part", "instrument", "item", "stack"):
        return Name(what, None, old)
    part, point, name = old.partition(".")
    if not point or not name:
        raise click.UsageError(ToSay("error.name_part_cup", old=old))
    if what == "op" and not name.isdecimal():
        raise click.UsageError(ToSay("error.operation_number", part=part))
    return Name(what, part, name)


def _has(build: Build, name: Name, id: str) -> bool:
    """Whether the plan has something of that kind under an id."""
    if name.what == "part":
        return any(p.id == id for p in build.parts)
    if name.what == "instrument":
        return any(i.id == id for i in build.instruments)
    if name.what == "item":
        return any(g.id == id for g in build.groups)
    if name.what == "stack":
        return any(s.id == id for s in build.stacks)
    part = next((p for p in build.parts if p.id == name.part), None)
    if part is None:
        raise Problem(ToSay("error.rename_part_build_toml", part=name.part))
    if name.what == "op":
        return any(str(o.number) == id for o in part.operations)
    return any(d.id == id for d in part.dimensions)


def _edit(plan: PlanFile, name: Name, new: str) -> None:
    from qlog.drawing.editing import renaming

    if name.what == "op":
        if not new.isdecimal():
            raise click.UsageError(ToSay("error.operation_number_none", new=new))
        renaming.rename_op(plan, name.part or "", int(name.name), int(new))
    elif name.what == "dim":
        renaming.rename_dim(plan, name.part or "", name.name, new)
    elif name.what == "part":
        renaming.rename_part(plan, name.name, new)
    elif name.what == "item":
        renaming.rename_item(plan, name.name, new)
    elif name.what == "stack":
        renaming.rename_stack(plan, name.name, new)
    else:
        renaming.rename_instrument(plan, name.name, new)


def _list(folder: Path) -> None:
    """What was renamed so far, oldest first."""
    with Logbook(folder / FILE_NAME) as logbook:
        found = all_renames(logbook)
    for said in found:
        why = f": {said.why}" if said.why else ""
        say_line(f"{said.day}  {said.what} {said.old} -> {said.new}{why}")
    if not found:
        say_line(words_at(folder)("rename.none"))
