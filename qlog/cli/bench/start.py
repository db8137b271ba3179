"""`qlog start`: an operation is begun."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from qlog.cli.context import Opened, opened
from qlog.cli.terminal.say import look, on_screen, say_line
from qlog.intake.typed.places import op_of, part_of, piece_of
from qlog.problem import ToSay
from qlog.words.catalogue import Words, words_of

if TYPE_CHECKING:
    from qlog.intake.bench.settings import SetDown
    from qlog.review.part.ready import Ready


@click.command("start")
@click.argument("part", required=False)
@click.argument("op", required=False)
@click.argument("settings", nargs=-1, metavar="[WHAT=VALUE]...")
@click.option("--from", "first", metavar="PIECE", help="First piece set so; else the next one.")
@click.option("--note", "-n", default="", metavar="TEXT", help="What is special.")
@click.option("--made", metavar="TIME", help="When (ISO 8601), if not just now.")
@click.pass_context
def command(
    ctx: click.Context,
    part: str | None,
    op: str | None,
    settings: tuple[str, ...],
    first: str | None,
    note: str,
    made: str | None,
) -> int:
    """Begin operation OP on PART: what it needs first, how to stay safe, what it will ask for.

    Alone on a terminal, or with PART alone, it begins the one that `qlog status` says is next.

    Photos taken from now on are proposed for it. The exit status is 1 when something is missing
    that ought to be there first: readings, photos, an earlier operation.

    WHAT=VALUE sets down what is set: speed, feed, depth, tool, stop, offset, fluid, fixture,
    blank, bar (heat or batch number), or a word of your own. It holds until it is set anew, and
    is shown the next time; WHAT= with nothing behind it ends it.

    \b
    Example:
      qlog start
      qlog start cup 20
      qlog start cup 20 speed=1200 feed=0.05mm/rev tool="boring bar 8 mm"
    """
    from qlog.cli.terminal.when import made_time
    from qlog.intake.bench.route import start
    from qlog.intake.bench.settings import set_down
    from qlog.intake.typed.set_values import set_values
    from qlog.review.part.ready import ready_for
    from qlog.review.whole import picture_from
    from qlog.words.ready import afterwards_texts, caution_texts, lacking_text, warning_texts

    with opened(ctx) as o:
        if op is None:
            part, op = _next(o, part)
        owner = part_of(o.build, part or "")
        operation = op_of(owner, op)
        values = set_values(settings, o.build.unit)
        from_piece = None if first is None else piece_of(owner, first)
        when = made_time(o.build, made)
        with o.logbook.together():
            start(o.logbook, owner, operation.number, note=note, made=when)
            done = set_down(
                o.logbook, owner, operation.number, values, first=from_piece, made=when
            ) if values else ()  # fmt: skip
        picture = picture_from(o.build, o.logbook, studied=False)
    ready = ready_for(picture, picture.part(owner.id), operation.number)
    words = words_of(picture.build)
    op = words("place.op", part=owner.id, op=operation.number, name=operation.name)
    if tool := ", ".join(w for w in (operation.machine, operation.tool) if w):
        op = words("start.tool", op=op, tool=tool)
    waiting = owner.listed(ready.waiting) if ready.waiting else words("start.none")
    say_line(words("start.line", op=op, waiting=waiting))
    say_settings(ready, done, words)
    if ready.lacking:
        say_line(f"\n{words('start.missing')}")
        for one in ready.lacking:
            text, remedy = lacking_text(ready, one, words)
            _look(text, words)
            say_line(f"     {remedy}")
    if warnings := warning_texts(ready, words):
        say_line(f"\n{words('start.mind')}")
        for warning in warnings:
            _look(warning, words)
    if ready.cautions:
        say_line(f"\n{words('start.safety')}")
        for text in caution_texts(ready.cautions, words):
            click.echo(click.wrap_text(on_screen(text), 78, "  -- ", "     "))
    if afterwards := afterwards_texts(ready, words):
        say_line(f"\n{words('start.after')}")
        for line in afterwards:
            say_line(f"  {line}")
    return int(bool(ready.lacking))


def _next(o: Opened, part: str | None) -> tuple[str, str]:
    """Part and operation that status says to begin, of that part where one is named.

    Raises UsageError in a pipe, and where no operation waits to be begun.
    """
    from qlog.cli.terminal.prompt import on_terminal
    from qlog.review.views import Pending
    from qlog.review.whole import picture_from

    if not on_terminal():
        raise click.UsageError(ToSay("error.name_part_and_op"))
    wanted = None if part is None else part_of(o.build, part).id
    for step in picture_from(o.build, o.logbook, studied=False).next:
        if step.step is Pending.START and wanted in (None, step.part):
            return step.part, str(step.op)
    raise click.UsageError(ToSay("error.nothing_to_begin"))


def say_settings(ready: Ready, done: tuple[SetDown, ...], words: Words) -> None:
    """What was set down just now, and what holds from the last time."""
    from qlog.words.settings import set_down_texts, setting_text

    for line in set_down_texts(done, words):
        say_line(f"  {line}")
    fresh = {d.fact.what for d in done}
    held = [s for s in ready.settings if s.last and s.what not in fresh]
    if held:
        say_line(f"\n{words('start.set_last')}")
        for one in held:
            said = setting_text(one.what, one.value, one.unit, words)
            piece = ready.part.named(one.pieces[0])
            say_line(f"  {words('start.set_since', said=said, piece=piece)}")
    elif not done:
        about = {"part": ready.part.id, "op": ready.operation.number}
        say_line(f"  {words('start.nothing_set', **about)}")


def _look(text: str, words: Words) -> None:
    """A line that asks to be looked at, its further lines under its first."""
    mark = words("weight.warn")
    said = click.wrap_text(on_screen(text), 78, f"  {mark} ", "     ")
    click.echo(said.replace(mark, look(words), 1))
