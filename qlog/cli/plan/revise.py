"""`qlog revise`: other limits, for all pieces or from one on; and the revisions so far."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from qlog.cli.context import build_folder
from qlog.cli.terminal.say import say_line
from qlog.intake.typed.places import dimension_of, part_of, piece_of
from qlog.logbook.facts import Note
from qlog.logbook.store import FILE_NAME, Logbook
from qlog.problem import ToSay
from qlog.review.revisions import letter
from qlog.words.catalogue import words_of

if TYPE_CHECKING:
    from pathlib import Path

    from qlog.drawing.callouts.callout import Callout
    from qlog.drawing.plan import Build


@click.command("revise")
@click.argument("dimension", metavar="[PART[.DIM]]", required=False)
@click.argument("callout", required=False)
@click.option("--from", "start", metavar="PIECE", help=(
    "The first piece that it holds for; those before keep the old limits."))  # fmt: skip
@click.option("--spare", type=click.IntRange(0, 1000), help="So many spares of the part.")
@click.option("--needed", type=click.IntRange(1, 1000), help="So many pieces for the set.")
@click.option("--why", default="", metavar="TEXT", help="The reason, kept with it.")
@click.pass_context
def command(
    ctx: click.Context,
    dimension: str | None,
    callout: str | None,
    start: str | None,
    spare: int | None,
    needed: int | None,
    why: str,
) -> int:
    """Give a dimension the callout of a new drawing, from piece --from on if it is named.

    With --spare or --needed a part is made in another number; pieces beyond it that something is
    logged of stay, and are counted.

    Every reading keeps the drawing that it was made to; pieces before --from are asked for the old
    limits, also when they are read later. When build.toml was changed by hand already, only the
    log follows. Without arguments the revisions are listed: A, B, C with their dates, and what
    each changed.

    \b
    Example:
      qlog revise cup.bore "Ø22.1 +0.05/0" --from 6 --why "the candles are thicker"
      qlog revise cup --spare 3 --why "the first two were for the settings"
      qlog revise
    """
    folder = build_folder(ctx.find_root().obj)
    if dimension is None:
        return _list(ctx)
    counts = {k: v for k, v in (("needed", needed), ("spare", spare)) if v is not None}
    if counts:
        if callout is not None or start is not None or "." in dimension:
            raise click.UsageError(ToSay("error.numbers_are_those"))
        return _count(folder, dimension, counts, why)
    if callout is None:
        raise click.UsageError(ToSay("error.say_what_new"))
    if not why.strip():
        raise click.UsageError(ToSay("error.say_why_why"))
    from qlog.cli.terminal.text import limits_of
    from qlog.drawing.editing.plan_file import PlanFile
    from qlog.drawing.editing.revising import revise

    plan = PlanFile(folder)
    part = part_of(plan.build, dimension.partition(".")[0])
    found = dimension_of(part, dimension.partition(".")[2])
    first = None if start is None else piece_of(part, start)
    old = found.callout
    done = _logged(plan.build, part.id, found.id) if old.text == callout else None
    if done is None:
        revise(plan, part.id, found.id, callout, first)
        build = plan.save()
    else:  # in the file already, by hand or by a command that was stopped: only the log follows
        old, build = done, plan.build
        first = found.earlier[-1].piece + 1 if found.earlier else None
    words = words_of(build)
    new = build.part(part.id).dimension(found.id).callout
    piece = "" if first is None else part.named(first)
    text = words(
        "revise.note_from" if piece else "revise.note",
        piece=piece, name=found.name, old=old.text, new=new.text, why=why.strip(),
    )  # fmt: skip
    with Logbook(folder / FILE_NAME, revision=build.revision, source=build.source) as logbook:
        logbook.append(Note(part.id, found.op, None, text))
        count = len(logbook.revisions())

    about = {"part": part.id, "dimension": found.id, "limits": limits_of(new, words)}
    key = "revise.asks_from" if piece else "revise.asks"
    say_line(words(key, letter=letter(count), piece=piece, **about))
    if first:
        before = part.listed(range(1, first))
        say_line(words("revise.keeps_before", pieces=before, limits=limits_of(old, words)))
    else:
        say_line(words("revise.keeps"))
    say_line(words("revise.back", place=f"{part.id}.{found.id}", callout=old.text))
    return 0


def _count(folder: Path, part: str, counts: dict[str, int], why: str) -> int:
    """Another number of pieces of a part, in the plan and with its reason in the log."""
    if not why.strip():
        raise click.UsageError(ToSay("error.say_why_why"))
    from qlog.drawing.editing.plan_file import PlanFile
    from qlog.drawing.editing.revising import number_of_pieces
    from qlog.logbook.part_log import PartLog

    plan = PlanFile(folder)
    old = part_of(plan.build, part)
    number_of_pieces(plan, old.id, counts)
    build = plan.save()
    new = build.part(old.id)
    words = words_of(build)
    about = {"was_needed": old.needed, "was_spare": old.spare, "needed": new.needed}
    note = words("count.note", spare=new.spare, why=why.strip(), **about)
    with Logbook(folder / FILE_NAME, revision=build.revision, source=build.source) as logbook:
        logbook.append(Note(old.id, None, None, note))
        beyond = [n for n in PartLog.read(logbook, new).pieces if n not in new.pieces]
    say_line(words("count.now", part=old.id, spare=new.spare, **about))
    if beyond:
        say_line(words("count.stay", pieces=new.listed(beyond)))
    back = " ".join(f"--{name} {getattr(old, name)}" for name in counts)
    say_line(words("count.back", part=old.id, back=back))
    return 0


def _logged(build: Build, part: str, dimension: str) -> Callout | None:
    """What the newest drawing in the log asks for, where the file asks for something else."""
    from qlog.drawing.build_file.load import PlanError, load_text

    with Logbook(build.folder / FILE_NAME) as logbook:
        revisions = logbook.revisions()
    if not revisions or any(sha == build.revision for sha, *_ in revisions):
        return None
    try:
        before = load_text(revisions[-1][2], build.folder)
    except PlanError:
        return None
    dimensions = (d for p in before.parts if p.id == part for d in p.dimensions)
    old = next((d.callout for d in dimensions if d.id == dimension), None)
    now = build.part(part).dimension(dimension).callout
    return None if old is None or old.text == now.text else old


def _list(ctx: click.Context) -> int:
    """Every revision with its letter, its date and what it changed."""
    from qlog.cli.context import opened
    from qlog.drawing.build_file.load import PlanError, load_text
    from qlog.drawing.changes import changes
    from qlog.words.problems import in_words

    with opened(ctx) as o:
        revisions = o.logbook.revisions()
        build = o.build
    words = words_of(build)
    before: Build | None = None
    for number, (sha, used, source) in enumerate(revisions, start=1):
        key = "revise.in_force" if sha == build.revision else "revise.row"
        say_line(words(key, letter=letter(number), date=used[:10]))
        try:
            plan = load_text(source, build.folder)
        except PlanError:
            say_line(f"   {words('revise.unreadable')}")
            continue
        for change in () if before is None else changes(before, plan):
            say_line(f"   {in_words(words, change.told)}")
        before = plan
    if not revisions:
        say_line(words("revise.none"))
    elif all(sha != build.revision for sha, *_ in revisions):
        say_line(words("revise.next", letter=letter(len(revisions) + 1)))
    return 0
