"""`qlog piece`: what became of a piece, and what is decided about it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from qlog.cli.context import Opened, opened
from qlog.cli.terminal.say import say_line
from qlog.intake.typed.places import PlaceError, named_piece, op_of
from qlog.problem import ToSay

if TYPE_CHECKING:
    from qlog.drawing.plan import Build
    from qlog.review.diary.events import Event
    from qlog.words.catalogue import Words


@click.command("piece")
@click.argument("piece", metavar="PIECE")
@click.argument(
    "decision", type=click.Choice(["scrap", "rework", "use-as-is", "remake"]), required=False
)
@click.option("--why", default="", metavar="TEXT", help="The reason; asked for by every decision.")
@click.option("--op", help="The operation at which it was decided.")
@click.option("--made", metavar="TIME", help="When (ISO 8601), if not just now.")
@click.option("--assembled", is_flag=True, help="Even though it is built into an item.")
@click.pass_context
def command(
    ctx: click.Context,
    piece: str,
    decision: str | None,
    why: str,
    op: str | None,
    made: str | None,
    assembled: bool,
) -> int:
    """Show the history of PIECE (foot-3), or decide about it: scrap, rework, use as is, remake.

    `remake` gives the number to a piece that is made anew: it begins empty, and what was logged of
    the first one is kept under it. A decision needs its reason. The exit status of a history is 1
    when a reading in it is out and nothing was decided, or when something in it names what
    build.toml has not. A piece of a part that build.toml has no longer is shown by the name that
    it had.

    \b
    Example:
      qlog piece pan-6
      qlog piece pan-6 scrap --op 20 --why "bored too large"
    """
    from qlog.cli.terminal.when import made_time
    from qlog.intake.bench.decisions import DECISIONS, dispose
    from qlog.words.catalogue import words_of

    with opened(ctx) as o:
        words = words_of(o.build)
        if decision is None:
            return _history(o, piece, words)
        part, number = named_piece(o.build, piece)
        if decision == "remake":
            from qlog.intake.bench.decisions import remake

            entry = remake(o.logbook, part, number, why, made=made_time(o.build, made))
            say_line(words("piece.remade", piece=part.named(number)))
            say_line(words("piece.remade.undo", entry=entry.id))
            return 0
        operation = None if op is None else op_of(part, op).number
        dispose(
            o.logbook,
            part,
            number,
            DECISIONS[decision],
            why,
            op=operation,
            made=made_time(o.build, made),
            even_assembled=assembled,
        )
        from qlog.logbook.part_log import PartLog

        live = len(part.pieces) - len(PartLog.read(o.logbook, part).scrapped)
    done = words(f"decision.{DECISIONS[decision]}")
    say_line(words("piece.line", piece=part.named(number), state=done))
    if decision == "scrap":
        from qlog.words.stock import margin_text

        margin = margin_text(live - part.needed, words)
        about = {"live": live, "part": part.id, "needed": part.needed}
        say_line(words("piece.left", margin=margin, **about))
    return 0


def _history(o: Opened, text: str, words: Words) -> int:
    """Show what was logged of a piece, and of those before it; 1 when something in it is open."""
    from qlog.review.diary.history import history_named
    from qlog.words.history import state_text

    history = history_named(o.build, o.logbook, _numbered(o.build, text))
    if history is None:  # neither planned nor logged: say which pieces there are
        named_piece(o.build, text)
        raise PlaceError(ToSay("error.no_piece", piece=text))
    say_line(words("piece.line", piece=history.name, state=state_text(history, words)))
    for event in history.events:
        _print(event, words, named=history.named)
    for earlier in history.earlier:
        say_line(words("piece.made_before", state=state_text(earlier, words)))
        for event in earlier.events:
            _print(event, words, named=history.named)
    if not history.events:
        say_line(f"  {words('piece.nothing')}")
    return int(history.undecided or history.lost)


def _numbered(build: Build, text: str) -> str:
    """The piece by its number, `cup-3`; a piece that the plan has not as it was typed.

    Raises PlaceError for the number of a planned piece that is called otherwise.
    """
    name, _, digits = text.rpartition("-")
    try:
        part, number = named_piece(build, text)
    except PlaceError:
        planned = {p.id: p.pieces for p in build.parts}.get(name.lower(), ())
        if digits.isdecimal() and int(digits) in planned:
            raise
        return text
    if digits.isdecimal() and part.id != name.lower() and not part.marks:
        return text  # what is logged under an id comes before what a part is called now
    return f"{part.id}-{number}"


def _print(event: Event, words: Words, *, named: bool) -> None:
    from qlog.cli.terminal.text import outcome, verdict
    from qlog.words.history import by_whom, event_text

    op = "" if event.op is None else words("piece.op", op=event.op)
    said, reading = "", event.reading
    if reading is not None and reading.verdict is not None:
        said = f"  {verdict(reading.verdict, words)}"
    elif reading is not None:
        said = f"  {outcome(reading.passed is not False, words)}"
    text = by_whom(event_text(event, words), event.person if named else "", words)
    say_line(f"  {event.day}  {op:6}  {text}{said}")
