"""`qlog cut`: how much bar so many blanks take, and what to cut from which bar."""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import Decimal
from typing import TYPE_CHECKING

import click

from qlog.cli.context import load_plan
from qlog.problem import Problem, ToSay
from qlog.study.cutting import Bar, Blank, NoPlan, cutting_plan

if TYPE_CHECKING:
    from qlog.drawing.plan import Build
    from qlog.study.cutting import Bar, Blank


@click.command("cut")
@click.argument("blanks", nargs=-1, metavar="PART=LENGTH[xN]...")
@click.option("--bar", "bars", multiple=True, metavar="[Nx]LENGTH", help="A bar at hand.")
@click.option("--kerf", default="0", metavar="WIDTH", help="Width of a cut.")
@click.option("--facing", default="0", metavar="LENGTH", help="Taken off each end of a blank.")
@click.option("--end", default="0", metavar="LENGTH", help="Left in the chuck of every bar.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@click.pass_context
def command(
    ctx: click.Context,
    blanks: tuple[str, ...],
    bars: tuple[str, ...],
    kerf: str,
    facing: str,
    end: str,
    as_json: bool,
) -> int:
    """Reckon the bar for the blanks of every PART of finished LENGTH, needed and spare, or N.

    Without --bar it says how long one bar would be; with bars (3x1000: three of them; 1000: as many
    as it takes) which blanks to cut from which, so that the least length of bar is used, exactly.
    Lengths are in the build's unit unless one is written: 34.5, 34.5mm, "1 3/8 in".

    \b
    Example:
      qlog cut foot=30 cup=31.5 --kerf 2 --facing 1
      qlog cut foot=30 cup=31.5x12 --bar 2x500 --bar 1000 --kerf 2 --facing 1 --end 40
    """
    from qlog.cli.terminal.say import say_line
    from qlog.words.catalogue import words_of
    from qlog.words.values import with_unit

    build = load_plan(ctx)
    if not blanks:
        raise click.UsageError(ToSay("error.name_blanks_part"))
    width, face, left = (_length(build, t, n) for t, n in
                         ((kerf, "--kerf"), (facing, "--facing"), (end, "--end")))  # fmt: skip
    wanted = [_blank(build, text, face) for text in blanks]
    words, unit = words_of(build), build.unit.symbol

    def said(length: Decimal) -> str:
        return with_unit(words.number(f"{length.normalize():f}"), unit)

    at_hand = [_bar(build, text) for text in bars] or [_one_bar(wanted, width, left)]
    try:
        plan = cutting_plan(wanted, at_hand, kerf=width, end=left)
    except NoPlan as problem:
        key = f"cut.{problem.kind.replace(' ', '_')}"
        raise Problem(words(key, name=problem.name)) from problem
    if as_json:
        from qlog.cli.terminal.say import say_json

        rows = [
            {"length": str(b.length), "cut": dict(b.blanks), "rest": str(b.rest)} for b in plan.bars
        ]
        blanks_json = {b.name: {"length": str(b.length), "count": b.count} for b in wanted}
        whole = {"unit": unit, "blanks": blanks_json, "bars": rows, "used": str(plan.used)}
        say_json("cut", whole)
        return 0
    for blank in wanted:
        say_line(words("cut.blank", n=blank.count, part=blank.name, length=said(blank.length)))
    if not bars:
        say_line(words("cut.one_bar", length=said(plan.used), blanks=said(plan.blanks)))
        return 0
    for number, bar in enumerate(plan.bars, 1):
        cuts = words.list([f"{n} {name}" for name, n in bar.blanks])
        about = {"number": number, "length": said(bar.length), "rest": said(bar.rest)}
        say_line(f"  {words('cut.bar', cuts=cuts, **about)}")
    total, net = said(plan.used), said(plan.blanks)
    say_line(words.count("cut.least", len(plan.bars), used=total, blanks=net))
    return 0


def _length(build: Build, text: str, what: str) -> Decimal:
    """A length of 0 or more in the build's unit. Raises Problem."""
    from qlog.intake.typed.parse import TypedError, parse_value

    try:
        value = parse_value(text, build.unit, Decimal(100)).to(build.unit)
    except (TypedError, ValueError) as error:
        raise Problem(ToSay("error.no_length_of", what=what, text=text, error=error)) from error
    if value < 0:
        raise Problem(ToSay("error.below_write_length", what=what, text=text))
    return value


def _blank(build: Build, text: str, face: Decimal) -> Blank:
    """`foot=30x12` or `foot=30`: the blanks of a part, faced at both ends. Raises Problem."""
    from qlog.intake.typed.places import part_of

    name, equals, written = text.partition("=")
    found = re.fullmatch(r"(.+?)(?:\s*[x×]\s*([1-9][0-9]{0,3}))?", written.strip())
    if not equals or found is None:
        raise Problem(ToSay("error.names_blanks_write", text=text))
    part = part_of(build, name)
    length = _length(build, found[1], part.id) + 2 * face
    if not length:
        raise Problem(ToSay("error.blank_length_above", text=text))
    return Blank(part.id, length, int(found[2]) if found[2] else len(part.pieces))


def _bar(build: Build, text: str) -> Bar:
    """`3x1000` or `1000`. Raises Problem."""
    found = re.fullmatch(r"(?:([1-9][0-9]{0,3})\s*[x×]\s*)?(.+)", text.strip())
    if found is None:
        raise Problem(ToSay("error.bar_write_length", text=text))
    length = _length(build, found[2], "--bar")
    if not length:
        raise Problem(ToSay("error.bar_bar_length", text=text))
    return Bar(length, int(found[1]) if found[1] else None)


def _one_bar(wanted: Sequence[Blank], kerf: Decimal, end: Decimal) -> Bar:
    """The one bar from which all of them come: a cut behind every blank but where nothing stays."""
    blanks = sum((b.length * b.count for b in wanted), Decimal(0))
    cuts = sum(b.count for b in wanted) - (0 if end else 1)
    return Bar(blanks + cuts * kerf + end, 1)
