"""`qlog done`: an operation is done on pieces."""

from __future__ import annotations

import click

from qlog.cli.context import Opened, opened
from qlog.problem import ToSay


@click.command("done")
@click.argument("part")
@click.argument("op", required=False)
@click.argument("pieces", required=False)
@click.option("--made", metavar="TIME", help="When it was made (ISO 8601), if not just now.")
@click.option("--override", metavar="WHY", help="Why it was done out of the route's order.")
@click.pass_context
def command(
    ctx: click.Context,
    part: str,
    op: str | None,
    pieces: str | None,
    made: str | None,
    override: str | None,
) -> int:
    """Mark operation OP as done on PIECES of PART: 3, 1-5, 1,4,7 or all.

    Without PIECES: on every live piece that has not had it yet. A piece with an earlier
    operation open is left out and named unless --override says why, and so is one with a
    dimension unread that can no longer be reached; the exit status is 1 then, and 2 when nothing
    could be marked. Then it says what is to be read and photographed. `qlog cup-3 done` marks
    what is next on that piece.

    \b
    Example:
      qlog done foot 10
      qlog done foot 20 1-5
      qlog foot-3 done
    """
    from functools import partial

    from qlog.cli.terminal.prompt import Keyboard, on_terminal
    from qlog.cli.terminal.say import say_line, say_warning
    from qlog.cli.terminal.when import made_time
    from qlog.intake.bench.route import OrderRefused, mark_done
    from qlog.intake.bench.stream import empty_places
    from qlog.intake.typed.places import op_of, part_of, pieces_of
    from qlog.logbook.part_log import PartLog
    from qlog.words.catalogue import words_of
    from qlog.words.ready import held_text

    with opened(ctx) as o:
        words = words_of(o.build)
        if op is None:
            part, op, pieces = _next(o, part)
        owner = part_of(o.build, part)
        operation = op_of(owner, op)
        numbers = None if pieces is None else pieces_of(owner, pieces)
        when = made_time(o.build, made)
        mark = partial(mark_done, o.logbook, owner, operation.number, numbers, made=when)
        try:
            outcome = mark(override=override or "")
        except OrderRefused as problem:
            asking = on_terminal()
            say_line(held_text(problem.held, words), err=not asking)
            if not asking:
                return 2
            with Keyboard(words) as keyboard:
                why = keyboard.ask(f"{words('done.why')}> ")
            if not why:
                return 2
            outcome = mark(override=why)
        unread = empty_places(o.build, PartLog.read(o.logbook, owner), operation.number)
        wanted = {a.dimension.id: a.dimension for a in unread if a.piece in outcome.new}.values()
    where = words("op.name", op=operation.number, name=operation.name)
    if outcome.new:
        say_line(words("done.marked", op=where, pieces=owner.listed(outcome.new)))
    for held in outcome.held:
        say_warning(words("done.left_out", why=held_text(held, words)), words)
    if outcome.known:
        say_line(words("done.known", pieces=owner.listed(outcome.known)))
    if not outcome.new and not outcome.known:
        say_line(words("done.nothing", part=owner.id, op=where))
    if outcome.new and wanted:
        names = ", ".join(d.name for d in wanted)
        say_line(words("done.read", names=names, part=owner.id, op=operation.number))
    return int(bool(outcome.held))


def _next(o: Opened, piece: str) -> tuple[str, str, str]:
    """Part, operation and piece: the operation that a piece has to get next.

    Raises UsageError where what is named is no piece, and where nothing is left to do on it.
    """
    from qlog.intake.typed.places import looks_like_piece, named_piece
    from qlog.logbook.part_log import PartLog

    if not looks_like_piece(o.build, piece):
        raise click.UsageError(ToSay("error.name_part_and_op"))
    part, number = named_piece(o.build, piece)
    done = PartLog.read(o.logbook, part).done
    for operation in part.operations:
        if part.takes(operation.number, number) and (operation.number, number) not in done:
            return part.id, str(operation.number), part.called(number)
    raise click.UsageError(ToSay("error.piece_had_all", piece=part.named(number)))
