"""`qlog photo unplaced`, `list` and `place`: which photos there are, and where they belong."""

from __future__ import annotations

import json
import sys
from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING

import click

from qlog.cli.context import opened
from qlog.cli.photos.common import (
    chosen_photos,
    joined,
    picture_of,
    say_placed,
    typed_place,
    views_of,
)

if TYPE_CHECKING:
    from qlog.intake.photos.proposals import Proposed


@click.command("unplaced")
@click.option("--sheet", is_flag=True, help="Also make a numbered contact sheet to look at.")
@click.option(
    "--out",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="Where the sheet goes; by default unplaced.html in the build's folder.",
)
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@click.pass_context
def unplaced(ctx: click.Context, sheet: bool, out: Path | None, as_json: bool) -> int:
    """List the photos that nobody has placed yet, with what is proposed for them.

    Looks once more whether a card, the time of the work or a name says where they belong. The
    numbers stay the same for ever.

    \b
    Example:
      qlog photo unplaced
      qlog photo unplaced --sheet
    """
    from qlog.cli.photos import text as photo_text
    from qlog.cli.terminal.tables import print_table
    from qlog.intake.photos.proposals import propose
    from qlog.logbook.photos.pictures import printable

    with opened(ctx) as o:
        found = propose(o.build, o.logbook)
        picture = picture_of(o)
    notes = _notes(found)
    views = sorted(picture.unplaced, key=lambda v: v.number)
    if as_json:
        rows = [photo_text.as_json(v, notes.get(v.sha256, "")) for v in views]
        json.dump(rows, sys.stdout, indent=2, ensure_ascii=False)
        click.echo()
    else:
        say_placed(found.placed)
        if not views:
            click.echo("every photo is placed")
            return 0
        print_table(
            ("", "taken", "camera", "proposal", "name"),
            [
                (
                    str(v.number),
                    photo_text.taken(v),
                    v.photo.camera or "-",
                    joined(photo_text.proposal_of(v) or "-", notes.get(v.sha256, "")),
                    joined(printable(v.photo.name), photo_text.marks(v)),
                )
                for v in views
            ],
            right=(0,),
            keep=(1,),
        )
        click.echo(
            "qlog photo place NUMBERS PART OP [PIECE] puts them; --as-proposed instead of a place "
            "confirms"
        )
    if sheet or out is not None:
        target = out if out is not None else picture.build.folder / "unplaced.html"
        hint = "qlog photo place NUMBERS PART OP [PIECE], or --as-proposed instead of a place"
        photo_text.contact_sheet(picture.build, views, notes, target, "Photos to place", hint)
        click.echo(str(target), err=as_json)
    return 0


@click.command("list")
@click.argument("part", required=False)
@click.argument("op", required=False)
@click.option(
    "--sheet",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="Also make a contact sheet of them.",
)
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@click.pass_context
def list_(
    ctx: click.Context, part: str | None, op: str | None, sheet: Path | None, as_json: bool
) -> int:
    """List photos with number, place, who may see them, and which of near-duplicates is shown.

    \b
    Example:
      qlog photo list
      qlog photo list foot 20 --sheet foot-20.html
    """
    from qlog.cli.photos import text as photo_text
    from qlog.cli.terminal.tables import print_table
    from qlog.intake.typed.places import op_of, part_of
    from qlog.logbook.photos.pictures import printable

    with opened(ctx) as o:
        owner = None if part is None else part_of(o.build, part)
        number = None if owner is None or op is None else op_of(owner, op).number
        picture = picture_of(o)
    views = [
        v
        for v in picture.photos
        if (owner is None or v.part == owner.id) and number in (None, v.op)
    ]
    if as_json:
        json.dump([photo_text.as_json(v) for v in views], sys.stdout, indent=2, ensure_ascii=False)
        click.echo()
    elif not views:
        click.echo("no photos there")
    else:
        print_table(
            ("", "taken", "place", "seen by", "caption", "name"),
            [
                (
                    str(v.number),
                    photo_text.taken(v),
                    photo_text.place_of(v) or ("-" if v.audience == "nobody" else "not placed"),
                    photo_text.seen_by(v),
                    v.caption,
                    joined(printable(v.photo.name), photo_text.marks(v)),
                )
                for v in views
            ],
            right=(0,),
            keep=(1, 2),
        )
    if sheet is not None and views:
        where = photo_text.place(owner.id if owner else None, number, None, None, "")
        photo_text.contact_sheet(
            picture.build, views, {}, sheet, f"Photos of {where}" if where else "All photos", ""
        )
        click.echo(str(sheet), err=as_json)
    return 0


@click.command("place")
@click.argument("numbers")
@click.argument("part", required=False)
@click.argument("op", required=False)
@click.argument("piece", required=False)
@click.option("--as-proposed", is_flag=True, help="Where they are proposed.")
@click.option("--item", help="On a finished item instead of a part.")
@click.option("--cover", is_flag=True, help="As a cover picture; without a place, of the build.")
@click.option("--dimension", "-d", help="As evidence of that dimension.")
@click.pass_context
def place(
    ctx: click.Context,
    numbers: str,
    part: str | None,
    op: str | None,
    piece: str | None,
    as_proposed: bool,
    item: str | None,
    cover: bool,
    dimension: str | None,
) -> int:
    """Put photos NUMBERS (14, 14-22, 3,7,9-12, or all that are unplaced) in their place.

    Without OP they belong to the part as a whole. Placing them again moves them.

    \b
    Example:
      qlog photo place 14-22 foot 20
      qlog photo place 23 foot 20 3
      qlog photo place all --as-proposed
      qlog photo place 31 --item tall-1 --cover
    """
    from qlog.cli.photos import text as photo_text
    from qlog.counting import count, runs
    from qlog.intake.photos import changes as photo_changes

    where = bool(part or item or cover)
    if as_proposed == where:
        raise click.UsageError("say where: PART [OP [PIECE]], --item, --cover or --as-proposed")
    with opened(ctx) as o:
        chosen = chosen_photos(o, numbers)
        number_of = {photo.sha256: number for number, photo in chosen.items()}
        photos = list(chosen.values())
        if as_proposed:
            sure, rest = photo_changes.confirm(o.logbook, photos)
            by_place = Counter(photo_text.place_of(v) for v in views_of(picture_of(o), sure))
            for name, many in sorted(by_place.items()):
                click.echo(f"{name}: {count(many, 'photo', 'photos')}")
            if rest:
                listed = runs(number_of[p.sha256] for p in rest)
                click.echo(f"nothing is proposed for {listed}", err=numbers != "all")
            status = int(bool(rest) and numbers != "all")
        else:
            there = typed_place(o, part, op, piece, item, cover, "", False, dimension)
            moved = photo_changes.put(o.logbook, photos, there)
            name = photo_text.place(there.part, there.op, there.piece, there.item, there.cover)
            known = len(photos) - moved
            click.echo(
                f"{name}: {count(moved, 'photo', 'photos')}"
                + (f", {known} there already" if known else "")
            )
            status = 0
        left = len(picture_of(o).unplaced)
    if left:
        click.echo(f"{count(left, 'photo', 'photos')} left not placed")
    return status


def _notes(found: Proposed) -> dict[str, str]:
    return {p.photo: p.note for p in (*found.proposed, *found.loose) if p.note}
