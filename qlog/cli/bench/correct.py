"""`qlog correct`: correct a reading."""

from __future__ import annotations

import click

from qlog.cli.context import opened
from qlog.problem import ToSay


# A reading below zero must not be taken for an option.
@click.command("correct", context_settings={"ignore_unknown_options": True})
@click.argument("part")
@click.argument("op")
@click.argument("dim")
@click.argument("piece", required=False)
@click.argument("value", required=False)
@click.option("--why", required=True, metavar="TEXT", help="The reason.")
@click.option("--instrument", "-i", metavar="ID", help="What it was really measured with.")
@click.option("--temperature", "-t", metavar="C", help="Of the piece, in degrees Celsius.")
@click.option("--instrument-temperature", metavar="C", help="Of the instrument.")
@click.option("--made", metavar="TIME", help="When it was measured, if not just now.")
@click.pass_context
def command(
    ctx: click.Context,
    part: str,
    op: str,
    dim: str,
    piece: str | None,
    value: str | None,
    why: str,
    instrument: str | None,
    temperature: str | None,
    instrument_temperature: str | None,
    made: str | None,
) -> int:
    """Correct a reading: the new value supersedes the old one, which stays visible.

    Instrument and temperatures stay as they were logged, unless they are given. `qlog cup-4 bore
    22.033 --why ...` does the same: the piece, the dimension, the value.

    The exit status is 1 when the corrected reading is out.

    \b
    Example:
      qlog correct cup 20 bore 4 22.033 --why "decimal slip"
      qlog cup-4 bore 22.033 --why "decimal slip"
    """
    from qlog.cli.bench.read import by_piece_name
    from qlog.cli.terminal.echo import echo
    from qlog.cli.terminal.prompt import Keyboard, on_terminal
    from qlog.cli.terminal.questions import put, warn
    from qlog.cli.terminal.say import say_line
    from qlog.cli.terminal.when import made_time
    from qlog.intake.bench.decisions import correct_reading, logged_reading
    from qlog.intake.bench.readings import requirement_for
    from qlog.intake.bench.stream import Stream
    from qlog.intake.typed.places import dimension_of, op_of, part_of, piece_of
    from qlog.intake.typed.temperatures import celsius
    from qlog.words.catalogue import words_of

    with opened(ctx) as o:
        if piece is None:
            part, op, dim, piece, value = by_piece_name(o, part, op, dim)
        if piece is None or value is None:
            raise click.UsageError(ToSay("error.one_reading_part"))
        owner = part_of(o.build, part)
        number, dimension = op_of(owner, op).number, dimension_of(owner, dim)
        which = piece_of(owner, piece)
        logged = logged_reading(o.logbook, owner, number, dimension, which)
        warm = None if temperature is None else celsius(temperature, o.build.unit)
        other = instrument_temperature
        tool = None if other is None else celsius(other, o.build.unit)
        stream = Stream(
            o.build, o.logbook, owner, number,
            instrument=instrument or logged.fact.instrument,
            temperature=warm, instrument_temperature=tool,
        )  # fmt: skip
        proposed = stream.propose(stream.place(dimension, which), value)
        if proposed.questions and on_terminal():
            with Keyboard(words_of(o.build)) as keyboard:
                settled = put(keyboard, stream, proposed, repeats=False)
            if settled is None:
                return 2
            value = settled[0].reading.typed
        elif proposed.questions:
            warn(stream, proposed, strict=False)
        when = made_time(o.build, made)
        old, new = correct_reading(
            o.build, o.logbook, owner, number, dimension, which, value, why, made=when,
            instrument=instrument, temperature=warm, instrument_temperature=tool,
        )  # fmt: skip
        callout = requirement_for(owner, dimension, number, new.fact.piece)
        line, bad = echo(o.build, o.logbook, owner, callout, new.fact)
        words = words_of(o.build)
    say_line(f"{line}  {words('correct.was', typed=old.fact.typed)}")
    return int(bad)
