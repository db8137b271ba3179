"""`qlog read`: readings, one, down the pieces, or from a file."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from qlog.cli.context import Opened, opened
from qlog.cli.terminal.echo import echo
from qlog.cli.terminal.say import say_line
from qlog.cli.terminal.text import rule_of
from qlog.problem import ToSay
from qlog.words.catalogue import words_of

if TYPE_CHECKING:
    from collections.abc import Mapping
    from decimal import Decimal

    from qlog.intake.bench.stream import Stream


# A reading below zero must not be taken for an option.
@click.command("read", context_settings={"ignore_unknown_options": True})
@click.argument("part", required=False)
@click.argument("op", required=False)
@click.argument("dim", required=False)
@click.argument("piece", required=False)
@click.argument("value", required=False)
@click.option(
    "--csv",
    "csv_file",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="Enter a file of readings, text or spreadsheet; one bad line and nothing is written.",
)
@click.option("--map", "maps", metavar='"HEAD=COLUMN"', multiple=True, help="Read a heading as.")
@click.option("--ignore", "ignored", metavar="HEAD", multiple=True, help="Leave a column out.")
@click.option("--skip-rows", metavar="1-3,7", help="Leave lines of the file out.")
@click.option("--sheet", metavar="NAME", help="Which sheet of a spreadsheet.")
@click.option("--yes", is_flag=True, help="Enter the file without being asked.")
@click.option("--dry-run", is_flag=True, help="Show how the file is understood; enter nothing.")
@click.option("--instrument", "-i", metavar="ID", help="Instrument, if not the one in the plan.")
@click.option("--by-piece", is_flag=True, help="Ask for all dimensions of a piece, then the next.")
@click.option("--temperature", "-t", metavar="C", help="Of the piece, in degrees Celsius.")
@click.option(
    "--instrument-temperature", metavar="C", help="Of the instrument, if not the piece's."
)
@click.option("--hot", is_flag=True, help="The piece comes straight off the machine.")
@click.option("--again", is_flag=True, help="Read again what was read: both readings stay.")
@click.option("--strict", is_flag=True, help="Refuse what the entry checks would only ask about.")
@click.option("--made", metavar="TIME", help="When it was measured (ISO 8601), if not just now.")
@click.option("--note", "-n", default="", metavar="TEXT", help="Remark kept with the reading.")
@click.pass_context
def command(
    ctx: click.Context,
    part: str | None,
    op: str | None,
    dim: str | None,
    piece: str | None,
    value: str | None,
    csv_file: Path | None,
    maps: tuple[str, ...],
    ignored: tuple[str, ...],
    skip_rows: str | None,
    sheet: str | None,
    yes: bool,
    dry_run: bool,
    instrument: str | None,
    by_piece: bool,
    temperature: str | None,
    instrument_temperature: str | None,
    hot: bool,
    again: bool,
    strict: bool,
    made: str | None,
    note: str,
) -> int:
    """Enter readings, keyed to part, operation, dimension and piece.

    PART OP asks for one empty place after the other, on a terminal or from a pipe: type the number
    and Enter, or let the gauge type it; `?` lists the keys. On a terminal, `qlog read` alone takes
    the first reading that `qlog status` asks for. With DIM only that dimension is asked
    for; with DIM PIECE VALUE one reading is entered, and so it is by `qlog cup-3 bore 22.03`: the
    piece, the dimension, the value. --csv takes a whole file (.csv, .xlsx, .ods),
    pieces in rows and dimensions in columns or one reading a line: on a terminal it shows first how
    the file is understood, and asks. `qlog manual import` says more.

    What looks like a slip is asked about, and entered only as answered; in a pipe or a file it is
    a warning, or with --strict the reason to write nothing. The exit status is 1 when a reading
    is out.

    \b
    Example:
      qlog read cup 20 bore 3 22.031
      qlog read cup 20
      qlog cup-3 bore 22.031
      qlog read --csv bores.csv
    """  # fmt: skip
    with opened(ctx) as o:
        if csv_file is not None:
            said = (temperature, instrument_temperature)
            if by_piece or hot or again or any(word is not None for word in said):
                raise click.UsageError(ToSay("error.file_says_own"))
            from qlog.cli.bench.read_file import FileOptions, read_file

            asked = FileOptions(part, op, instrument, note, _time(o, made), strict, maps, ignored,
                          skip_rows, sheet, yes, dry_run)  # fmt: skip
            return read_file(o, csv_file, asked)
        if maps or ignored or skip_rows or sheet or yes or dry_run:
            raise click.UsageError(ToSay("error.go_with_csv"))
        if part is None and sys.stdin.isatty():
            found = _reading_next(o)
            if found is None:
                return 0
            part, op = found
        if part is not None and op is not None and dim is not None and piece is None:
            part, op, dim, piece, value = by_piece_name(o, part, op, dim)
        if part is None or op is None:
            raise click.UsageError(ToSay("error.name_part_op"))
        _check_temperatures(temperature, instrument_temperature, hot)
        how = {
            "instrument": instrument, "by_piece": by_piece, "temperature": _celsius(o, temperature),
            "instrument_temperature": _celsius(o, instrument_temperature), "hot": hot,
            "made": _time(o, made), "note": note, "again": again,
        }  # fmt: skip
        return _typed(o, part, op, dim, piece, value, strict, how)


def _check_temperatures(temperature: str | None, of_gauge: str | None, hot: bool) -> None:
    if of_gauge is not None and temperature is None:
        raise click.UsageError(ToSay("error.needs_temperature"))
    if hot and temperature is not None:
        raise click.UsageError(ToSay("error.hot_is_for"))


def _typed(
    o: Opened,
    part: str,
    op: str,
    dim: str | None,
    piece: str | None,
    value: str | None,
    strict: bool,
    how: Mapping[str, Any],
) -> int:
    """One reading, or the places of an operation one after the other; `how` goes to the stream."""
    if dim is not None and piece is not None and value is None:
        raise click.UsageError(ToSay("error.one_reading_part"))
    from qlog.intake.bench.stream import Stream
    from qlog.intake.typed.places import dimension_of, op_of, part_of

    owner = part_of(o.build, part)
    dimensions = None if dim is None else [dimension_of(owner, dim)]
    number = op_of(owner, op).number
    stream = Stream(o.build, o.logbook, owner, number, dimensions=dimensions, **how)
    if dim is None or piece is None or value is None:
        return _stream(stream, strict)
    return _one(stream, dim, piece, value, strict)


def by_piece_name(
    o: Opened, part: str, op: str, dim: str
) -> tuple[str, str, str, str | None, str | None]:
    """`cup-3 bore 22.03`: part, operation, dimension, piece and value; else what was given."""
    from qlog.intake.typed.places import dimension_of, looks_like_piece, named_piece, op_of_reading
    from qlog.logbook.part_log import PartLog

    if not looks_like_piece(o.build, part):
        return part, op, dim, None, None
    owner, number = named_piece(o.build, part)
    dimension = dimension_of(owner, op)
    at = op_of_reading(PartLog.read(o.logbook, owner), number, dimension)
    return owner.id, str(at), dimension.id, owner.called(number), dim


def _reading_next(o: Opened) -> tuple[str, str] | None:
    """Part and operation of the first reading that status would ask for, or says what is next."""
    from qlog.review.part.next_up import reading_next
    from qlog.review.views import Pending
    from qlog.review.whole import picture_from
    from qlog.words.stock import next_text

    picture, words = picture_from(o.build, o.logbook, studied=False), words_of(o.build)
    found = reading_next(picture.parts)
    if found is None:
        say_line(words("read.nothing_waits"))
        for step in picture.next:
            say_line(f"  {next_text(step, words)}")
        return None
    if found.step is Pending.START:
        say_line(words("read.not_begun", part=found.part, op=found.op))
    return found.part, str(found.op)


def _celsius(o: Opened, text: str | None) -> Decimal | None:
    if text is None:
        return None
    from qlog.intake.typed.temperatures import celsius

    return celsius(text, o.build.unit)


def _time(o: Opened, text: str | None) -> str | None:
    if text is None:
        return None
    from qlog.cli.terminal.when import made_time

    return made_time(o.build, text)


def _one(stream: Stream, dim: str, piece: str, value: str, strict: bool) -> int:
    """One reading; what the checks ask is put on a terminal and is a warning elsewhere."""
    from qlog.intake.typed.places import dimension_of, piece_of

    part = stream.part
    proposed = stream.propose(stream.place(dimension_of(part, dim), piece_of(part, piece)), value)
    known = stream.logbook.find(proposed.reading) is not None
    if proposed.questions and not known:
        from qlog.cli.terminal.prompt import Keyboard, on_terminal
        from qlog.cli.terminal.questions import put, warn

        if on_terminal() and not strict:
            with Keyboard(words_of(stream.build)) as keyboard:
                settled = put(keyboard, stream, proposed, repeats=False)
            if settled is None:
                return 2
            proposed = settled[0]
        else:
            warn(stream, proposed, strict)
    entry = stream.enter(proposed)
    line, bad = echo(stream.build, stream.logbook, part, proposed.ask.callout, entry.fact)
    words = words_of(stream.build)
    click.echo(line if entry.new else f"{line}  {words('read.known')}")
    if not proposed.ask.callout.attribute:
        say_line(words("read.verdict", rule=rule_of(stream.build, words)))
    return int(bad)


def _stream(stream: Stream, strict: bool) -> int:
    from qlog.cli.bench.stream import Sitting
    from qlog.cli.terminal.prompt import Keyboard, on_terminal

    with Keyboard(words_of(stream.build)) as keyboard:
        sitting = Sitting(stream, keyboard, strict=strict)
        if not strict or on_terminal():
            return int(bool(sitting.run()))
    # All or nothing: nothing is said before everything is committed.
    import io
    from contextlib import redirect_stdout

    held = io.StringIO()
    with redirect_stdout(held), stream.logbook.together():
        out = sitting.run()
    click.echo(held.getvalue(), nl=False)
    return int(bool(out))
