"""`qlog assemble`: pieces become an item."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from qlog.cli.context import Opened, opened
from qlog.intake.bench.assembly import (
    AssemblyError,
    assemble_item,
    item_group,
    item_held,
    measure_item,
    size_question,
)
from qlog.intake.bench.kept_match import assemble_kept, entered_since, kept_match
from qlog.intake.typed.places import instrument_of, named_piece
from qlog.problem import ToSay
from qlog.words.catalogue import words_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from qlog.intake.bench.kept_match import Kept
    from qlog.logbook.facts import ItemSize
    from qlog.review.picture import Picture


@click.command("assemble")
@click.argument("item", required=False)
@click.argument("pieces", nargs=-1, metavar="PIECE...")
@click.option(
    "--as-matched",
    is_flag=True,
    help="Take the pieces that `qlog match --keep` kept; without ITEM, of every item at once.",
)
@click.option(
    "--despite",
    default="",
    metavar="TEXT",
    help="Why pieces that failed or are away go in all the same; the record shows it.",
)
@click.option("--note", "-n", default="", metavar="TEXT", help="Adhesive, press force.")
@click.option("--size", metavar="VALUE", help="Overall size measured on the finished item.")
@click.option("--stack", metavar="ID", help="Which overall size, where the plan has several.")
@click.option("--instrument", "-i", metavar="ID", help="What the overall size was measured with.")
@click.option("--why", default="", metavar="TEXT", help="Why it replaces what was entered before.")
@click.option("--made", metavar="TIME", help="When (ISO 8601), if not just now.")
@click.pass_context
def command(
    ctx: click.Context,
    item: str | None,
    pieces: tuple[str, ...],
    as_matched: bool,
    despite: str,
    note: str,
    size: str | None,
    stack: str | None,
    instrument: str | None,
    why: str,
    made: str | None,
) -> int:
    """Say which PIECES became ITEM, how they were joined, and what it measures overall.

    An item that holds other items - a pair, a column - gets them by their names, like pieces.

    With --as-matched the pieces are those of the match that was kept, and no others: what was
    laid out on the bench. What was entered about them since is said, and the status is 1 then.

    A piece that is out or no-go goes in when it was decided to be used as it is; otherwise it
    takes --despite and the reason, which the record shows beside the item. The same for a piece
    that is still sent out. An assembled piece stays where it is: it cannot be scrapped or sent
    out without saying so. Adhesives and presses: fresh air, guards and the makers' sheets come
    first.

    \b
    Example:
      qlog assemble tall-1 foot-1 tall-stem-2 cup-1 pan-3 -n "pressed, about 4 kN"
      qlog assemble tall-1 --size 180.03
      qlog assemble pair-1 tall-1 tall-2
      qlog match --keep
      qlog assemble --as-matched
    """
    from qlog.cli.terminal.prompt import Keyboard
    from qlog.cli.terminal.questions import settled
    from qlog.cli.terminal.when import made_time

    if as_matched and pieces:
        raise click.UsageError(ToSay("error.name_pieces_matched"))
    if item is None and (size is not None or not as_matched):
        raise click.UsageError(ToSay("error.name_item_matched"))
    if not pieces and not as_matched and size is None:
        raise click.UsageError(ToSay("error.name_pieces_matched_size"))
    with opened(ctx) as o:
        time = made_time(o.build, made)
        id = "" if item is None else item_group(o.build, item)[0]
        used = None if instrument is None else instrument_of(o.build, instrument).id
        if size is not None:  # before anything is entered
            words = words_of(o.build)
            with Keyboard(words) as keyboard:
                size = settled(
                    keyboard, id, size, lambda t: size_question(o.build, id, stack, t, used), words
                )
            if size is None:
                return 2
        found, words = 0, words_of(o.build)
        if as_matched:
            found = _as_matched(o, id, note=note, made=time, why=why, despite=despite)
        elif pieces:
            names = _by_name(o, id, pieces, note=note, made=time, why=why, despite=despite)
            click.echo(f"{words.item(id)}: {names}")
        if size is not None:
            entry = measure_item(
                o.build, o.logbook, id, stack, size, instrument=used, made=time, why=why
            )
            line, out = _overall(o, words.item(id), entry.fact)
            click.echo(line)
            found = found or int(out)
    return found


def _overall(o: Opened, name: str, size: ItemSize) -> tuple[str, bool]:
    """A measured overall size with its verdict, and whether it is out."""
    from decimal import Decimal

    from qlog.cli.terminal.echo import answer
    from qlog.drawing.units import Unit
    from qlog.review.instrument.experience import experience_with
    from qlog.review.items.overall import judge_overall, places_overall
    from qlog.words.values import fixed

    stack = next(s for s in o.build.stacks if s.id == size.stack)
    experience = experience_with(o.build, o.logbook, size.instrument, "", "")
    judgement = judge_overall(o.build, experience, stack, size)
    words = words_of(o.build)
    digits = places_overall(o.build, stack, size, stack.callout.unit)
    said = answer(judgement, stack.callout, digits, words)
    own = fixed(Decimal(size.value), places_overall(o.build, stack, size, Unit(size.unit)))
    return (
        f"{name} {size.stack}: {words.number(own, size.unit)} {size.unit}  {said}",
        judgement.verdict.out,
    )


def _by_name(
    o: Opened, id: str, names: Sequence[str], *, note: str, made: str | None, why: str, despite: str
) -> str:
    """Put the pieces and items of those names into an item; answers them as they are called."""
    inner = [held for text in names if (held := item_held(o.build, text)) is not None]
    chosen = [named_piece(o.build, t) for t in names if item_held(o.build, t) is None]
    assemble_item(
        o.build, o.logbook, id, chosen, items=inner,
        note=note, made=made, why=why, barred=_refused(o, _picture(o)), despite=despite,
    )  # fmt: skip
    words = words_of(o.build)
    held_names = [words.item(f"{group.id}-{number}") for group, number in inner]
    return " ".join([*held_names, *(part.named(number) for part, number in chosen)])


def _picture(o: Opened) -> Picture:
    from qlog.review.whole import picture_from

    return picture_from(o.build, o.logbook, studied=False)


def _refused(o: Opened, picture: Picture) -> dict[tuple[str, int], str]:
    """Pieces that failed or are away, with what is wrong with them."""
    from qlog.review.items.mating import barred
    from qlog.words.fits import why_barred

    words = words_of(o.build)
    return {(b.part, b.piece): why_barred(b, words) for b in barred(o.build, picture.parts)}


def _as_matched(o: Opened, id: str, *, note: str, made: str | None, why: str, despite: str) -> int:
    """Assemble one item, or all, with the pieces that were kept; 1 when things changed since."""
    kept = kept_match(o.logbook)
    if kept is None:
        raise AssemblyError(ToSay("error.match_kept_so"))
    from qlog.cli.terminal.say import look, say_line

    words = words_of(o.build)
    items = (id,) if id else tuple(item for item, _ in kept.items)
    picture = _picture(o)
    changes = _changes(o, kept, items, picture, whole=not id)
    entered = assemble_kept(
        o.build, o.logbook, kept, items,
        note=note, made=made, why=why, barred=_refused(o, picture), despite=despite,
    )  # fmt: skip
    for item in entered:
        names = " ".join(words.kept(piece) for piece in kept.pieces(item))
        click.echo(f"{words.item(item)}: {names}")
    for line in changes:
        say_line(f"  {look(words)}  {line}")
    return int(bool(changes))


def _changes(
    o: Opened, kept: Kept, items: tuple[str, ...], picture: Picture, *, whole: bool
) -> list[str]:
    """What is otherwise than it was when the match was kept, in the build's language."""
    from qlog.problem import Problem
    from qlog.review.items.mating import chosen_items, match_items
    from qlog.review.items.within import within

    words = words_of(o.build)
    date = words.date(kept.entry.made)
    said = []
    if pieces := entered_since(o.logbook, kept, items):
        said.append(words("kept.changed", date=date, pieces=", ".join(map(words.kept, pieces))))
    if kept.entry.revision != o.build.revision:
        said.append(words("kept.plan_changed", date=date))
    if said:
        try:
            found = match_items(o.build, picture.parts, picture.items)
            inner = within(o.build, picture.parts, found, picture.items)
            now = dict(chosen_items(found, inner))
        except Problem:  # the bans contradict what is assembled: `qlog match` says it
            now = {}
        other = [i for i in items if set(now.get(i, ())) != set(kept.pieces(i))]
        if other:
            said.append(words("kept.would_differ", items=", ".join(map(words.item, other))))
    if whole:
        left = [item.id for item in picture.items if not kept.pieces(item.id)]
        said += [words("kept.open", item=words.item(item)) for item in left]
    return said
