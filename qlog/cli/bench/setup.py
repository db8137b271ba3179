"""`qlog setup`: the tool was touched."""

from __future__ import annotations

import click

from qlog.cli.context import opened


@click.command("setup")
@click.argument("part")
@click.argument("op")
@click.argument("piece")
@click.argument("cause", type=click.Choice(["tool", "re-touch", "offset", "new-day", "other"]))
@click.argument("settings", nargs=-1, metavar="[WHAT=VALUE]...")
@click.option("--note", "-n", default="", metavar="TEXT", help="What was done.")
@click.option("--made", metavar="TIME", help="When (ISO 8601), if not just now.")
@click.pass_context
def command(
    ctx: click.Context,
    part: str,
    op: str,
    piece: str,
    cause: str,
    settings: tuple[str, ...],
    note: str,
    made: str | None,
) -> None:
    """Say that a new setup of OP on PART begins with PIECE, the first one made in it.

    A trend is never drawn across a setup. Read the first piece of the new one at once.
    WHAT=VALUE sets down what is set from PIECE on, as `qlog start` does.

    \b
    Example:
      qlog setup tall-stem 20 4 tool --note "touched up"
      qlog setup tall-stem 20 4 offset offset=-0.02 speed=1100
    """
    from qlog.cli.terminal.say import say_line
    from qlog.cli.terminal.when import made_time
    from qlog.intake.bench.decisions import begin_setup
    from qlog.intake.bench.settings import set_down
    from qlog.intake.typed.places import op_of, part_of, piece_of
    from qlog.intake.typed.set_values import set_values
    from qlog.words.catalogue import words_of
    from qlog.words.settings import set_down_texts

    causes = {"tool": "tool change", "new-day": "new day"}
    with opened(ctx) as o:
        owner = part_of(o.build, part)
        number, first = op_of(owner, op).number, piece_of(owner, piece)
        values, when = set_values(settings, o.build.unit), made_time(o.build, made)
        with o.logbook.together():
            begin_setup(
                o.logbook, owner, number, first, causes.get(cause, cause), note=note, made=when
            )
            done = set_down(o.logbook, owner, number, values, first=first, made=when)
        wanted = owner.read_after(number)
    words = words_of(o.build)
    about = {"part": owner.id, "op": number, "piece": owner.named(first)}
    say_line(words("setup.begun", **about))
    for line in set_down_texts(done, words):
        say_line(f"  {line}")
    if wanted:
        say_line(words("setup.read", **{**about, "piece": first, "dimension": wanted[0].id}))
