"""`qlog photo unplaced`, `accept`, `list` and `place`: which photos there are, and where."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING

import click

from qlog.cli.context import opened
from qlog.cli.photos import photo_lines
from qlog.cli.photos.common import chosen_photos, picture_of, say_placed, typed_place, views_of
from qlog.cli.photos.photo_lines import joined
from qlog.cli.terminal.say import on_screen, say_line
from qlog.intake.photos import edits
from qlog.logbook.photos.pictures import printable
from qlog.problem import ToSay
from qlog.words.catalogue import words_of
from qlog.words.placing import place_text, why_text

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from qlog.cli.photos.photo_lines import PhotoRow
    from qlog.review.views import PhotoView
    from qlog.words.catalogue import Words


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
    """List the photos that nobody has looked at yet, with where they seem to belong.

    Card, log, names and likeness each have a vote: two that agree place a photo, one alone
    proposes. Either way it is the maker's only until somebody accepts its row or places it. The
    numbers stay the same for ever.

    \b
    Example:
      qlog photo unplaced
      qlog photo unplaced --sheet
    """
    from qlog.intake.photos.proposals import propose

    with opened(ctx) as o:
        found = propose(o.build, o.logbook)
        picture = picture_of(o)
    words = words_of(picture.build)
    notes = {sha256: why_text(why, words) for sha256, why in found.doubts.items()}
    views = sorted((v for v in picture.photos if v.waits), key=lambda v: v.number)
    rows = photo_lines.rows_of(views, words)
    if as_json:
        marks = {v.sha256: row.mark for row in rows for v in row.views}
        listed = [
            photo_lines.as_json(v, notes.get(v.sha256, "")) | {"row": marks[v.sha256]}
            for v in views
        ]
        from qlog.cli.terminal.say import say_json

        say_json("photo unplaced", {"photos": listed})
    else:
        say_placed(found.placed, words)
        if not views:
            say_line(words("unplaced.none"))
            return 0
        _print_waiting(views, rows, notes, words)
    if sheet or out is not None:
        target = out if out is not None else picture.build.folder / "unplaced.html"
        heading, hint = words("unplaced.heading"), words("unplaced.hint")
        photo_lines.contact_sheet(picture.build, rows, target, heading, hint, notes)
        click.echo(str(target), err=as_json)
    return 0


def _print_waiting(
    views: Sequence[PhotoView], rows: Sequence[PhotoRow], notes: Mapping[str, str], words: Words
) -> None:
    """The photos that wait, and the rows in which they can be accepted."""
    from qlog.cli.terminal.tables import print_table

    def belongs(view: PhotoView) -> str:
        proposal = photo_lines.proposal_of(view, words)
        proposed = words("unplaced.proposed") if proposal and not view.part else ""
        return joined(proposal or "-", proposed, notes.get(view.sha256, ""))

    print_table(
        ("", *(words(f"photo.col.{name}") for name in ("taken", "camera", "seems", "name"))),
        [
            (
                str(v.number),
                photo_lines.taken(v, words),
                v.photo.camera or "-",
                on_screen(belongs(v)),
                joined(printable(v.photo.name), photo_lines.marks(v, words)),
            )
            for v in views
        ],
        right=(0,),
        keep=(1,),
    )
    for row in rows:
        if row.mark:
            photos = words.count("n.photos", len(row.views))
            say_line(words("unplaced.row", mark=row.mark, row=row.text, photos=photos))
    say_line(words("unplaced.then"))


@click.command("accept")
@click.argument("rows", nargs=-1, required=True, metavar="ROW...")
@click.pass_context
def accept(ctx: click.Context, rows: tuple[str, ...]) -> int:
    """Say that the photos of whole rows of the contact sheet lie where they seem to belong.

    A row is named by its mark on the sheet (`qlog photo unplaced --sheet`). A row to which
    photos have come since, or whose place is another by now, has another mark: nothing is
    accepted that was not to be seen.

    \b
    Example:
      qlog photo accept 14kd 20mf
    """
    from qlog.problem import Problem

    with opened(ctx) as o:
        words = words_of(o.build)
        waiting = [v for v in picture_of(o).photos if v.waits]
        known = {row.mark: row for row in photo_lines.rows_of(waiting, words) if row.mark}
        wanted = list(dict.fromkeys(word for given in rows for word in given.lower().split(",")))
        wrong = [word for word in wanted if word not in known]
        if wrong:
            raise Problem(ToSay("error.row_any_more", names=", ".join(wrong)))
        for word in wanted:
            row = known[word]
            edits.confirm(o.logbook, [v.photo for v in row.views])
            photos = words.count("n.photos", len(row.views))
            say_line(words("accept.row", row=row.text, photos=photos))
        left = sum(v.waits for v in picture_of(o).photos)
    if left:
        say_line(words("accept.left", photos=words.count("n.photos", left)))
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
    from qlog.cli.terminal.tables import print_table
    from qlog.intake.typed.places import op_of, part_of

    with opened(ctx) as o:
        owner = None if part is None else part_of(o.build, part)
        number = None if owner is None or op is None else op_of(owner, op).number
        picture = picture_of(o)
    words = words_of(picture.build)
    views = [
        v
        for v in picture.photos
        if (owner is None or v.part == owner.id) and number in (None, v.op)
    ]
    if as_json:
        from qlog.cli.terminal.say import say_json

        say_json("photo list", {"photos": [photo_lines.as_json(v) for v in views]})
    elif not views:
        say_line(words("list.none"))
    else:
        columns = ("taken", "place", "seen", "caption", "name")
        print_table(
            ("", *(words(f"photo.col.{name}") for name in columns)),
            [
                (
                    str(v.number),
                    photo_lines.taken(v, words),
                    photo_lines.place_of(v, words)
                    or ("-" if v.audience == "nobody" else words("list.not_placed")),
                    words(f"photo.seen.{v.audience}"),
                    v.caption,
                    joined(printable(v.photo.name), photo_lines.marks(v, words)),
                )
                for v in views
            ],
            right=(0,),
            keep=(1, 2),
        )
    if sheet is not None and views:
        from qlog.intake.photos.taking import PhotoPlace
        from qlog.words.placing import place_text

        where = place_text(PhotoPlace(owner.id if owner else None, number), words)
        heading = words("list.heading", place=where) if where else words("list.all")
        rows = [photo_lines.PhotoRow("", "", tuple(views))]
        photo_lines.contact_sheet(picture.build, rows, sheet, heading, "", {})
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
    from qlog.counting import runs

    where = bool(part or item or cover)
    if as_proposed == where:
        raise click.UsageError(ToSay("error.say_where_part"))
    with opened(ctx) as o:
        words = words_of(o.build)
        chosen = chosen_photos(o, numbers)
        number_of = {photo.sha256: number for number, photo in chosen.items()}
        photos = list(chosen.values())
        if as_proposed:
            sure, rest = edits.confirm(o.logbook, photos)
            by_place = Counter(
                photo_lines.place_of(v, words) for v in views_of(picture_of(o), sure)
            )
            for name, many in sorted(by_place.items()):
                say_line(words("put.placed", place=name, photos=words.count("n.photos", many)))
            if rest:
                listed = runs(number_of[p.sha256] for p in rest)
                nothing = words("put.nothing", numbers=listed)
                click.echo(on_screen(nothing), err=numbers != "all")
            status = int(bool(rest) and numbers != "all")
        else:
            there = typed_place(o, part, op, piece, item, cover, "", False, dimension)
            moved = edits.put(o.logbook, photos, there)
            known = len(photos) - moved
            about = {"place": place_text(there, words), "photos": words.count("n.photos", moved)}
            say_line(words("put.known" if known else "put.placed", **about, known=known))
            status = 0
        left = len(picture_of(o).unplaced)
    if left:
        say_line(words("put.left", photos=words.count("n.photos", left)))
    return status
