"""`qlog read`: readings, one, down the pieces, or from a file."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from qlog.cli.context import Opened, opened
from qlog.cli.echo import echo

if TYPE_CHECKING:
    from qlog.drawing.plan import Operation, Part


@click.command("read")
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
    help="Enter a file of readings; one bad line and nothing is written.",
)
@click.option("--instrument", "-i", metavar="ID", help="Instrument, if not the one in the plan.")
@click.option("--by-piece", is_flag=True, help="Ask for all dimensions of a piece, then the next.")
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
    instrument: str | None,
    by_piece: bool,
    made: str | None,
    note: str,
) -> int:
    """Enter readings, keyed to part, operation, dimension and piece.

    PART OP DIM PIECE VALUE enters one. PART OP asks for one empty place after the other, on a
    terminal or from a pipe; Enter alone leaves a place for later, q stops. --csv takes a whole
    file, pieces in rows and dimensions in columns or one reading a line. The exit status is 1
    when a reading is out.

    \b
    Example:
      qlog read cup 20 bore 3 22.031
      qlog read cup 20
      qlog read --csv bores.csv
    """  # fmt: skip
    with opened(ctx) as o:
        if csv_file is not None:
            return _file(o, csv_file, part, op, instrument, note)
        if part is None or op is None:
            raise click.UsageError("name PART and OP, or give --csv FILE")
        from qlog.intake.places import dimension_of, op_of, part_of, piece_of

        owner = part_of(o.build, part)
        operation = op_of(owner, op)
        if dim is None:
            return _stream(o, owner, operation, instrument, by_piece, made)
        if piece is None or value is None:
            raise click.UsageError("one reading is PART OP DIM PIECE VALUE")
        from qlog.intake.readings import (
            instrument_for,
            make_reading,
            requirement_for,
            typed_value,
        )  # fmt: skip
        from qlog.intake.times import checked_time

        dimension = dimension_of(owner, dim)
        callout = requirement_for(owner, dimension, operation.number)
        used = instrument_for(o.build, dimension, instrument)
        reading = make_reading(
            owner, operation.number, dimension, piece_of(owner, piece),
            typed_value(callout, used, value), text=value, instrument=used, note=note,
        )  # fmt: skip
        entry = o.logbook.append(reading, made=None if made is None else checked_time(made))
    line, bad = echo(o.build, owner, callout, entry.fact)
    click.echo(line if entry.new else f"{line}  (known already)")
    return int(bad)


def _file(
    o: Opened, path: Path, part: str | None, op: str | None, instrument: str | None, note: str
) -> int:
    from qlog.intake.places import op_of, part_of
    from qlog.intake.readings import requirement_for, take_file

    owner = None if part is None else part_of(o.build, part)
    number = None if owner is None or op is None else op_of(owner, op).number
    taken = take_file(
        o.build, o.logbook, path,
        part=None if owner is None else owner.id, op=number, instrument=instrument, note=note,
    )  # fmt: skip
    out = 0
    for entry in taken.readings:
        fact = entry.fact
        its_part = o.build.part(fact.part)
        callout = requirement_for(its_part, its_part.dimension(fact.dimension), fact.op)
        line, bad = echo(o.build, its_part, callout, fact)
        if bad:
            out += 1
            click.echo(line)
    for remark in taken.remarks:
        click.echo(f"{path.name}: {remark}", err=True)
    known = len(taken.readings) + len(taken.gaps) - taken.new
    words = [f"{taken.new} entered", f"{known} known already" if known else "",
             f"{taken.blanks} not measured yet" if taken.blanks else "",
             f"{out} out" if out else ""]  # fmt: skip
    click.echo(f"{path.name}: {', '.join(w for w in words if w)}")
    return int(bool(out))


def _stream(
    o: Opened,
    part: Part,
    operation: Operation,
    instrument: str | None,
    by_piece: bool,
    made: str | None,
) -> int:
    from qlog.cli.prompt import ask_line
    from qlog.cli.text import required
    from qlog.intake.readings import ReadingError
    from qlog.intake.stream import answer, empty_places
    from qlog.intake.times import checked_time

    time = None if made is None else checked_time(made)

    asks = empty_places(
        o.build, o.logbook, part, operation.number, instrument=instrument, by_piece=by_piece
    )
    if not asks:
        click.echo(f"nothing to read on {part.id} after op {operation.number}: all places filled")
        return 0
    click.echo(f"{part.id} op {operation.number} {operation.name}: {len(asks)} to read")
    out, last, index = 0, None, 0
    while index < len(asks):
        ask = asks[index]
        if last is not ask.dimension:
            used = ask.instrument.name if ask.instrument else "no instrument named"
            click.echo(f"{ask.dimension.name}  {required(ask.callout)}  ({used})")
            last = ask.dimension
        text = ask_line(f"{part.id}-{ask.piece} {ask.dimension.id} {ask.unit}> ".replace(" >", ">"))
        if text is None or text.lower() == "q":
            break
        if not text:
            index += 1
            continue
        try:
            entry = answer(o.logbook, part, operation.number, ask, text, made=time)
        except ReadingError as error:
            click.echo(f"  {error}", err=True)
            if not sys.stdin.isatty():
                raise
            continue
        line, bad = echo(o.build, part, ask.callout, entry.fact)
        click.echo(f"  {line}")
        out += bad
        index += 1
    left = empty_places(o.build, o.logbook, part, operation.number, instrument=instrument)
    click.echo(f"{len(left)} left to read" if left else "all read")
    return int(bool(out))
